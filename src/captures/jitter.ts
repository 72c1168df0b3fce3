// An instrument does not take its samples exactly when it says. On a level that changes nothing; on an edge a sample is off by the
// slope times the error in time, so that it scatters far more than the others. Such samples count by less: the variance of each is
// that of a level sample plus slope squared times that of time (the effective variance of J. Orear, Am. J. Phys. 50 (1982) 912).
import { coverageFactor } from "./student.js";

/** Deviations of time that are tried, as the most by which they make a sample scatter more: equal ratios. */
const [leastRatio, mostRatio, ratios] = [0.5, 500, 40];
/**
 * Gain in twice the log likelihood from which errors in time are supposed: a sixth of the captures without any reach it by chance.
 * Those supposed in vain widen an interval a little; those overlooked make it wrong.
 */
const real = 1;
/**
 * Median size of a miss whose variance is doubled, in deviations on a level (0.6745 times the root of two): on slopes where errors
 * in time count most, half of the samples or more are farther off.
 */
const moved = 0.954;
/** A sample farther off than this many deviations is bad, whatever its slope. */
const cut = 5;

/** The errors in time of a capture's samples. */
export interface Jitter {
  /** Their standard deviation, s. */
  readonly deviation: number;
  /** By how much more each sample scatters than one on a level. */
  readonly spread: Float64Array;
}

/**
 * Errors in time that misses show; undefined if none.
 * @param slopes of the run at each sample, in the unit of the misses a second
 * @param level deviation of a sample on a level
 * @param unknowns how many values were fitted, each of which may have taken up an error of time
 */
export function jitterOf(
  misses: Float64Array,
  slopes: Float64Array,
  level: number,
  unknowns: number,
): Jitter | undefined {
  const steepest = slopes.reduce((most, s) => Math.max(most, Math.abs(s)), 0);
  if (!(steepest > 0) || !(level > 0)) return undefined;
  const unit = level / steepest;
  // Squares in deviations on a level, of the misses and of what a second of time moves each sample.
  const far = misses.map((miss) => (miss / level) ** 2);
  const steepness = slopes.map((slope) => (slope / level) ** 2);
  // Twice the log likelihood.
  const likelihood = (times: number) => {
    let [sum, product] = [0, 1];
    for (let k = 0; k < far.length; k++) {
      const variance = 1 + times * times * steepness[k];
      sum -= Math.min(far[k] / variance, cut * cut);
      // One logarithm for many factors.
      product *= variance;
      if (product < 1e200) continue;
      sum -= Math.log(product);
      product = 1;
    }
    return sum - Math.log(product);
  };
  const none = likelihood(0);
  let best = { times: 0, gain: 0 };
  for (let k = 0; k < ratios; k++) {
    const times = unit * leastRatio * (mostRatio / leastRatio) ** (k / (ratios - 1));
    const gain = likelihood(times) - none;
    if (gain > best.gain) best = { times, gain };
  }
  if (best.gain < real) return undefined;
  // Only samples that mostly scatter by their errors in time tell of these, and the fit has taken up some of them.
  let telling = 0;
  let [steep, off, wild] = [0, 0, 0];
  slopes.forEach((slope, k) => {
    const own = ((best.times * slope) / level) ** 2;
    telling += (own / (1 + own)) ** 2;
    if (own <= 1) {
      if (Math.abs(misses[k]) > 2 * cut * level) wild++;
      return;
    }
    steep++;
    if (Math.abs(misses[k]) > moved * level) off++;
  });
  // A single bad sample on an edge looks like an error in time, but the others there stay where they are.
  // Where samples on a level are bad, those far off on an edge are as well.
  if (2 * off < steep || wild > 0) return undefined;
  const freedom = Math.max(telling - unknowns, 1);
  const deviation = best.times * Math.sqrt(Math.max(telling, 1) / freedom);
  // What few samples tell of a deviation is uncertain itself: Student's t against the normal distribution.
  const cautious = (deviation * coverageFactor(freedom)) / coverageFactor(Number.MAX_SAFE_INTEGER);
  return { deviation, spread: slopes.map((slope) => Math.hypot(1, (cautious * slope) / level)) };
}
