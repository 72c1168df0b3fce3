// Where a fit starts decides in which minimum it ends. Two sorts of captures have several. An uncalibrated gain slides with a value
// along a valley, until something like a guard stops it far from where it began. And where a curve jumps from one sample to the
// next, the delay has a minimum on either side of the instant at which a sample gets onto an edge. So fits start from several
// places, the best counts, and what explains the captures about as well is told beside it.
import type { Trace } from "../waveforms/trace.js";
import { along } from "./along.js";
import type { EstimatedValue } from "./estimate.js";
import { type FitSubject, fitted, type PlacedCapture, type WeighedFit } from "./fitting.js";
import { worthTelling } from "./intervals.js";
import { unknownsOf } from "./scatter.js";

/** A delay is shifted by this share of the samples' distance, and again from a better fit, at most so often. */
const [shift, shifts] = [1 / 8, 2];
/** A curve jumps if it moves by this share of its swing from one sample to the next. */
const jump = 0.1;
/** The sum of squares is a parabola in the delay if its bend changes by no more than this share within such a shift. */
const uneven = 0.1;
/** Fits are about as good up to this many times the sum at the end of an interval of 95 %: several minima are several chances. */
const alike = 3;

/** The fit to go on from; and the values of others that explain the captures about as well. */
export interface FitStarts {
  readonly once: WeighedFit;
  readonly others: readonly (readonly EstimatedValue[])[];
}

/** The best fit from several starts. Of those about as good, the one counts whose gains are nearest to what they should be. */
export function started(subject: FitSubject, all: readonly PlacedCapture[]): FitStarts {
  const fits = [fitted(subject, all)];
  const gains = all.flatMap(({ held, at }) => (held.uncalibrated ? [at + 1] : []));
  if (gains.length > 0) {
    const still = fitted(subject, all, { fixed: new Map(gains.map((i) => [i, 1])) });
    fits.push(fitted(subject, all, { start: unknownsOf(still) }));
  }
  fits.push(...shifted(subject, all, lowest(fits)));
  const least = lowest(fits);
  const limit = least.estimate.sum + alike * worthTelling(least, all);
  const off = (one: WeighedFit) => gains.reduce((sum, i) => sum + Math.abs(Math.log(unknownsOf(one)[i])), 0);
  const good = fits
    .filter(({ estimate }) => estimate.sum <= limit)
    .sort((a, b) => off(a) - off(b) || a.estimate.sum - b.estimate.sum);
  const count = subject.values.length;
  const told: EstimatedValue[][] = [];
  for (const { estimate } of good) {
    const values = estimate.values.slice(0, count);
    if (told.every((other) => values.some((one, i) => apart(one, other[i])))) told.push(values);
  }
  // Of several delays the lowest counts: before bad samples are left out, they would make the intervals of the others too wide.
  return { once: good[0], others: gains.length > 0 ? told.slice(1) : [] };
}

/** A value whose interval reaches over that of another fit. */
export function spanned(one: EstimatedValue, other: EstimatedValue): EstimatedValue {
  const low = Math.min(one.interval.low, other.interval.low);
  const high = Math.max(one.interval.high, other.interval.high);
  const half = (one.interval.high - one.interval.low) / 2;
  const wider = Math.max(1, Math.max(high - one.value, one.value - low) / half);
  // Without an interval of its own a value keeps what is said of it.
  return wider > 0 ? { ...one, uncertainty: one.uncertainty * wider, interval: { low, high } } : one;
}

function apart(one: EstimatedValue, other: EstimatedValue): boolean {
  const narrow = Math.min(...[one, other].map(({ interval }) => interval.high - interval.low));
  return Math.abs(one.value - other.value) > narrow;
}

function lowest(fits: readonly WeighedFit[]): WeighedFit {
  return fits.reduce((a, b) => (b.estimate.sum < a.estimate.sum ? b : a));
}

/** Fits from delays a little off, for captures whose curve jumps between samples. */
function shifted(subject: FitSubject, all: readonly PlacedCapture[], first: WeighedFit): WeighedFit[] {
  const traces = subject.runs.at(unknownsOf(first).slice(0, subject.values.length));
  if (!traces) return [];
  const found: WeighedFit[] = [];
  all.forEach((one, k) => {
    const { time, at } = one;
    const by = (shift * (time[time.length - 1] - time[0])) / (time.length - 1);
    const from = unknownsOf(lowest([first, ...found]));
    if (!jumps(one, traces[k], from) || even(one, traces[k], from, by)) return;
    for (let more = 0; more < shifts; more++) {
      const best = lowest([first, ...found]);
      const start = (sign: number) => unknownsOf(best).map((v, i) => (i === at ? v + sign * by : v));
      found.push(...[-1, 1].map((sign) => fitted(subject, all, { start: start(sign) })));
      // What the fits differ by where they have come to the same place is no better.
      const gain = best.estimate.sum - lowest(found).estimate.sum;
      if (gain < 0.01 * worthTelling(best, all)) break;
    }
  });
  return found;
}

/** Whether the sum rises from a delay to both sides as a parabola does: so it is where edges have samples enough. */
function even(one: PlacedCapture, trace: Trace, unknowns: readonly number[], by: number): boolean {
  const { time, value, delay, at, held } = one;
  const [gain, offset] = held.uncalibrated ? [unknowns[at + 1], unknowns[at + 2]] : [1, 0];
  const sum = (off: number) =>
    along(trace, time, delay + unknowns[at] + off).reduce(
      (all, v, i) => all + (gain * v + offset - value[i]) ** 2,
      0,
    );
  const middle = sum(0);
  const rise = (off: number) => sum(off) + sum(-off) - 2 * middle;
  const share = rise(by) / (4 * rise(by / 2));
  return share > 1 - uneven && share < 1 + uneven;
}

/** Whether the curve that a capture shows jumps from one sample to the next. */
export function jumps(
  { time, delay, at }: PlacedCapture,
  trace: Trace,
  unknowns: readonly number[],
): boolean {
  const curve = along(trace, time, delay + unknowns[at]);
  let [low, high, most] = [curve[0], curve[0], 0];
  for (let k = 1; k < curve.length; k++) {
    low = Math.min(low, curve[k]);
    high = Math.max(high, curve[k]);
    most = Math.max(most, Math.abs(curve[k] - curve[k - 1]));
  }
  return most > jump * (high - low);
}
