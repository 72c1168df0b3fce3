// The effect of an instrument's scatter on a measure: the run's trace is sampled where the capture was, and scattered like its
// samples. A slope or a straightness depends on differences of samples, which scatter changes a lot. If the scatter changes a
// measure by more than the tolerance of a check, the capture cannot decide the check, and no verdict is given.
import { Random } from "../signals/noise.js";

/** Standard deviation of normal scatter over its median distance from zero. */
const byMedian = 1.4826;

/**
 * Standard deviation of samples, whatever curve they follow: from the distance of each to the middle of its neighbours, whose
 * variance is three halves of the scatter's (T. Gasser, L. Sroka & C. Jennen-Steinmetz, Biometrika 73 (1986) 625), by the median,
 * so that edges have no effect.
 * @param step step of the instrument's scale, which itself scatters by its root of a twelfth (JCGM 100:2008, F.2.2.1)
 */
export function scatterIn(value: Float64Array, step: number): number {
  if (value.length < 3) return step / Math.sqrt(12);
  const off = Float64Array.from({ length: value.length - 2 }, (_, i) =>
    Math.abs(value[i + 1] - (value[i] + value[i + 2]) / 2),
  ).sort();
  return Math.max((byMedian * off[off.length >> 1]) / Math.sqrt(1.5), step / Math.sqrt(12));
}

/** Values with scatter of a given deviation; the same scatter each time. */
export function scattered(value: Float64Array, deviation: number): Float64Array {
  const random = new Random(1);
  return value.map((v) => v + deviation * random.normal());
}
