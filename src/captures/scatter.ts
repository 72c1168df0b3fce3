// How far the samples of each capture scatter from the run, which of them are bad, and the fit that counts each by its scatter.
import { along } from "./along.js";
import {
  deviationOf,
  type FitSubject,
  fitted,
  leastScatter,
  type PlacedCapture,
  picksOf,
  type WeighedFit,
} from "./fitting.js";
import { type Jitter, jitterOf, type Sampled } from "./jitter.js";
import { goodOnes, huberFactors, steadyDeviation } from "./outliers.js";

/** Rounds in which bad samples and errors in time are sought, each starting from the fit of the one before. */
const rounds = 3;
/** Slopes are taken over this share of the samples' distance. */
const slopeShare = 0.05;

/** The scatter of a capture's samples. */
interface Scatter {
  /** Deviation of a sample on a level. */
  readonly deviation: number;
  readonly jitter?: Jitter;
  /** Run less sample, in the samples' unit, as samples on a level would show it. */
  readonly levelled: Float64Array;
}

/** A fit in which every good sample counts by its scatter. */
export interface SteadyFit {
  /** The captures without their bad samples. */
  readonly placed: readonly PlacedCapture[];
  readonly found: WeighedFit;
  /** Errors in time by capture, where there are any. */
  readonly jitters: readonly (Jitter | undefined)[];
}

/**
 * Fits again, without bad samples and with the others weighted by how far they scatter; the same fit if it need not.
 * @param robust false if every sample counts
 */
export function steadied(
  subject: FitSubject,
  all: readonly PlacedCapture[],
  once: WeighedFit,
  robust: boolean,
): SteadyFit {
  let found = once;
  let seen = scattersOf(subject, all, found);
  const bad = ({ levelled, deviation }: Scatter) => robust && goodOnes(levelled, deviation) !== undefined;
  const uneven = seen.some((one) => bad(one) || one.jitter);
  for (let round = 0; uneven && round < rounds; round++) {
    const factors = seen.map(({ levelled, deviation, jitter }) => {
      const huber = robust ? huberFactors(levelled, deviation) : new Float64Array(levelled.length).fill(1);
      return jitter ? huber.map((f, i) => f / jitter.spread[i]) : huber;
    });
    found = fitted(subject, all, {
      start: unknownsOf(found),
      weights: found.weights,
      factors,
      jitters: jittersOf(seen),
    });
    seen = scattersOf(subject, all, found);
  }
  // Samples of several instruments are weighted by their scatter, which the fits so far show.
  const weights = all.map((_, k) => {
    const scatter = uneven ? seen[k].deviation : Math.max(deviationOf(found, all, k), leastScatter(all[k]));
    return scatter > 0 ? 1 / scatter : 1;
  });
  const good = seen.map(({ jitter, levelled, deviation }) =>
    robust ? goodOnes(jitter?.beyond ?? levelled, deviation) : undefined,
  );
  const jitters = seen.map((one) => one.jitter);
  if (all.length === 1 && !good[0] && !jitters[0]) return { placed: all, found: once, jitters };
  const keep = (of: Float64Array, k: number) => (good[k] ? Float64Array.from(good[k], (i) => of[i]) : of);
  const placed = all.map((one, k) => ({ ...one, time: keep(one.time, k), value: keep(one.value, k) }));
  const factors = jitters.map((one, k) => one && keep(one.spread, k).map((v) => 1 / v));
  const how = { start: unknownsOf(found), weights, factors, jitters: jittersOf(seen) };
  return { placed, found: fitted(subject, placed, how), jitters };
}

function jittersOf(seen: readonly Scatter[]): (number | undefined)[] {
  return seen.map((one) => one.jitter?.deviation);
}

/** The unknowns of a fit, to start another from. */
export function unknownsOf({ estimate }: WeighedFit): number[] {
  return estimate.values.map((v) => v.value);
}

function scattersOf(subject: FitSubject, placed: readonly PlacedCapture[], found: WeighedFit): Scatter[] {
  const { estimate, weights, factors } = found;
  const x = unknownsOf(found);
  const traces = subject.runs.at(x.slice(0, subject.values.length))!;
  let from = 0;
  return placed.map((one, k) => {
    const { time, value, delay, at, held } = one;
    const misses = Float64Array.from(
      time,
      (_, i) => estimate.misses[from + i] / weights[k] / (factors?.[k]?.[i] ?? 1),
    );
    from += time.length;
    const deviation = steadyDeviation(misses, leastScatter(one));
    const gain = held.uncalibrated ? x[at + 1] : 1;
    const offset = held.uncalibrated ? x[at + 2] : 0;
    const brief = (slopeShare * (time[time.length - 1] - time[0])) / (time.length - 1);
    const sampled = (times: Float64Array, values: Float64Array): Sampled => ({
      value: values,
      shown: (by) => along(traces[k], times, delay + x[at] + by).map((v) => gain * v + offset),
      brief,
    });
    const picked = (of: Float64Array) => Float64Array.from(picksOf(one), (i) => of[i]);
    const few = sampled(picked(time), picked(value));
    const jitter = jitterOf(sampled(time, value), few, deviation);
    return {
      deviation,
      jitter,
      levelled: jitter ? jitter.misses.map((m, i) => m / jitter.spread[i]) : misses,
    };
  });
}
