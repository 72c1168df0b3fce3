// Values of a design estimated from captures: those with which the runs come closest to the samples, and how well these know them.
// Takes a design, names of its values and captures held against its traces; gives an estimate. Always: where each capture lies in
// time is estimated along with the values, and so are gain and offset of the instrument where that is asked for, so that what is
// not known of the instrument widens the intervals.
import { asked, type Given, refuseOption } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import type { SettableValue } from "../design/revalue.js";
import { settableNamed, settableTo } from "../judging/settable.js";
import { inRange } from "../parts/range.js";
import { probeOf } from "../reading/probe.js";
import { caseNamed, type SimulateOptions } from "../simulation/options.js";
import type { Slopes } from "../sizing/leastsquares.js";
import type { Trace } from "../waveforms/trace.js";
import { align, along, overlap } from "./alignment.js";
import { type Estimate, type EstimatedValue, estimate } from "./estimate.js";
import { type FitCapture, FitRuns } from "./fitruns.js";
import { heldTrace } from "./layover.js";

/** A value to estimate. */
export interface FitValue {
  /** Its full name: a named value, a part for its value, or a part's property. */
  readonly name: string;
  /** The least it may be; a tenth of what the design says unless given. */
  readonly from?: Given;
  /** The most; ten times of it unless given. */
  readonly to?: Given;
}

/** What to fit to what. */
export interface FitOptions {
  /** Values, by name or with a range. */
  readonly values: readonly (string | FitValue)[];
  /** Captures; those of a case that several show share its run. */
  readonly captures: readonly FitCapture[];
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
}

/** Where a capture lies, and what the instrument makes of the values. */
export interface FitInstrument {
  /** What is added to its time, s. */
  readonly delay: EstimatedValue;
  /** Where they were asked for. */
  readonly gain?: EstimatedValue;
  /** In the unit of the samples. */
  readonly offset?: EstimatedValue;
  /** Standard deviation of its samples from the run, in their unit. */
  readonly deviation: number;
  /** How many samples took part. */
  readonly samples: number;
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

/** For runs: far above their noise; what bends over such a step cancels to both sides. */
const ofRuns: Slopes = { stride: 1e-3, central: true, noise: 1e-6 };
/** The delay may move by this share of the capture, and by some samples. */
const playShare = 2e-3;
const playSamples = 4;

/** A capture while it is fitted. */
interface Fitting {
  readonly held: FitCapture;
  readonly samples: Trace;
  readonly time: Float64Array;
  readonly value: Float64Array;
  /** Where the delay was found at first, and how far it may be off, s. */
  readonly delay: number;
  readonly play: number;
  /** Where its delay stands among the unknowns; gain and offset follow. */
  readonly at: number;
}

/**
 * Estimates values of a design from captures, with standard uncertainties, intervals of 95 % and correlations (JCGM 100:2008).
 * The scatter is taken from what is left between samples and runs, and never below that of a digital scale.
 * @throws DesignError `bad-option`, `too-few-samples`, and what `layOver` throws
 */
export function fit(design: Design, options: FitOptions): Fit {
  asked(options, { values: "object", captures: "object", simulate: "object" });
  const { captures } = options;
  if (options.values.length === 0) refuseOption("values", "there is nothing to fit");
  if (captures.length === 0) refuseOption("captures", "there is nothing to fit to");
  const values = options.values.map((v) => rangeOf(design, typeof v === "string" ? { name: v } : v));
  const runs = new FitRuns(
    design,
    values.map((v) => v.name),
    captures,
    options.simulate,
  );
  const start = values.map((v) => v.start);
  const fittings = placed(design, captures, runs.at(start)!, values.length);
  const once = fitted(
    values,
    fittings,
    runs,
    fittings.map(() => 1),
  );
  // Samples of several instruments count by how far they scatter, which the first fit tells.
  const last =
    captures.length === 1
      ? once
      : fitted(
          values,
          fittings,
          runs,
          fittings.map((_, k) => weightOf(once, fittings, k)),
        );
  const units = values.map((v) => v.unit);
  const instruments = fittings.map(({ at, held, delay, time }, k): FitInstrument => {
    const [own, gain, offset] = last.estimate.values.slice(at, at + (held.scaled ? 3 : 1));
    const { low, high } = own.interval;
    return {
      delay: { ...own, value: own.value + delay, interval: { low: low + delay, high: high + delay } },
      gain,
      offset,
      deviation: deviationOf(last, fittings, k),
      samples: time.length,
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
}

function rangeOf(design: Design, { name, from, to }: FitValue): FittedRange {
  const value = settableNamed(design, name, "values");
  const start = toNumber(value.amount.value);
  const low = toNumber(from === undefined ? usualEnd(value, false) : settableTo(value, from, "from"));
  const high = toNumber(to === undefined ? usualEnd(value, true) : settableTo(value, to, "to"));
  if (!(low < high)) refuseOption("values", `the range of '${name}' does not rise`, "give 'from' and 'to'");
  return { name, unit: unitOf(value.amount.dimension), start, low, high };
}

// Ten times more, or a tenth; of a negative value the other way around.
function usualEnd({ amount: { value }, range }: SettableValue, upper: boolean): Fraction {
  const grows = upper === value.s >= 0n;
  const far = grows ? value.mul(ratio(10)) : value.div(ratio(10));
  return inRange(far, range) ? far : ratio(upper ? 1 : 0);
}

// Each capture where it lies over the run of the design as it stands.
function placed(
  design: Design,
  captures: readonly FitCapture[],
  traces: readonly Trace[] | undefined,
  values: number,
): Fitting[] {
  let at = values;
  return captures.map((held, k) => {
    const { unit } = probeOf(caseNamed(design, held.case), held.of);
    const samples = heldTrace(held, unit);
    if (!traces) return refuseOption("captures", "with the values as the design has them a run stops early");
    const { delay } = align(samples, traces[k], held.align ?? "correlation", held.capture.name);
    const { from, to } = samples;
    const play = playShare * (to - from) + (playSamples * (to - from)) / (samples.time.length - 1);
    const [first, end] = overlap(samples.time, traces[k], delay, play);
    const own = { held, samples, delay, play, at };
    at += held.scaled ? 3 : 1;
    return { ...own, time: samples.time.subarray(first, end), value: samples.value.subarray(first, end) };
  });
}

/** An estimate, and the weight of each capture's samples in it. */
interface Weighed {
  readonly estimate: Estimate;
  readonly weights: readonly number[];
}

function fitted(
  values: readonly FittedRange[],
  fittings: readonly Fitting[],
  runs: FitRuns,
  weights: readonly number[],
): Weighed {
  const unknowns = [...values, ...fittings.flatMap(instrumentOf)];
  const count = fittings.reduce((sum, { time }) => sum + time.length, 0);
  const misses = (x: readonly number[]) => {
    const found = new Float64Array(count).fill(Number.NaN);
    const traces = runs.at(x.slice(0, values.length));
    if (!traces) return found;
    let k = 0;
    fittings.forEach(({ held, time, value, delay, at }, one) => {
      const curve = along(traces[one], time, delay + x[at]);
      const [gain, offset] = held.scaled ? [x[at + 1], x[at + 2]] : [1, 0];
      for (let i = 0; i < time.length; i++) found[k++] = weights[one] * (gain * curve[i] + offset - value[i]);
    });
    return found;
  };
  // A digital scale's own part: its step by the root of twelve (JCGM 100:2008, F.2.2.1).
  const scales = fittings.map(({ held, samples }, k) => (weights[k] * stepOf(held, samples)) / Math.sqrt(12));
  return {
    weights,
    estimate: estimate({
      names: unknowns.map((u) => u.name),
      start: unknowns.map((u) => u.start),
      low: unknowns.map((u) => u.low),
      high: unknowns.map((u) => u.high),
      misses,
      leastDeviation: Math.max(...scales),
      slopes: ofRuns,
      near: 0.1,
      leastDamping: 1e-7,
    }),
  };
}

function stepOf({ capture, channel, attenuated = 1 }: FitCapture, { value }: Trace): number {
  const own =
    capture.channels.length === 1
      ? capture.channels[0]
      : capture.channels.find((c, i) => c.name === channel || i + 1 === channel);
  return value.length > 0 && own ? own.resolution * attenuated : 0;
}

function instrumentOf({ held, play, value }: Fitting): Omit<FittedRange, "unit">[] {
  const whose = `of ${held.capture.name}`;
  const delay = { name: `delay ${whose}`, start: 0, low: -play, high: play };
  if (!held.scaled) return [delay];
  const size = value.reduce((most, v) => Math.max(most, Math.abs(v)), 0) || 1;
  return [
    delay,
    { name: `gain ${whose}`, start: 1, low: 0.5, high: 2 },
    { name: `offset ${whose}`, start: 0, low: -size, high: size },
  ];
}

function weightOf(found: Weighed, fittings: readonly Fitting[], one: number): number {
  const { held, samples } = fittings[one];
  const scatter = Math.max(deviationOf(found, fittings, one), stepOf(held, samples) / Math.sqrt(12));
  return scatter > 0 ? 1 / scatter : 1;
}

/** How far the samples of a capture scatter about the run, in their own unit. */
function deviationOf({ estimate, weights }: Weighed, fittings: readonly Fitting[], one: number): number {
  const from = fittings.slice(0, one).reduce((sum, { time }) => sum + time.length, 0);
  const count = fittings[one].time.length;
  let sum = 0;
  for (let k = from; k < from + count; k++) sum += estimate.misses[k] ** 2;
  const share = estimate.freedom / (estimate.freedom + estimate.values.length);
  return Math.sqrt(sum / (count * share)) / weights[one];
}
