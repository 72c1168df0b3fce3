// Measures a run by a phrase: what a check of the text would measure, without limit and verdict, and for `each` every period.

import { refuseOption } from "../base/asked.js";
import { DesignError } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import { engineering } from "../base/quantity.js";
import type { MeasureSpec } from "../design/design.js";
import { type CheckHeading, shownUnit } from "../design/heading.js";
import { firstOfParts, measureOver, type Window } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import { readPhrase } from "../syntax/phrase.js";
import { CheckView } from "./checkview.js";
import { type Traces, tracesOf } from "./traces.js";

/** What was measured in one period, SI units. */
export interface PeriodMeasurement {
  /** Start of the period, s. */
  readonly begin: number;
  /** NaN where it does not occur in the period. */
  readonly value: number;
  /** When, s; see `Measurement`. */
  readonly instant: number;
}

/** What was measured, as plain data. */
export interface Measurement extends Pick<CheckHeading, "what" | "measure" | "unit" | "shown"> {
  /** SI units; of many periods the highest. NaN where it does not occur. */
  readonly value: number;
  /** The value with its unit, for people, e.g. `3.976 V`. */
  readonly text: string;
  /** When, s: the instant of a peak, a floor or a value at an instant (the first of several); else the start of the span. */
  readonly instant: number;
  /** Every period in order of time, where the phrase asks for each. */
  readonly periods?: readonly PeriodMeasurement[];
  /** Why there is no value, or why some are missing. */
  readonly reason?: string;
}

/**
 * Measures a run by a phrase: the part of a check between its name and its limit.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const { text: highest, periods } = measure(run, "peak of ramp each gate");
 * highest; // "3.976 V"
 * periods?.length; // 93
 * ```
 * @throws DesignError for an invalid phrase: its diagnostics have their places in the phrase
 */
export function measure(run: Run, phrase: string): Measurement {
  handed("run", run);
  if (typeof phrase !== "string") refuseOption("phrase", "expected a text");
  return measurementOf(run, measureSpec(run, phrase));
}

/** What was measured in a run, with its heading. */
export function measurementOf(run: Run, spec: MeasureSpec): Measurement {
  const { words, shown = "value" } = spec.measure;
  const heading = { what: `${words} of ${spec.target}`, measure: words, unit: spec.unit, shown } as const;
  const found = measureOf(run, spec);
  return { ...heading, text: engineering(found.value, shownUnit(heading)), ...found };
}

/** What a phrase asks to measure in a run. @throws DesignError for an invalid phrase */
export function measureSpec({ design }: Run, text: string): MeasureSpec {
  const { phrase, report } = readPhrase(text);
  const spec = phrase && design.measuring(phrase, report);
  const wrong = report.diagnostics.filter((d) => d.severity === "error");
  if (!spec || wrong.length > 0) throw new DesignError(wrong);
  return spec;
}

type Found = Pick<Measurement, "value" | "instant" | "periods" | "reason">;

/** What was measured in a run. */
export function measureOf(run: Run, spec: MeasureSpec): Found {
  return run.recording.count === 0 ? nothing(run) : taken(run, spec);
}

const never = "it does not occur in the span";

function nothing({ reason }: Run): Found {
  return { value: Number.NaN, instant: Number.NaN, reason: reason || "nothing was recorded" };
}

function taken(run: Run, spec: MeasureSpec): Found {
  const view = new CheckView(run, spec);
  if (view.beyond) return nothing(run);
  const traces = tracesOf(run, [view]);
  if (spec.each !== undefined) return ofPeriods(run, spec.each, eachPeriod(view, traces));
  const parts = view.whole((from, to) => seenOver(view, traces, from, to));
  const value = measureOver(spec.measure, parts);
  const instant = firstOfParts(parts, (window) => instantOf(spec, window, value));
  return Number.isNaN(value) ? { value, instant, reason: run.reason || never } : { value, instant };
}

function ofPeriods(run: Run, each: string, periods: readonly PeriodMeasurement[]): Found {
  const occurring = periods.filter(({ value }) => !Number.isNaN(value));
  const why = () => {
    if (run.reason) return run.reason;
    if (periods.length === 0) return `no whole period of ${each} lies in the span`;
    return occurring.length < periods.length ? "it does not occur in some period" : undefined;
  };
  const reason = why();
  const high = occurring.reduce<PeriodMeasurement | undefined>(
    (most, p) => (most && most.value >= p.value ? most : p),
    undefined,
  );
  const { value, instant } = high ?? { value: Number.NaN, instant: Number.NaN };
  return { value, instant, periods, ...(reason && { reason }) };
}

/** Every period. Of periods that repeat to the last bit only the first ones are looked at. */
function eachPeriod(view: CheckView, traces: Traces): PeriodMeasurement[] {
  const windows = view.windows!;
  const found: PeriodMeasurement[] = [];
  let next = windows.batches[0]?.first ?? 0;
  let turn: number | undefined;
  for (const batch of windows.batches) {
    for (; next < batch.first; next++) {
      const like = found[found.length - turn!];
      const { begin } = windows.window(next);
      found.push({ begin, value: like.value, instant: begin + (like.instant - like.begin) });
    }
    const seen = seenOver(view, traces, batch.from, batch.to);
    for (; next < batch.end; next++) {
      const window = windows.window(next);
      found.push({ begin: window.begin, ...one(view.check, { ...seen, ...window }) });
    }
    turn = batch.turn;
  }
  return found;
}

function seenOver({ check, output }: CheckView, traces: Traces, from?: number, to?: number) {
  return {
    trace: traces(check.target, from, to),
    output: output === undefined ? undefined : traces(output, from, to),
    through: check.through,
  };
}

function one(spec: MeasureSpec, window: Window): { value: number; instant: number } {
  const { measure: how } = spec;
  const value = how.take(window);
  return { value, instant: instantOf(spec, window, value) };
}

/** When a window has what was measured. */
function instantOf({ measure: how }: MeasureSpec, window: Window, value: number): number {
  if (how.needs === "at") return window.at!;
  return how.when?.(window, value) ?? window.from;
}
