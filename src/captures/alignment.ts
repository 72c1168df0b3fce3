// Where on a run's clock a capture belongs: the delay that makes both most alike. First every delay is tried on a coarse grid, by
// correlation; then samples and curve are fitted to each other, to a small part of the samples' distance. Correlation looks at the
// shape alone, so that an instrument's gain and offset take no part in where it lies.
import { refusal } from "../base/diagnostic.js";
import type { Alignment } from "../instruments/held.js";
import { crossings } from "../measures/crossing.js";
import { leastSquares } from "../sizing/leastsquares.js";
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";

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

/** The most stretches of time that samples and curve are brought to for the coarse search. */
const mostCells = 6000;
/** So much of the shorter of both has to lie over the other. */
const leastOverlap = 0.5;
/** The most samples that take part in the last fit. */
const mostFitted = 20_000;
/** Less than this is no likeness. */
const leastAlike = 0.5;

/** Another channel of a capture, by whose edge it is aligned, and the trace that it shows. */
export interface Companion {
  readonly samples: Trace;
  readonly trace: Trace;
}

/**
 * Aligns samples with a trace.
 * @param name what to call the capture in messages
 * @param companion whose edge counts; that of the samples and the trace themselves unless given
 * @throws DesignError `flat-capture`, `no-match`, `no-edge`, `no-overlap`
 */
export function align(
  samples: Trace,
  trace: Trace,
  how: Alignment,
  name: string,
  companion: Companion = { samples, trace },
): Aligned {
  if (how === "correlation") return finest(samples, trace, coarsest(samples, trace, name), name);
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

/** The values of a trace at rising instants, each later by a shift; all must lie inside. */
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

/** The samples that lie over a trace whatever the delay is within its play, the first and one behind the last of them. */
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
    x += curve[k] / n;
    y += samples[k] / n;
  }
  let [xx, xy, yy] = [0, 0, 0];
  for (let k = 0; k < n; k++) {
    xx += (curve[k] - x) ** 2;
    xy += (curve[k] - x) * (samples[k] - y);
    yy += (samples[k] - y) ** 2;
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

/** A likely delay, to within a cell, and how long a cell is, s. */
interface Rough {
  readonly delay: number;
  readonly cell: number;
}

function coarsest(samples: Trace, trace: Trace, name: string): Rough {
  const usual = (samples.to - samples.from) / (samples.time.length - 1);
  const cell = Math.max(usual, Math.max(samples.to - samples.from, trace.to - trace.from) / mostCells);
  const own = cells(samples, cell);
  const curve = cells(trace, cell);
  if (Math.max(...own) === Math.min(...own))
    throw refusal("flat-capture", `${name} shows one value only, which fits everywhere`, "give its delay");
  const least = Math.max(2, Math.ceil(leastOverlap * Math.min(own.length, curve.length)));
  const from = least - own.length;
  const found: { lag: number; likeness: number; over: number }[] = [];
  for (let lag = from; lag <= curve.length - least; lag++) {
    const [a, b] = [Math.max(0, -lag), Math.min(own.length, curve.length - lag)];
    const likeness = regression(curve.subarray(a + lag, b + lag), own.subarray(a, b)).correlation;
    found.push({ lag, likeness, over: b - a });
  }
  const best = Math.max(...found.map((f) => f.likeness));
  if (!(best >= leastAlike))
    throw refusal(
      "no-match",
      `${name} looks like '${trace.name}' nowhere in the run: the best correlation is ${best.toFixed(2)}`,
      "look whether the channel, the case and the attenuation are the right ones",
    );
  // What repeats fits as well one period on: of such places the one that compares most, and next to no delay.
  // Where some samples are bad, a place with fewer of them over the run is a little likelier than the right one.
  const near = 1 - best + 1e-4 + Math.min(0.06, 0.5 * (1 - best));
  const tops = found.filter(
    ({ likeness }, k) =>
      1 - likeness <= near && !(found[k - 1]?.likeness > likeness) && !(found[k + 1]?.likeness > likeness),
  );
  const shift = trace.from - samples.from;
  const [top] = tops.sort(
    (a, b) => b.over - a.over || Math.abs(a.lag * cell + shift) - Math.abs(b.lag * cell + shift),
  );
  return { delay: top.lag * cell + shift, cell };
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

function finest(samples: Trace, trace: Trace, { delay, cell }: Rough, name: string): Aligned {
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
  let begin = at(delay);
  for (let k = -12; k <= 12; k++) {
    const next = at(delay + (k / 12) * 1.5 * cell);
    if (next.correlation > begin.correlation) begin = next;
  }
  const swing = Math.max(Math.abs(begin.gain), 1e-12);
  const size = Math.abs(begin.offset) + Math.max(...value.map(Math.abs));
  // The delay counts in cells from where it begins, so that its steps are small beside them.
  const found = leastSquares(
    {
      misses: ([d, gain, offset]) => {
        const curve = along(trace, time, begin.delay + d * cell);
        return curve.map((v, k) => gain * v + offset - value[k]);
      },
      low: [-0.4, begin.gain - swing, begin.offset - size],
      high: [0.4, begin.gain + swing, begin.offset + size],
      small: 0,
      accuracy: 1e-9,
      slopes: { stride: 1e-3, central: true, noise: 1e-9 },
    },
    [0, begin.gain, begin.offset],
  );
  return found ? at(begin.delay + found.x[0] * cell) : begin;
}
