// What an instrument's scatter alone makes of a measure: the run's own trace, sampled where the capture was and scattered as its
// samples are. A slope or a straightness lives on differences of samples, which scatter moves far; a check of which the scatter
// takes more than the tolerance is not told by such a capture, and no verdict is made of it.
import { Random } from "../signals/noise.js";

/** The deviation of normal scatter by its median distance from zero. */
const byMedian = 1.4826;

/**
 * How far samples scatter, whatever curve they follow: by what each lies off the middle of its neighbours, whose square is three
 * halves of the scatter's (T. Gasser, L. Sroka & C. Jennen-Steinmetz, Biometrika 73 (1986) 625), and by its median, so that edges
 * take no part.
 * @param step of the instrument's scale, whose own part is its root of a twelfth (JCGM 100:2008, F.2.2.1)
 */
export function scatterIn(value: Float64Array, step: number): number {
  if (value.length < 3) return step / Math.sqrt(12);
  const off = Float64Array.from({ length: value.length - 2 }, (_, i) =>
    Math.abs(value[i + 1] - (value[i] + value[i + 2]) / 2),
  ).sort();
  return Math.max((byMedian * off[off.length >> 1]) / Math.sqrt(1.5), step / Math.sqrt(12));
}

/** Values with scatter of that deviation, the same each time. */
export function scattered(value: Float64Array, deviation: number): Float64Array {
  const random = new Random(1);
  return value.map((v) => v + deviation * random.normal());
}
