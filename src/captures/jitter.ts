// An instrument does not take its samples exactly when it says. On a level that changes nothing; on an edge a sample is off by what
// the curve moves in the error of time, so that it scatters far more than the others. Such samples count by less: the variance of
// each is that of a level sample plus that of the curve over the instants at which it may have been taken, and the curve is compared
// by its mean over these (with a straight curve: slope squared times the variance of time, and the curve itself; the effective
// variance of J. Orear, Am. J. Phys. 50 (1982) 912). At the foot of an edge the slope alone would say that time does not matter.
import type { Curve } from "./fitruns.js";

/**
 * Instants, in deviations to either side, that stand for a normal distribution, and their shares: Gauss and Hermite's rule of seven
 * (M. Abramowitz & I. A. Stegun, Handbook of Mathematical Functions, table 25.10, times the root of two and over that of pi).
 */
const instants = [
  [1.154405394739968, 0.240123178605013],
  [2.366759410734541, 0.0307571239675865],
  [3.750439717725742, 0.00054826885597222],
];

/** Deviations of time that are tried, as the most by which they make a sample scatter more: equal ratios, then their roots. */
const [leastRatio, mostRatio, ratios, halvings] = [0.5, 500, 12, 3];
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
/**
 * By what factor errors in time may be larger than they seem, where it is asked which samples they do not explain: a fit that has
 * taken a few samples of an edge for bad finds too small ones.
 */
const sparing = 3;

/** The samples of a capture, and the run they are compared with. */
export interface Sampled {
  readonly value: Float64Array;
  /** The run at the instant of each sample and so many seconds later, in the samples' unit. */
  readonly shown: (by: number) => Float64Array;
  /** A time, s, within which the run is about straight. */
  readonly brief: number;
}

/** The errors in time of a capture's samples. */
export interface Jitter {
  /** Their standard deviation, s. */
  readonly deviation: number;
  /** Run less sample, where the run is its mean over the instants at which a sample may have been taken. */
  readonly misses: Float64Array;
  /** How far each is off all that the run shows where it may have been taken. */
  readonly beyond: Float64Array;
  /** By how much more each sample scatters than one on a level. */
  readonly spread: Float64Array;
}

/** A curve as samples show it on the average that are taken off their instants by a standard deviation of so many seconds. */
export function smeared(curve: Curve, deviation: number | undefined): Curve {
  if (!deviation) return curve;
  return (time, shift) => momentsOf((by) => curve(time, shift + by), deviation).mean;
}

/** A deviation of time, s, and by how much it is likelier than none, in twice the log likelihood. */
interface Tried {
  readonly times: number;
  readonly gain: number;
}

/** Of the curve at each sample. */
interface Moments {
  readonly mean: Float64Array;
  readonly variance: Float64Array;
}

/** Mean and variance of a curve over the instants at which each sample may have been taken. */
function momentsOf(shown: (by: number) => Float64Array, deviation: number): Moments {
  const own = shown(0);
  const [sum, squares] = [new Float64Array(own.length), new Float64Array(own.length)];
  for (const [far, share] of instants)
    for (const sign of [-1, 1]) {
      const there = shown(sign * far * deviation);
      for (let k = 0; k < own.length; k++) {
        const off = there[k] - own[k];
        sum[k] += share * off;
        squares[k] += share * off * off;
      }
    }
  return { mean: sum.map((v, k) => own[k] + v), variance: squares.map((v, k) => v - sum[k] ** 2) };
}

/** How far samples are off all that a curve is where they may have been taken. */
function beyondOf({ value, shown }: Sampled, deviation: number): Float64Array {
  const low = shown(0);
  const high = low.slice();
  for (let far = -cut; far <= cut; far++)
    shown(far * sparing * deviation).forEach((v, k) => {
      low[k] = Math.min(low[k], v);
      high[k] = Math.max(high[k], v);
    });
  return value.map((v, k) => Math.max(low[k] - v, v - high[k], 0));
}

/**
 * Errors in time that samples show; undefined if none.
 * @param few those that stand for all where the deviation is sought
 * @param level deviation of a sample on a level
 */
export function jitterOf({ value, shown }: Sampled, few: Sampled, level: number): Jitter | undefined {
  const { brief } = few;
  const [before, after] = [few.shown(-brief), few.shown(brief)];
  const steepest = after.reduce((most, v, k) => Math.max(most, Math.abs(v - before[k])), 0) / (2 * brief);
  if (!(steepest > 0) || !(level > 0)) return undefined;
  const unit = level / steepest;
  const likely = (moments: Moments) =>
    (value.length / few.value.length) * likelihood(few.value, moments, level);
  const none = likely({ mean: few.shown(0), variance: few.shown(0).fill(0) });
  const tried = (times: number) => ({ times, gain: likely(momentsOf(few.shown, times)) - none });
  const better = (a: Tried, b: Tried) => (b.gain > a.gain ? b : a);
  let ratio = (mostRatio / leastRatio) ** (1 / ratios);
  let best = Array.from({ length: ratios + 1 }, (_, k) => tried(unit * leastRatio * ratio ** k)).reduce(
    better,
  );
  for (let k = 0; k < halvings && best.gain > 0; k++) {
    ratio = Math.sqrt(ratio);
    best = [best.times / ratio, best.times * ratio].map(tried).reduce(better, best);
  }
  if (best.gain < real) return undefined;
  const { mean, variance } = momentsOf(shown, best.times);
  const misses = mean.map((v, k) => v - value[k]);
  const beyond = beyondOf({ value, shown, brief }, best.times);
  let [steep, off, wild] = [0, 0, 0];
  variance.forEach((v, k) => {
    const own = v / level ** 2;
    if (own <= 1) {
      if (beyond[k] > 2 * cut * level) wild++;
      return;
    }
    steep++;
    if (Math.abs(misses[k]) > moved * level) off++;
  });
  // A single bad sample on an edge looks like an error in time, but the others there stay where they are.
  // Where samples on a level are bad, those far off on an edge are as well.
  if (2 * off < steep || wild > 0) return undefined;
  return {
    deviation: best.times,
    misses,
    beyond,
    spread: variance.map((v) => Math.hypot(1, Math.sqrt(v) / level)),
  };
}

/** Twice the log likelihood of samples. */
function likelihood(value: Float64Array, { mean, variance }: Moments, level: number): number {
  let [sum, product] = [0, 1];
  for (let k = 0; k < value.length; k++) {
    // Squares in deviations on a level.
    const own = 1 + variance[k] / level ** 2;
    sum -= Math.min(((mean[k] - value[k]) / level) ** 2 / own, cut * cut);
    // One logarithm for many factors.
    product *= own;
    if (product < 1e200) continue;
    sum -= Math.log(product);
    product = 1;
  }
  return sum - Math.log(product);
}
