// A capture laid over the trace of a run: aligned, both at the same instants, their difference, and what the design's checks
// measure on each. Both are measured over the same time, the time that the capture covers.

import { asked, refuseOption } from "../base/asked.js";
import { refusal } from "../base/diagnostic.js";
import { handed, handedText } from "../base/handed.js";
import type { CheckSpec, Design } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { channelOf, samplesOf } from "../instruments/capture.js";
import type { Held } from "../instruments/held.js";
import { judgeElsewhere, measureChecks } from "../judging/verify.js";
import type { Run } from "../reading/result.js";
import { Trace } from "../waveforms/trace.js";
import { type Aligned, align, overlap } from "./alignment.js";
import { along } from "./along.js";
import { scattered, scatterIn } from "./instrumentshare.js";
import { repeatsFrom } from "./movingperiods.js";

/** A check measured on a capture and on the run. */
export interface LaidCheck extends CheckHeading {
  /** SI; NaN where it does not occur. */
  readonly simulated: number;
  /** The same for the capture. */
  readonly captured: number;
  /** Captured less simulated. */
  readonly difference: number;
  /** The difference as a share of the tolerance: half the allowed band, or the size of a lone bound. */
  readonly share: number;
  /** How far the instrument's scatter alone moves the measure: on the run's trace, sampled and scattered like the capture. */
  readonly scatter: number;
  /** False if the scatter exceeds the tolerance, or capture or run has no value: it then decides nothing. */
  readonly told: boolean;
  /** Whether the captured value passes. */
  readonly pass: boolean;
  /** Why one of them has no value. */
  readonly reason?: string;
  /** True for a check `in capture`. */
  readonly inCapture?: true;
}

/** A capture over a trace. SI units; times are the run's. */
export interface LaidOver {
  /** Name of the capture. */
  readonly capture: string;
  /** The case that was run; empty for the design as drawn. */
  readonly case: string;
  /** The trace's name. */
  readonly of: string;
  /** Its unit. */
  readonly unit: string;
  /** What is added to the capture's time, s. */
  readonly delay: number;
  /** Gain and offset of the instrument, which are taken out of `captured`; 1 and 0 for a calibrated one. */
  readonly gain: number;
  /** In `unit`. */
  readonly offset: number;
  /** Correlation coefficient of both. */
  readonly correlation: number;
  /** The instants of the samples that lie over the run, s. */
  readonly time: Float64Array;
  /** The samples. */
  readonly captured: Float64Array;
  /** The run's trace at the same instants. */
  readonly simulated: Float64Array;
  /** Captured less simulated. */
  readonly residual: Float64Array;
  /** Root of the mean square of the residual. */
  readonly rms: number;
  /** Where the residual is largest. */
  readonly largest: {
    /** On the run's clock, s. */
    readonly time: number;
    /** Captured less simulated, in the unit of the trace. */
    readonly residual: number;
  };
  /** Every check of the run's case on that trace. */
  readonly checks: readonly LaidCheck[];
}

/** The samples of a channel as a trace, in that trace's unit. @throws DesignError `unknown-channel`, `wrong-dimension` */
export function heldTrace({ capture, channel: asked, of, attenuated = 1 }: Held, unit: string): Trace {
  const channel = channelOf(capture, asked);
  if (!(attenuated > 0) || !Number.isFinite(attenuated))
    refuseOption("attenuated", "an attenuation is greater than zero");
  // Shares of full scale and columns without a unit take the unit of the trace.
  if (channel.unit !== "" && channel.unit !== unit)
    throw refusal(
      "wrong-dimension",
      `${capture.name}: channel ${channel.name} is in ${channel.unit}, but '${of}' is in ${unit}`,
      "hold it against the current of a part or the voltage of a place, as its unit asks for",
    );
  const { time, value } = samplesOf(capture, channel);
  if (time.length < 2)
    throw refusal("too-few-samples", `${capture.name}: channel ${channel.name} has next to no samples`);
  return new Trace({
    name: of,
    unit,
    time,
    value: attenuated === 1 ? value : value.map((v) => v * attenuated),
  });
}

/**
 * Lays a capture over a run.
 *
 * @category Captures
 * @example
 * ```ts
 * const capture = readCapture(readFileSync("examples/captures/good.csv", "utf8"));
 * const laid = layOver(run, { capture, of: "ramp" });
 * laid.rms < 0.05; // true
 * ```
 * @throws DesignError `unknown-channel`, `unknown-trace`, `wrong-dimension`, `flat-capture`, `no-match`, `no-edge`, `no-overlap`,
 * `too-few-samples`, `bad-option`
 */
export function layOver(run: Run, held: Held): LaidOver {
  handed("run", run);
  asked(held, {
    capture: "object",
    channel: "any",
    of: "text",
    attenuated: "number",
    align: "any",
    uncalibrated: "flag",
  });
  handed("capture", held.capture, "held.capture");
  handedText(held.of, "held.of");
  const trace = run.trace(held.of);
  const samples = heldTrace(held, trace.unit);
  const found = aligned(held, samples, trace, run.design, (name) => run.trace(name));
  const { delay, correlation } = found;
  const { gain, offset } = held.uncalibrated ? found : { gain: 1, offset: 0 };
  const [first, end] = overlap(samples.time, trace, delay);
  const own = samples.time.subarray(first, end);
  const time = own.map((t) => t + delay);
  const captured = samples.value.slice(first, end).map((v) => (v - offset) / gain);
  const simulated = along(trace, own, delay);
  const residual = captured.map((v, k) => v - simulated[k]);
  const most = residual.reduce((a, v, k) => (Math.abs(v) > Math.abs(residual[a]) ? k : a), 0);
  return {
    capture: held.capture.name,
    case: run.design.caseName,
    of: held.of,
    unit: trace.unit,
    delay,
    gain,
    offset,
    correlation,
    time,
    captured,
    simulated,
    residual,
    rms: Math.sqrt(residual.reduce((sum, v) => sum + v * v, 0) / residual.length),
    largest: { time: time[most], residual: residual[most] },
    checks: compared(run, held, {
      captured: new Trace({ name: held.of, unit: trace.unit, time, value: captured }),
      scattered: new Trace({
        name: held.of,
        unit: trace.unit,
        time,
        value: scattered(simulated, scatterIn(captured, stepOf(held) / gain)),
      }),
    }),
  };
}

/** The channel whose edge aligns a capture, with the trace that it shows; undefined if the capture is aligned by itself. */
export function triggerOf({ capture, align: how, of }: Held): Held | undefined {
  if (how === undefined || how === "correlation" || !("level" in how)) return undefined;
  asked(
    how,
    { level: "number", direction: "text", trigger: "text", seen: "any", attenuated: "number" },
    "align.",
  );
  const { trigger, seen, attenuated } = how;
  if (trigger === undefined && seen === undefined) return undefined;
  return { capture, of: trigger ?? of, channel: seen, attenuated };
}

/**
 * The place of samples over a trace.
 * @param one the case that was run
 * @param traceOf gives the trace of a trigger
 */
export function aligned(
  held: Held,
  samples: Trace,
  trace: Trace,
  one: Design,
  traceOf: (name: string) => Trace,
): Aligned {
  const beside = triggerOf(held);
  const trigger = beside && traceOf(beside.of);
  return align(samples, trace, held.align ?? "correlation", {
    name: held.capture.name,
    companion: beside && trigger && { samples: heldTrace(beside, trigger.unit), trace: trigger },
    uncalibrated: held.uncalibrated,
    settled: one.checks.reduce(
      (t, c) => (c.target === held.of ? Math.max(t, c.after ?? 0) : t),
      repeatsFrom(trace, one, held.of),
    ),
  });
}

/** The step of the instrument's scale, in the unit of the trace. */
export function stepOf({ capture, channel, attenuated = 1 }: Held): number {
  return channelOf(capture, channel).resolution * attenuated;
}

/** The samples of a capture, and those that the same instrument would take of the run. */
interface Seen {
  readonly captured: Trace;
  readonly scattered: Trace;
}

/** Every check on a trace, measured on the run and on the capture; those `in capture` come last. */
function compared(run: Run, held: Held, seen: Seen): LaidCheck[] {
  const { checks: usual, captures } = run.design;
  const alone =
    captures.find((one) => one.held.capture === held.capture && one.held.of === held.of)?.checks ?? [];
  const asked = [...usual.filter((check) => check.target === held.of), ...alone];
  const checks = asked.map((check) => within(check, seen.captured));
  const simulated = measureChecks(run, checks);
  return checks.map((check, i) => {
    const inCapture = alone.includes(asked[i]) ? (true as const) : undefined;
    const heading = { ...headingOf(asked[i], run.design.caseName), inCapture };
    const { measured, reason } = simulated[i];
    if (check.measure.beside !== undefined)
      return { ...heading, ...none(measured), reason: "it looks at another trace beside this one" };
    const [own] = judgeElsewhere(run, [check], () => seen.captured);
    const [noisy] = judgeElsewhere(run, [check], () => seen.scattered);
    const { low, high } = check.limit;
    const band = low !== undefined && high !== undefined ? (high - low) / 2 : Math.abs(low ?? high ?? 0);
    const difference = own.measured - measured;
    const scatter = Math.abs(noisy.measured - measured);
    const why =
      own.reason ??
      (reason === undefined ? undefined : `the run has no value: ${reason}`) ??
      (scatter > band ? "the instrument's scatter takes more than the tolerance" : undefined);
    return {
      ...heading,
      simulated: measured,
      captured: own.measured,
      difference,
      share: difference / band,
      scatter,
      // Without a value of the run the scatter is not known.
      told: !Number.isNaN(own.measured) && scatter <= band,
      pass: own.pass,
      reason: why,
    };
  });
}

function none(simulated: number) {
  const nothing = Number.NaN;
  return {
    simulated,
    captured: nothing,
    difference: nothing,
    share: nothing,
    scatter: nothing,
    told: false,
    pass: false,
  };
}

// A check within the time that the samples cover: only periods that lie wholly inside count.
function within(check: CheckSpec, { from, to }: Trace): CheckSpec {
  return {
    ...check,
    after: from > 0 ? Math.max(check.after ?? from, from) : check.after,
    before: Math.min(check.before ?? to, to),
  };
}
