// The rounding of what is seen at an instant. Where large terms cancel, as in the current between two places of equal voltage,
// nothing but rounding is left, and no number of samples makes a curve of it.
import type { Sight } from "./forms.js";
import type { LeapForm, Look } from "./leapforms.js";

/** How far a value and its slope (per second) may be off by rounding. */
export interface Roundoff {
  readonly value: number;
  readonly slope: number;
}

/** The rounding of an exact look. */
export const noRoundoff: Roundoff = { value: 0, slope: 0 };

/** Rounding of a sum, as a share of the sizes of its terms: z is carried along by some tens of products. */
export const lossShare = 2 ** -46;

/** Binary places between the times that are tried for the largest rounding: a maximum within a decade is met near its height. */
export const triedPlaces = 3;

/**
 * Rounding of one form over z.
 * @param elapsed how long z has been carried along, s: the error of its slope adds up over that time
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

/** The rounding of one sight, over the z of its forms. */
export function roundoffSeen(
  which: Sight,
  forms: readonly LeapForm[],
  z: Float64Array,
  elapsed: number,
): Roundoff {
  const seen = which.map((k) => forms[k]);
  return seen.length === 1 ? roundoffOf(seen[0], z, elapsed) : roundoffOfProducts(seen, z, elapsed);
}

/** Rounding of a sum of products of forms 2k and 2k + 1. */
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

/** The larger of each, value and slope. */
export function greater(a: Roundoff, b: Roundoff): Roundoff {
  return { value: Math.max(a.value, b.value), slope: Math.max(a.slope, b.slope) };
}

/** Forms, and the z that they are over. */
interface Way {
  readonly forms: readonly LeapForm[];
  readonly z: Float64Array;
}

/**
 * Two ways to one look differ by rounding alone; some of it may cancel in their difference, which therefore counts so many times.
 */
const hidden = 8;

/** The rounding of a sight that two ways to it reveal. @param evaluate reads a form over a z */
export function waysApart(
  which: Sight,
  ways: readonly [Way, Way],
  evaluate: (form: LeapForm, z: Float64Array, into: Look) => void,
): Roundoff {
  const [one, other] = ways.map(({ forms, z }) => {
    const looks = which.map((k) => {
      const look = { value: 0, slope: 0 };
      evaluate(forms[k], z, look);
      return look;
    });
    if (looks.length === 1) return looks[0];
    const sum = { value: 0, slope: 0 };
    for (let k = 0; k + 1 < looks.length; k += 2) {
      sum.value += looks[k].value * looks[k + 1].value;
      sum.slope += looks[k].slope * looks[k + 1].value + looks[k].value * looks[k + 1].slope;
    }
    return sum;
  });
  return {
    value: hidden * Math.abs(one.value - other.value),
    slope: hidden * Math.abs(one.slope - other.slope),
  };
}
