// Finds where a capture lies on a run's clock: the delay that makes both most alike. First every delay on a coarse grid is tried
// by correlation; then samples and curve are fitted to each other, to a small part of the samples' distance. Correlation depends
// on the shape alone, so an instrument's gain and offset do not affect the delay.
import { refusal } from "../base/diagnostic.js";
import type { Alignment } from "../instruments/held.js";
import { crossings } from "../measures/crossing.js";
import { leastSquares } from "../sizing/leastsquares.js";
import type { Trace } from "../waveforms/trace.js";
import { along } from "./along.js";
import { allowed, cells, highest, type Lag, Lags } from "./lags.js";

/** Where a capture lies, and how the instrument shows the values: sample = gain × value + offset. */
export interface Aligned {
  /** What is added to the capture's time, s. */
  readonly delay: number;
  readonly gain: number;
  /** In the unit of the samples. */
  readonly offset: number;
  /** Correlation coefficient of samples and curve there. */
  readonly correlation: number;
}

/** The most cells of time into which samples and curve are divided for the coarse search. */
const mostCells = 6000;
/** The most samples that take part in the last fit. */
const mostFitted = 20_000;
/** Lags that are looked at off the grid, before one that matches on it is taken. */
const mostTried = 12;
/** A correlation below this is no match; for one that only overlaps longer than the best, more is asked. */
const [leastAlike, leastLonger] = [0.5, 0.95];

/** By how much a capture must be more alike upside down to be taken for that: a symmetrical wave is as much so. */
const leastUpside = 0.2;
/** Cells by which samples that scatter on one more edge may move a place. */
const scatter = [-3, -2, -1, 0, 1, 2, 3];

/** Another channel of a capture, by whose edge it is aligned, and the trace that it shows. */
interface Companion {
  readonly samples: Trace;
  readonly trace: Trace;
}

/** What else is known of a capture that is aligned. */
interface Known {
  /** Its name in messages. */
  readonly name: string;
  /** The channel whose edge counts; the samples and the trace themselves unless given. */
  readonly companion?: Companion;
  /** True if its gain and offset are not known, so that levels say nothing. */
  readonly uncalibrated?: boolean;
  /** The instant, s, from which the trace repeats and the design's checks look at it: among equal matches a later one is preferred. */
  readonly settled?: number;
}

/**
 * Aligns samples with a trace.
 * @throws DesignError `flat-capture`, `no-match`, `no-edge`, `no-overlap`
 */
export function align(
  samples: Trace,
  trace: Trace,
  how: Alignment,
  { name, companion = { samples, trace }, uncalibrated = false, settled = 0 }: Known,
): Aligned {
  if (how === "correlation") {
    const rough = coarsest(samples, trace, name, settled);
    // The shape of a straight stretch fits anywhere along a straight curve, but its level does not.
    return finest(samples, trace, { ...rough, byLevel: rough.byLevel && !uncalibrated }, name);
  }
  if ("delay" in how) return scaleAt(samples, trace, how.delay, name);
  const edge = (of: Trace, what: string) => {
    const found = crossings(of, of.from, of.to, how.level).find((c) => c.direction === how.direction);
    if (found) return found.time;
    const where = `${how.level} ${companion.trace.unit}, ${how.direction}`;
    throw refusal(
      "no-edge",
      `${what} never goes through ${where}`,
      "align it by another edge, by another channel ('trigger'), or by a delay that is known",
    );
  };
  const seen = companion.samples === samples ? name : `${name}, where it shows '${companion.trace.name}',`;
  const delay = edge(companion.trace, companion.trace.name) - edge(companion.samples, seen);
  return scaleAt(samples, trace, delay, name);
}

/** Range of the samples, first and one past the last, that lie over a trace for any delay within its play. */
export function overlap(time: Float64Array, trace: Trace, delay: number, play = 0): [number, number] {
  let first = 0;
  while (first < time.length && time[first] + delay - play < trace.from) first++;
  let end = time.length;
  while (end > first && time[end - 1] + delay + play > trace.to) end--;
  return [first, end];
}

/** Gain, offset and correlation by a straight line through the values of both (linear regression). */
function regression(curve: ArrayLike<number>, samples: ArrayLike<number>): Omit<Aligned, "delay"> {
  const n = curve.length;
  let [x, y] = [0, 0];
  for (let k = 0; k < n; k++) {
    x += curve[k];
    y += samples[k];
  }
  x /= n;
  y /= n;
  let [xx, xy, yy] = [0, 0, 0];
  for (let k = 0; k < n; k++) {
    const [a, b] = [curve[k] - x, samples[k] - y];
    xx += a * a;
    xy += a * b;
    yy += b * b;
  }
  const gain = xx > 0 ? xy / xx : 1;
  return { gain, offset: y - gain * x, correlation: xx > 0 && yy > 0 ? xy / Math.sqrt(xx * yy) : 0 };
}

function scaleAt(samples: Trace, trace: Trace, delay: number, name: string): Aligned {
  const [first, end] = overlap(samples.time, trace, delay);
  if (end - first < 2)
    throw refusal(
      "no-overlap",
      `${name} does not lie over the run: with a delay of ${delay} s none of it does`,
    );
  const curve = along(trace, samples.time.subarray(first, end), delay);
  return { delay, ...regression(curve, samples.value.subarray(first, end)) };
}

/** A likely delay, to within a cell; the length of a cell, s; and whether the level decided it because the shape could not. */
interface Rough {
  readonly delay: number;
  readonly cell: number;
  readonly byLevel: boolean;
}

/** If equal matches lie side by side over more than this share of the capture, its shape does not fix its place. */
const plateau = 0.2;

function coarsest(samples: Trace, trace: Trace, name: string, settled: number): Rough {
  const usual = (samples.to - samples.from) / (samples.time.length - 1);
  const cell = Math.max(usual, Math.max(samples.to - samples.from, trace.to - trace.from) / mostCells);
  const own = cells(samples, cell);
  const curve = cells(trace, cell);
  if (Math.max(...own) === Math.min(...own))
    throw refusal("flat-capture", `${name} shows one value only, which fits everywhere`, "give its delay");
  const places = new Lags(own, curve);
  const shift = trace.from - samples.from;
  const delayOf = ({ lag }: Lag) => lag * cell + shift;
  const early = (place: Lag) => Number(samples.from + delayOf(place) < settled);
  const likest = highest(places.peaks);
  const upside = -places.lowest;
  if (upside > likest.likeness + leastUpside)
    throw refusal(
      "no-match",
      `${name} looks like '${trace.name}' upside down: the correlation is ${(-upside).toFixed(2)} there, and ${likest.likeness.toFixed(2)} at best`,
      "look whether the instrument inverts the channel, or the probe's clips are the other way round",
    );
  if (!(likest.likeness >= leastAlike))
    throw refusal(
      "no-match",
      `${name} looks like '${trace.name}' nowhere in the run: the best correlation is ${likest.likeness.toFixed(2)}`,
      "look whether the channel, the case and the attenuation are the right ones",
    );
  // Samples that scatter on an edge fit best where they do not overlap the run. A longer overlap is as good a match if those in the
  // shorter one match there as well.
  const longer = places.peaks.filter(
    (place) =>
      place.over > likest.over &&
      place.likeness >= leastLonger &&
      early(place) <= early(likest) &&
      scatter.some((by) => 1 - places.moved(likest, place.lag + by) <= allowed(likest.likeness)),
  );
  const best = longer.length > 0 ? highest(longer) : likest;
  // A periodic curve fits as well one period later. Of such places the one with the longest overlap is taken, then one where
  // the run has forgotten its start and the checks look, then the smallest delay.
  // `near` allows for bad samples: a place where fewer of them overlap the run may match a little better than the right one.
  const near = allowed(best.likeness);
  // The grid hits the edges of one period and misses those of another, by up to half of what a whole cell costs.
  const beside = Math.max(...places.beside(best).map(({ likeness }) => likeness), 0);
  const missed = near + (best.likeness - beside) / 2;
  const tops = places.peaks.filter(({ likeness }) => 1 - likeness <= missed);
  tops.sort((a, b) => b.over - a.over || early(a) - early(b) || Math.abs(delayOf(a)) - Math.abs(delayOf(b)));
  const sure = tops.findIndex(({ likeness }) => 1 - likeness <= near);
  const off = offGrid(samples, trace, cell);
  const limit = sure > 0 ? off(delayOf(tops[sure])) - (near - 1 + best.likeness) : 0;
  const before = tops.slice(0, Math.min(sure, mostTried));
  const top = before.find((place) => off(delayOf(place)) >= limit) ?? tops[sure];
  const alike = places.sideBySide(top, near);
  const byLevel = alike.length > plateau * own.length;
  const place = byLevel ? alike.reduce((a, b) => (places.offLevel(b) < places.offLevel(a) ? b : a)) : top;
  return { delay: delayOf(place), cell, byLevel };
}

/** The best correlation of samples and curve, not their means, within half a cell of a delay. */
function offGrid(samples: Trace, trace: Trace, cell: number): (delay: number) => number {
  const every = Math.ceil(samples.time.length / mostFitted);
  const [time, value] = [samples.time, samples.value].map((of) => of.filter((_, i) => i % every === 0));
  return (delay) => {
    let best = 0;
    for (let k = -6; k <= 6; k++) {
      const by = delay + (k / 12) * cell;
      const [first, end] = overlap(time, trace, by);
      const curve = along(trace, time.subarray(first, end), by);
      best = Math.max(best, regression(curve, value.subarray(first, end)).correlation);
    }
    return best;
  };
}

function finest(samples: Trace, trace: Trace, { delay, cell, byLevel }: Rough, name: string): Aligned {
  const play = 2 * cell;
  const [first, end] = overlap(samples.time, trace, delay, play);
  if (end - first < 8)
    throw refusal(
      "too-few-samples",
      `${name}: ${end - first} samples lie over the run, too few to align them`,
    );
  const every = Math.ceil((end - first) / mostFitted);
  const kept = (of: Float64Array) => of.subarray(first, end).filter((_, i) => i % every === 0);
  const [time, value] = [kept(samples.time), kept(samples.value)];
  const at = (d: number) => ({ delay: d, ...regression(along(trace, time, d), value) });
  let begin = byLevel ? { ...at(delay), gain: 1, offset: 0 } : at(delay);
  for (let k = -12; k <= 12 && !byLevel; k++) {
    const next = at(delay + (k / 12) * 1.5 * cell);
    if (next.correlation > begin.correlation) begin = next;
  }
  const swing = byLevel ? 0 : Math.max(Math.abs(begin.gain), 1e-12);
  const size = byLevel
    ? 0
    : Math.abs(begin.offset) + value.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
  const reach = byLevel ? 1.5 : 0.4;
  // The delay is counted in cells from where it begins, which suits the steps of the fit.
  const found = leastSquares(
    {
      misses: ([d, gain, offset]) => {
        const curve = along(trace, time, begin.delay + d * cell);
        return curve.map((v, k) => gain * v + offset - value[k]);
      },
      low: [-reach, begin.gain - swing, begin.offset - size],
      high: [reach, begin.gain + swing, begin.offset + size],
      small: 0,
      accuracy: 1e-9,
      slopes: { stride: 1e-3, central: true, noise: 1e-9 },
    },
    [0, begin.gain, begin.offset],
  );
  return found ? at(begin.delay + found.x[0] * cell) : begin;
}
