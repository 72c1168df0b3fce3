// Finds where a capture lies on a run's clock: the delay that makes both most alike. First every delay on a coarse grid is tried
// by correlation; then samples and curve are fitted to each other, to a small part of the samples' distance. Correlation depends
// on the shape alone, so an instrument's gain and offset do not affect the delay.
import { refusal } from "../base/diagnostic.js";
import type { Alignment } from "../instruments/held.js";
import { crossings } from "../measures/crossing.js";
import { leastSquares } from "../sizing/leastsquares.js";
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";
import { correlation, Stretches } from "./correlation.js";

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
/** Share of the shorter one that must overlap the other. */
const leastOverlap = 0.5;
/** The most samples that take part in the last fit. */
const mostFitted = 20_000;
/** Places that are looked at off the grid, before one that matches on it is taken. */
const mostTried = 12;
/** A correlation below this is no match; for one that only overlaps longer than the best, more is asked. */
const [leastAlike, leastLonger] = [0.5, 0.95];

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

/** The values of a trace at rising instants, each shifted by `shift`; all must lie inside the trace. */
export function along(trace: Trace, time: Float64Array, shift: number): Float64Array {
  const found = new Float64Array(time.length);
  const arc = new Arc();
  let i = trace.index(time[0] + shift);
  let loaded = -1;
  for (let k = 0; k < time.length; k++) {
    const t = Math.min(Math.max(time[k] + shift, trace.from), trace.to);
    while (i + 1 < trace.time.length && trace.time[i + 1] <= t) i++;
    if (trace.time[i] === t) found[k] = trace.value[i];
    else {
      if (loaded !== i) arc.load(trace, i);
      loaded = i;
      found[k] = arc.value((t - arc.start) / arc.length);
    }
  }
  return found;
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
  const least = Math.max(2, Math.ceil(leastOverlap * Math.min(own.length, curve.length)));
  const from = least - own.length;
  const found: Place[] = [];
  const [moving, still] = [new Stretches(curve), new Stretches(own)];
  for (let lag = from; lag <= curve.length - least; lag++) {
    const [a, b] = [Math.max(0, -lag), Math.min(own.length, curve.length - lag)];
    found.push({ lag, likeness: correlation(moving, a + lag, still, a, b - a), over: b - a });
  }
  const shift = trace.from - samples.from;
  const delayOf = ({ lag }: Place) => lag * cell + shift;
  const early = (place: Place) => Number(samples.from + delayOf(place) < settled);
  const likest = found.reduce((a, b) => (b.likeness > a.likeness ? b : a));
  if (!(likest.likeness >= leastAlike))
    throw refusal(
      "no-match",
      `${name} looks like '${trace.name}' nowhere in the run: the best correlation is ${likest.likeness.toFixed(2)}`,
      "look whether the channel, the case and the attenuation are the right ones",
    );
  // Samples that scatter on an edge fit best where they do not overlap the run. A longer overlap is as good a match if those in the
  // shorter one match there as well.
  const begin = Math.max(0, -likest.lag);
  const there = (lag: number) =>
    lag < -begin || begin + likest.over + lag > curve.length
      ? 0
      : correlation(moving, begin + lag, still, begin, likest.over);
  const { likeness: best } = found.reduce(
    (a, b) =>
      b.over > likest.over &&
      b.likeness >= (a === likest ? leastLonger : a.likeness) &&
      early(b) <= early(likest) &&
      Math.max(...[-1, 0, 1].map((by) => there(b.lag + by))) >= 1 - allowed(likest.likeness)
        ? b
        : a,
    likest,
  );
  // A periodic curve fits as well one period later. Of such places the one with the longest overlap is taken, then one where
  // the run has forgotten its start and the checks look, then the smallest delay.
  // `near` allows for bad samples: a place where fewer of them overlap the run may match a little better than the right one.
  const near = allowed(best);
  // The grid hits the edges of one period and misses those of another, by up to half of what a whole cell costs.
  const at = found.findIndex(({ likeness }) => likeness === best);
  const beside = Math.max(found[at - 1]?.likeness ?? 0, found[at + 1]?.likeness ?? 0);
  const missed = near + (best - Math.max(beside, 0)) / 2;
  const tops = found.filter(
    ({ likeness }, k) =>
      1 - likeness <= missed && !(found[k - 1]?.likeness > likeness) && !(found[k + 1]?.likeness > likeness),
  );
  tops.sort((a, b) => b.over - a.over || early(a) - early(b) || Math.abs(delayOf(a)) - Math.abs(delayOf(b)));
  const sure = tops.findIndex(({ likeness }) => 1 - likeness <= near);
  const off = offGrid(samples, trace, cell);
  const limit = sure > 0 ? off(delayOf(tops[sure])) - (near - 1 + best) : 0;
  const before = tops.slice(0, Math.min(sure, mostTried));
  const top = before.find((place) => off(delayOf(place)) >= limit) ?? tops[sure];
  const alike = sideBySide(found, top, near);
  const byLevel = alike.length > plateau * own.length;
  const misfit = ({ lag }: Place) => offLevel(own, curve, lag);
  const place = byLevel ? alike.reduce((a, b) => (misfit(b) < misfit(a) ? b : a)) : top;
  return { delay: delayOf(place), cell, byLevel };
}

/** What a place may miss of a full correlation to be as good as the best one. */
function allowed(best: number): number {
  return 1 - best + 1e-4 + Math.min(0.06, 0.5 * (1 - best));
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

/** A delay in whole cells, the correlation there, and the overlap in cells. */
interface Place {
  readonly lag: number;
  readonly likeness: number;
  readonly over: number;
}

/** The unbroken stretch of places around one that match as well. */
function sideBySide(found: readonly Place[], top: Place, near: number): readonly Place[] {
  const at = found.indexOf(top);
  const good = (k: number) => k >= 0 && k < found.length && 1 - found[k].likeness <= near;
  let [from, to] = [at, at];
  while (good(from - 1)) from--;
  while (good(to + 1)) to++;
  return found.slice(from, to + 1);
}

/** Mean square of the difference between samples and curve. */
function offLevel(own: Float64Array, curve: Float64Array, lag: number): number {
  const [a, b] = [Math.max(0, -lag), Math.min(own.length, curve.length - lag)];
  let sum = 0;
  for (let k = a; k < b; k++) sum += (own[k] - curve[k + lag]) ** 2;
  return sum / (b - a);
}

/** Means over cells of time. */
function cells(trace: Trace, cell: number): Float64Array {
  const count = Math.max(1, Math.floor((trace.to - trace.from) / cell));
  const parts = 4;
  const instants = Float64Array.from(
    { length: count * parts },
    (_, k) => trace.from + ((k + 0.5) / parts) * cell,
  );
  const fine = along(trace, instants, 0);
  return Float64Array.from({ length: count }, (_, k) => {
    let sum = 0;
    for (let part = 0; part < parts; part++) sum += fine[k * parts + part];
    return sum / parts;
  });
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
