// Estimates values of a design from captures: those with which the runs come closest to the samples, and their uncertainties.
// What is not known of an instrument widens the intervals: the delay of each capture is estimated too, and its gain and offset
// if it is uncalibrated.
import { asked, type Given, refuseOption } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";
import type { SettableValue } from "../design/revalue.js";
import { settableNamed, settableTo } from "../judging/settable.js";
import { inRange } from "../parts/range.js";
import { probeOf } from "../reading/probe.js";
import { caseNamed, type SimulateOptions } from "../simulation/options.js";
import type { Slopes } from "../sizing/leastsquares.js";
import type { Trace } from "../waveforms/trace.js";
import { along, overlap } from "./alignment.js";
import { type Estimate, type EstimatedValue, estimate } from "./estimate.js";
import { type FitCapture, FitRuns } from "./fitruns.js";
import { aligned, heldTrace, stepOf, triggerOf } from "./layover.js";
import { goodOnes, huberFactors, steadyDeviation } from "./outliers.js";

/** A value to estimate. */
export interface FitValue {
  /** Its full name: a named value, a part for its value, or a part's property. */
  readonly name: string;
  /** The least it may be; a tenth of the design's value unless given. */
  readonly from?: Given;
  /** The most it may be; ten times the design's value unless given. */
  readonly to?: Given;
}

/** What to fit, and to which captures. */
export interface FitOptions {
  /** Values, by name or with a range. */
  readonly values: readonly (string | FitValue)[];
  /** Captures; those of one case share its run. */
  readonly captures: readonly FitCapture[];
  /** False if every sample counts, even one that is bad by all the others. */
  readonly robust?: boolean;
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
}

/** The delay of a capture, and the gain and offset of its instrument. */
export interface FitInstrument {
  /** What is added to its time, s. */
  readonly delay: EstimatedValue;
  /** Only for an uncalibrated instrument, like the offset. */
  readonly gain?: EstimatedValue;
  /** In the unit of the samples. */
  readonly offset?: EstimatedValue;
  /** Standard deviation of its samples from the run, in their unit. */
  readonly deviation: number;
  /** How many samples took part. */
  readonly samples: number;
  /** How many were left out as bad: few, and too far from the run for scatter to explain. */
  readonly bad: number;
}

/** Values fitted to captures. SI units. */
export interface Fit extends Estimate {
  /** SI units of the values. */
  readonly units: readonly string[];
  /** By capture, in the order given. */
  readonly instruments: readonly FitInstrument[];
  /** How many runs it took. */
  readonly runs: number;
}

/** Slopes for runs: the stride is far above their noise, and central differences cancel the curvature. */
const ofRuns: Slopes = { stride: 1e-3, central: true, noise: 1e-6 };
/** The delay may move by this share of the capture plus this many samples. */
const [playShare, playSamples] = [2e-3, 4];

/** A capture while it is fitted. */
interface Fitting {
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

/**
 * Estimates values of a design from captures, with standard uncertainties, intervals of 95 % and correlations (JCGM 100:2008).
 * The scatter is that of the residuals between samples and runs, and never below that of a digital scale.
 *
 * @category Captures
 * @example
 * ```ts
 * const capture = readCapture(readFileSync("examples/captures/timing.csv", "utf8"));
 * fit(design, { values: ["timing"], captures: [{ capture, of: "ramp" }] }).values[0].value.toPrecision(2); // "1.8e-8"
 * ```
 * @throws DesignError `bad-option`, `too-few-samples`, and what `layOver` throws
 */
export function fit(design: Design, options: FitOptions): Fit {
  handed("design", design);
  asked(options, { values: "object", captures: "object", robust: "flag", simulate: "object" });
  const { captures } = options;
  if (!(options.values?.length > 0)) refuseOption("values", "there is nothing to fit");
  if (!(captures?.length > 0)) refuseOption("captures", "there is nothing to fit to");
  const values = options.values.map((v) => rangeOf(design, typeof v === "string" ? { name: v } : v));
  // The traces whose edges align captures are needed as well; they follow those of the captures.
  const beside = captures.map(triggerOf);
  const triggers = captures.flatMap(({ case: name }, k) => (beside[k] ? [{ ...beside[k], case: name }] : []));
  const names = values.map((v) => v.name);
  const runs = new FitRuns(design, names, [...captures, ...triggers], options.simulate);
  const start = values.map((v) => v.start);
  const all = placed(design, captures, runs.at(start)!, values.length);
  const subject: Subject = { values, runs };
  const once = fitted(subject, all);
  const { fittings, found } =
    options.robust === false ? { fittings: all, found: once } : withoutBad(subject, all, once);
  // Samples of several instruments are weighted by their scatter, which the first fit shows.
  const last =
    captures.length === 1 && found === once
      ? once
      : fitted(subject, fittings, { from: found, weights: all.map((_, k) => weightOf(found, all, k)) });
  const units = values.map((v) => v.unit);
  const instruments = fittings.map(({ at, held, delay, time }, k): FitInstrument => {
    const [own, gain, offset] = last.estimate.values.slice(at, at + (held.uncalibrated ? 3 : 1));
    const { low, high } = own.interval;
    return {
      delay: { ...own, value: own.value + delay, interval: { low: low + delay, high: high + delay } },
      gain,
      offset,
      deviation: deviationOf(last, fittings, k),
      samples: time.length,
      bad: all[k].time.length - time.length,
    };
  });
  const count = values.length;
  return {
    ...last.estimate,
    values: last.estimate.values.slice(0, count),
    correlation: last.estimate.correlation.slice(0, count).map((row) => row.slice(0, count)),
    units,
    instruments,
    runs: runs.count,
  };
}

interface FittedRange {
  readonly name: string;
  readonly unit: string;
  readonly start: number;
  readonly low: number;
  readonly high: number;
  /** The size by which its changes are scaled; its own value unless given. */
  readonly size?: number;
}

function rangeOf(design: Design, { name, from, to }: FitValue): FittedRange {
  const value = settableNamed(design, name, "values");
  const start = toNumber(value.amount.value);
  const low = toNumber(from === undefined ? usualEnd(value, false) : settableTo(value, from, "from"));
  const high = toNumber(to === undefined ? usualEnd(value, true) : settableTo(value, to, "to"));
  if (!(low < high)) refuseOption("values", `the range of '${name}' does not rise`, "give 'from' and 'to'");
  return { name, unit: unitOf(value.amount.dimension), start, low, high };
}

// Ten times the value, or a tenth of it; for a negative value the other way round.
function usualEnd({ amount: { value }, range }: SettableValue, upper: boolean): Fraction {
  const grows = upper === value.s >= 0n;
  const far = grows ? value.mul(ratio(10)) : value.div(ratio(10));
  return inRange(far, range) ? far : ratio(upper ? 1 : 0);
}

// Each capture at its delay over the run of the design as it stands.
function placed(
  design: Design,
  captures: readonly FitCapture[],
  traces: readonly Trace[] | undefined,
  values: number,
): Fitting[] {
  let at = values;
  let next = captures.length;
  return captures.map((held, k) => {
    const one = caseNamed(design, held.case);
    const { unit } = probeOf(one, held.of);
    const samples = heldTrace(held, unit);
    if (!traces) return refuseOption("captures", "with the values as the design has them a run stops early");
    const { delay } = aligned(held, samples, traces[k], one, () => traces[next++]);
    const { from, to } = samples;
    const play = playShare * (to - from) + (playSamples * (to - from)) / (samples.time.length - 1);
    const [first, end] = overlap(samples.time, traces[k], delay, play);
    const own = { held, samples, delay, play, at };
    at += held.uncalibrated ? 3 : 1;
    return { ...own, time: samples.time.subarray(first, end), value: samples.value.subarray(first, end) };
  });
}

/** The values to fit, and the runs. */
interface Subject {
  readonly values: readonly FittedRange[];
  readonly runs: FitRuns;
}

/** An estimate with the weight of each capture, and of each sample, in it. */
interface Weighed {
  readonly estimate: Estimate;
  readonly weights: readonly number[];
  readonly factors?: readonly Float64Array[];
}

/** The estimate that a fit starts from, and its weights. */
interface FitAgain extends Partial<Omit<Weighed, "estimate">> {
  readonly from?: Weighed;
}

function fitted({ values, runs }: Subject, fittings: readonly Fitting[], again: FitAgain = {}): Weighed {
  const { from, weights = fittings.map(() => 1), factors } = again;
  const unknowns = [...values, ...fittings.flatMap(instrumentOf)];
  const count = fittings.reduce((sum, { time }) => sum + time.length, 0);
  const misses = (x: readonly number[]) => {
    const found = new Float64Array(count).fill(Number.NaN);
    const traces = runs.at(x.slice(0, values.length));
    if (!traces) return found;
    let k = 0;
    fittings.forEach(({ held, time, value, delay, at }, one) => {
      const curve = along(traces[one], time, delay + x[at]);
      const [gain, offset] = held.uncalibrated ? [x[at + 1], x[at + 2]] : [1, 0];
      const factor = factors?.[one];
      for (let i = 0; i < time.length; i++)
        found[k++] = weights[one] * (factor ? factor[i] : 1) * (gain * curve[i] + offset - value[i]);
    });
    return found;
  };
  // Scatter of a digital scale: its step over the root of twelve (JCGM 100:2008, F.2.2.1).
  const scales = fittings.map((one, k) => weights[k] * leastScatter(one));
  return {
    weights,
    factors,
    estimate: estimate({
      names: unknowns.map((u) => u.name),
      start: from?.estimate.values.map((v) => v.value) ?? unknowns.map((u) => u.start),
      low: unknowns.map((u) => u.low),
      high: unknowns.map((u) => u.high),
      sizes: unknowns.map((u) => u.size),
      misses,
      leastDeviation: Math.max(...scales),
      slopes: ofRuns,
      near: 0.1,
      leastDamping: 1e-7,
    }),
  };
}

/** Rounds in which bad samples are sought, each starting from the fit of the one before. */
const huberRounds = 3;

/** The captures without their bad samples, and the fit that found these; both unchanged if none is bad. */
function withoutBad(
  subject: Subject,
  all: readonly Fitting[],
  once: Weighed,
): { fittings: readonly Fitting[]; found: Weighed } {
  let found = once;
  let seen = all.map((_, k) => scatterOf(found, all, k));
  if (!seen.some(({ misses, deviation }) => goodOnes(misses, deviation))) return { fittings: all, found };
  for (let round = 0; round < huberRounds; round++) {
    const factors = seen.map(({ misses, deviation }) => huberFactors(misses, deviation));
    found = fitted(subject, all, { from: found, factors });
    seen = all.map((_, k) => scatterOf(found, all, k));
  }
  const fittings = all.map((one, k) => {
    const good = goodOnes(seen[k].misses, seen[k].deviation);
    const kept = (of: Float64Array) => Float64Array.from(good!, (i) => of[i]);
    return good ? { ...one, time: kept(one.time), value: kept(one.value) } : one;
  });
  return fittings.some((one, k) => one !== all[k]) ? { fittings, found } : { fittings: all, found: once };
}

/** The misses between the samples of a capture and the run, in the samples' unit, and their scatter. */
function scatterOf({ estimate, weights, factors }: Weighed, fittings: readonly Fitting[], one: number) {
  const from = fittings.slice(0, one).reduce((sum, { time }) => sum + time.length, 0);
  const misses = Float64Array.from(
    fittings[one].time,
    (_, i) => estimate.misses[from + i] / weights[one] / (factors?.[one][i] ?? 1),
  );
  return { misses, deviation: steadyDeviation(misses, leastScatter(fittings[one])) };
}

function leastScatter({ held }: Fitting): number {
  return stepOf(held) / Math.sqrt(12);
}

function instrumentOf({ held, play, value }: Fitting): Omit<FittedRange, "unit">[] {
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

function weightOf(found: Weighed, fittings: readonly Fitting[], one: number): number {
  const scatter = found.factors
    ? scatterOf(found, fittings, one).deviation
    : Math.max(deviationOf(found, fittings, one), leastScatter(fittings[one]));
  return scatter > 0 ? 1 / scatter : 1;
}

/** Standard deviation of a capture's samples from the run, in their own unit. */
function deviationOf({ estimate, weights }: Weighed, fittings: readonly Fitting[], one: number): number {
  const from = fittings.slice(0, one).reduce((sum, { time }) => sum + time.length, 0);
  const count = fittings[one].time.length;
  let sum = 0;
  for (let k = from; k < from + count; k++) sum += estimate.misses[k] ** 2;
  const share = estimate.freedom / (estimate.freedom + estimate.values.length);
  return Math.sqrt(sum / (count * share)) / weights[one];
}
