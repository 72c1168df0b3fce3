// The rounding of what is seen at an instant. Where large terms cancel, as in the current between two places of one voltage, it
// is all that is left, and no number of samples makes a curve of it.
import type { Sight } from "./forms.js";
import type { LeapForm } from "./leapforms.js";

/** How far a value and its slope (a second) may be off by rounding alone. */
export interface Roundoff {
  readonly value: number;
  readonly slope: number;
}

/** What is exact. */
export const noRoundoff: Roundoff = { value: 0, slope: 0 };

/** Rounding of a sum, as a share of the sizes of its terms: some tens of products carry z along. */
export const lossShare = 2 ** -46;

/**
 * Rounding of one form over z.
 * @param elapsed how long z has been carried along, s: what its slope has been off by has added up
 */
export function roundoffOf({ value, slope, entries }: LeapForm, z: Float64Array, elapsed: number): Roundoff {
  let v = 0;
  let d = 0;
  for (let k = 0; k < entries.length; k++) {
    const j = entries[k];
    const size = Math.abs(z[j]);
    v += Math.abs(value[j]) * size;
    d += Math.abs(slope[j]) * size;
  }
  return { value: lossShare * (v + elapsed * d), slope: lossShare * d };
}

/** The rounding of one sight, over the z that its forms are of. */
export function roundoffSeen(
  which: Sight,
  forms: readonly LeapForm[],
  z: Float64Array,
  elapsed: number,
): Roundoff {
  const seen = which.map((k) => forms[k]);
  return seen.length === 1 ? roundoffOf(seen[0], z, elapsed) : roundoffOfProducts(seen, z, elapsed);
}

/** Rounding of a sum of products, of forms 2k and 2k + 1. */
function roundoffOfProducts(forms: readonly LeapForm[], z: Float64Array, elapsed: number): Roundoff {
  let [value, slope] = [0, 0];
  for (let k = 0; k + 1 < forms.length; k += 2) {
    const [a, b] = [forms[k], forms[k + 1]];
    const [offA, offB] = [roundoffOf(a, z, elapsed), roundoffOf(b, z, elapsed)];
    const [sizeA, sizeB] = [sizeOf(a.value, z), sizeOf(b.value, z)];
    value += sizeA * offB.value + sizeB * offA.value;
    slope +=
      sizeOf(a.slope, z) * offB.value +
      sizeOf(b.slope, z) * offA.value +
      sizeA * offB.slope +
      sizeB * offA.slope;
  }
  return { value, slope };
}

function sizeOf(row: Float64Array, z: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < z.length; j++) sum += row[j] * z[j];
  return Math.abs(sum);
}
