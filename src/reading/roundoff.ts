// The rounding of what is seen at an instant: where large terms cancel, as in the current between two places of one voltage, what is
// left is grain, and no number of samples makes a curve of it.
// Takes rows over z and z itself; gives how far value and slope may be off by rounding alone.
import type { LeapForm } from "./leapforms.js";

/** Rounding of a value and of its slope (a second). */
export interface Roundoff {
  readonly value: number;
  readonly slope: number;
}

/** What is exact. */
export const noRoundoff: Roundoff = { value: 0, slope: 0 };

/** Rounding of a sum, as a share of the sizes of its terms: some tens of products carry z along. */
const share = 2 ** -46;

/**
 * Rounding of one line at an instant.
 * @param elapsed how long z has been carried along, s: what its slope has been off by has added up
 */
export function roundoffOf(
  { value, slope }: Pick<LeapForm, "value" | "slope">,
  z: Float64Array,
  elapsed: number,
): Roundoff {
  let v = 0;
  let d = 0;
  for (let j = 0; j < z.length; j++) {
    const size = Math.abs(z[j]);
    v += Math.abs(value[j]) * size;
    d += Math.abs(slope[j]) * size;
  }
  return { value: share * (v + elapsed * d), slope: share * d };
}

/** Rounding of lines added up, or of each two of them multiplied and then added. */
export function roundoffOfAll(
  lines: readonly LeapForm[],
  z: Float64Array,
  elapsed: number,
  products: boolean,
): Roundoff {
  if (!products && lines.length === 1) return roundoffOf(lines[0], z, elapsed);
  const all = lines.map((line) => ({
    ...roundoffOf(line, z, elapsed),
    size: sizeOf(line.value, z),
    rise: sizeOf(line.slope, z),
  }));
  let [value, slope] = [0, 0];
  if (!products) {
    for (const one of all) [value, slope] = [value + one.value, slope + one.slope];
    return { value, slope };
  }
  for (let k = 0; k + 1 < all.length; k += 2) {
    const [a, b] = [all[k], all[k + 1]];
    value += a.size * b.value + b.size * a.value;
    slope += a.rise * b.value + b.rise * a.value + a.size * b.slope + b.size * a.slope;
  }
  return { value, slope };
}

function sizeOf(row: Float64Array, z: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < z.length; j++) sum += row[j] * z[j];
  return Math.abs(sum);
}

/** What is seen, with that which is not above its rounding as zero. */
export function sifted(value: number, slope: number, grain: Roundoff) {
  const above = (x: number, least: number) => (Math.abs(x) > least ? x : 0);
  return { value: above(value, grain.value), slope: above(slope, grain.slope), grain };
}
