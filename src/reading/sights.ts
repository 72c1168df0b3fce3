// A sight, put together from looks at its forms: one of them, or a sum of products of pairs.
import type { Sight } from "./forms.js";

/**
 * Writes value and slope of a sight from `at` on.
 * @param seen value and slope of each form in turn
 */
export function sightOf(sight: Sight, seen: Float64Array, into: Float64Array, at: number): void {
  if (sight.length === 1) {
    into[at] = seen[2 * sight[0]];
    into[at + 1] = seen[2 * sight[0] + 1];
    return;
  }
  let [value, slope] = [0, 0];
  for (let k = 0; k < sight.length; k += 2) {
    const [i, j] = [2 * sight[k], 2 * sight[k + 1]];
    value += seen[i] * seen[j];
    slope += seen[i + 1] * seen[j] + seen[i] * seen[j + 1];
  }
  into[at] = value;
  into[at + 1] = slope;
}

/** Its rounding, from value and slope of each form and from their rounding. */
export function sightRounding(
  sight: Sight,
  seen: Float64Array,
  rounding: Float64Array,
): { value: number; slope: number } {
  if (sight.length === 1) return { value: rounding[2 * sight[0]], slope: rounding[2 * sight[0] + 1] };
  let [value, slope] = [0, 0];
  for (let k = 0; k < sight.length; k += 2) {
    const [i, j] = [2 * sight[k], 2 * sight[k + 1]];
    const [v, w] = [Math.abs(seen[i]), Math.abs(seen[j])];
    value += v * rounding[j] + w * rounding[i];
    slope += Math.abs(seen[i + 1]) * rounding[j] + Math.abs(seen[j + 1]) * rounding[i];
    slope += v * rounding[j + 1] + w * rounding[i + 1];
  }
  return { value, slope };
}
