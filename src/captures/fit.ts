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
import type { Trace } from "../waveforms/trace.js";
import { overlap } from "./alignment.js";
import { delayed } from "./delays.js";
import type { Estimate, EstimatedValue } from "./estimate.js";
import { type FitCapture, FitRuns } from "./fitruns.js";
import { deviationOf, type FittedRange, type PlacedCapture } from "./fitting.js";
import { aligned, heldTrace, triggerOf } from "./layover.js";
import { blurs, likeliest } from "./likeliest.js";
import { steadied } from "./scatter.js";
import { roundedOff } from "./sharedrounding.js";
import { spanned, started } from "./starts.js";

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
  /** Standard deviation of its samples from the run where it is level, in their unit. */
  readonly deviation: number;
  /** Standard deviation of the instants at which it took them, s; 0 if none shows. */
  readonly jitter: number;
  /** How many samples took part. */
  readonly samples: number;
  /** How many were left out as bad: few, and too far from the run for scatter to explain. */
  readonly bad: number;
}

/** Values fitted to captures. SI units. */
export interface Fit extends Estimate {
  /** SI units of the values. */
  readonly units: readonly string[];
  /**
   * Other values, in the order of `values`, with which the runs come about as close; the intervals reach over them. Empty if there
   * are none.
   */
  readonly others: readonly (readonly number[])[];
  /** By capture, in the order given. */
  readonly instruments: readonly FitInstrument[];
  /** How many runs it took. */
  readonly runs: number;
}

/** The delay may move by this share of the capture plus this many samples. */
const [playShare, playSamples] = [2e-3, 4];

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
  const twice = values.find(({ name }, i) => values.slice(0, i).some((one) => one.name === name));
  if (twice) refuseOption("values", `'${twice.name}' is asked for twice`);
  // The traces whose edges align captures are needed as well; they follow those of the captures.
  const beside = captures.map(triggerOf);
  const triggers = captures.flatMap(({ case: name }, k) => (beside[k] ? [{ ...beside[k], case: name }] : []));
  const names = values.map((v) => v.name);
  const runs = new FitRuns(design, names, [...captures, ...triggers], options.simulate);
  const start = values.map((v) => v.start);
  const all = placed(design, captures, runs.at(start)!, values.length);
  const subject = { values, runs };
  const { once, others } = started(subject, all);
  const steady = steadied(subject, all, once, options.robust !== false);
  const { placed: fittings, jitters } = steady;
  const moving = blurs(fittings, jitters) ? likeliest(subject, steady, once) : undefined;
  const { found: last, values: reached } = moving
    ? { found: steady.found, values: moving.values }
    : delayed(subject, fittings, steady.found);
  const settled = roundedOff(subject, fittings, last, reached);
  const units = values.map((v) => v.unit);
  const instruments = fittings.map(({ at, held, delay, time }, k): FitInstrument => {
    const [own, gain, offset] = settled.slice(at, at + (held.uncalibrated ? 3 : 1));
    const { low, high } = own.interval;
    return {
      delay: { ...own, value: own.value + delay, interval: { low: low + delay, high: high + delay } },
      gain,
      offset,
      deviation: deviationOf(last, fittings, k),
      jitter: moving?.jitters[k] ?? jitters[k]?.deviation ?? 0,
      samples: time.length,
      bad: all[k].time.length - time.length,
    };
  });
  const count = values.length;
  return {
    ...last.estimate,
    values: settled
      .slice(0, count)
      .map((one, i) => others.reduce((own, other) => spanned(own, other[i]), one)),
    others: others.map((other) => other.map((one) => one.value)),
    correlation: last.estimate.correlation.slice(0, count).map((row) => row.slice(0, count)),
    units,
    instruments,
    runs: runs.count,
  };
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
): PlacedCapture[] {
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
