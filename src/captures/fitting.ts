// Captures while values are fitted to them: what is unknown of each instrument, the misses between runs and samples, and one fit of
// all unknowns at once. How samples are weighted and from where a fit starts is its caller's.
import type { Slopes } from "../sizing/leastsquares.js";
import type { Trace } from "../waveforms/trace.js";
import { type Estimate, estimate } from "./estimate.js";
import type { FitCapture, FitRuns } from "./fitruns.js";
import { smeared } from "./jitter.js";
import { stepOf } from "./layover.js";

/** Slopes for runs: the stride is far above their noise, and central differences cancel the curvature. */
const ofRuns: Slopes = { stride: 1e-3, central: true, noise: 1e-6 };

/** A capture that lies over the run. */
export interface PlacedCapture {
  readonly held: FitCapture;
  readonly samples: Trace;
  readonly time: Float64Array;
  readonly value: Float64Array;
  /** The delay as first found, and how far it may be off, s. */
  readonly delay: number;
  readonly play: number;
  /** Index of its delay among the unknowns; gain and offset follow. */
  readonly at: number;
}

/** A value to fit, with its range. */
export interface FittedRange {
  readonly name: string;
  readonly unit: string;
  readonly start: number;
  readonly low: number;
  readonly high: number;
  /** The size by which its changes are scaled; its own value unless given. */
  readonly size?: number;
}

/** The values to fit, and the runs. */
export interface FitSubject {
  readonly values: readonly FittedRange[];
  readonly runs: FitRuns;
  /** What the curves are taken from in place of the runs. */
  readonly near?: Pick<FitRuns, "curves">;
}

/** How the samples count: the weight of each capture, factors on its samples, and the deviation of their instants, s. */
export interface Weights {
  readonly weights: readonly number[];
  readonly factors?: readonly (Float64Array | undefined)[];
  readonly jitters?: readonly (number | undefined)[];
}

/** An estimate with the weights in it. */
export interface WeighedFit extends Weights {
  readonly estimate: Estimate;
}

/** From where a fit starts, how its samples count, and the unknowns that stay at a value, by index. */
export interface FitAgain extends Partial<Weights> {
  readonly start?: readonly number[];
  readonly fixed?: ReadonlyMap<number, number>;
  /** Slopes to one side only: half the runs, for a sum that need not be known closely. */
  readonly roughly?: boolean;
}

/** One fit of all values and of all that is unknown of the instruments. */
export function fitted(
  subject: FitSubject,
  placed: readonly PlacedCapture[],
  again: FitAgain = {},
): WeighedFit {
  const { start, weights = placed.map(() => 1), factors, jitters, fixed, roughly = false } = again;
  const unknowns = [...subject.values, ...placed.flatMap(instrumentOf)];
  const held = (of: "low" | "high") => unknowns.map((u, i) => fixed?.get(i) ?? u[of]);
  return {
    weights,
    factors,
    jitters,
    estimate: estimate({
      names: unknowns.map((u) => u.name),
      start: start ?? unknowns.map((u) => u.start),
      low: held("low"),
      high: held("high"),
      sizes: unknowns.map((u) => u.size),
      misses: missesOf(subject, placed, { weights, factors, jitters }),
      leastDeviation: leastDeviationOf(placed, weights),
      slopes: { ...ofRuns, central: !roughly },
      near: 0.1,
      leastDamping: 1e-7,
    }),
  };
}

/** The weighted misses of all samples as a function of the unknowns; NaN where no run comes of them. */
export function missesOf(
  { values, runs, near = runs }: FitSubject,
  placed: readonly PlacedCapture[],
  { weights, factors, jitters }: Weights,
): (x: readonly number[]) => Float64Array {
  const count = placed.reduce((sum, { time }) => sum + time.length, 0);
  return (x) => {
    const found = new Float64Array(count).fill(Number.NaN);
    const curves = near.curves(x.slice(0, values.length));
    if (!curves) return found;
    let k = 0;
    placed.forEach(({ held, time, value, delay, at }, one) => {
      const curve = smeared(curves[one], jitters?.[one])(time, delay + x[at]);
      const [gain, offset] = held.uncalibrated ? [x[at + 1], x[at + 2]] : [1, 0];
      const factor = factors?.[one];
      const weight = weights[one];
      for (let i = 0; i < time.length; i++)
        found[k++] = weight * (factor ? factor[i] : 1) * (gain * curve[i] + offset - value[i]);
    });
    return found;
  };
}

/** Scatter of a digital scale: its step over the root of twelve (JCGM 100:2008, F.2.2.1). */
export function leastScatter({ held }: PlacedCapture): number {
  return stepOf(held) / Math.sqrt(12);
}

/** The least deviation of weighted misses. */
export function leastDeviationOf(placed: readonly PlacedCapture[], weights: readonly number[]): number {
  return Math.max(...placed.map((one, k) => weights[k] * leastScatter(one)));
}

function instrumentOf({ held, play, value }: PlacedCapture): Omit<FittedRange, "unit">[] {
  const whose = `of ${held.capture.name}`;
  const delay = { name: `delay ${whose}`, start: 0, low: -play, high: play, size: 2 * play };
  if (!held.uncalibrated) return [delay];
  const size = value.reduce((most, v) => Math.max(most, Math.abs(v)), 0) || 1;
  return [
    delay,
    { name: `gain ${whose}`, start: 1, low: 0.5, high: 2 },
    { name: `offset ${whose}`, start: 0, low: -size, high: size, size },
  ];
}

/** Standard deviation of a capture's samples from the run, in their own unit. */
export function deviationOf(
  { estimate, weights }: WeighedFit,
  placed: readonly PlacedCapture[],
  one: number,
): number {
  const from = placed.slice(0, one).reduce((sum, { time }) => sum + time.length, 0);
  const count = placed[one].time.length;
  let sum = 0;
  for (let k = from; k < from + count; k++) sum += estimate.misses[k] ** 2;
  const share = estimate.freedom / (estimate.freedom + estimate.values.length);
  return Math.sqrt(sum / (count * share)) / weights[one];
}

/** Of a capture with more samples than this no more are looked at where the ends of intervals, or errors in time, are sought. */
const enough = 8192;
/** The golden section spreads the samples that are taken, so that they keep no step with a period. */
const golden = (Math.sqrt(5) - 1) / 2;

/** The samples that stand for a capture, by index: one of each so many, or all. */
export function picksOf({ time }: PlacedCapture): Int32Array {
  const n = time.length;
  if (n <= enough) return Int32Array.from(time, (_, i) => i);
  const each = n / enough;
  return Int32Array.from({ length: enough }, (_, k) => Math.floor((k + ((k * golden) % 1)) * each));
}

/**
 * A fit as the samples that stand for the captures see it: each counts for all that it stands for, and shows the run, since of so
 * many the scatter averages out. The same where these are all the samples.
 */
export function likeness(
  placed: readonly PlacedCapture[],
  found: WeighedFit,
): { readonly placed: readonly PlacedCapture[]; readonly weights: Weights; readonly sum: number } {
  if (placed.every(({ time }) => time.length <= enough))
    return { placed, weights: found, sum: found.estimate.sum };
  const { estimate, weights, factors, jitters } = found;
  let from = 0;
  const shown = placed.map((one, k) => {
    const picks = picksOf(one);
    const run = (i: number) =>
      one.value[i] + estimate.misses[from + i] / (weights[k] * (factors?.[k]?.[i] ?? 1));
    const [time, value] = [Float64Array.from(picks, (i) => one.time[i]), Float64Array.from(picks, run)];
    from += one.value.length;
    return { ...one, time, value };
  });
  const counted = placed.map((one, k) => {
    const picks = picksOf(one);
    const each = Math.sqrt(one.time.length / picks.length);
    return Float64Array.from(picks, (i) => each * (factors?.[k]?.[i] ?? 1));
  });
  return { placed: shown, weights: { weights, factors: counted, jitters }, sum: 0 };
}
