// What a check looks at within its span: all of it, parts of every period, or no more than instants.
// Takes a run, checks and the name of a trace; gives the stretches of it that have to be drawn. Always: every window is drawn
// as far as its measure looks at it; where most of a span is looked at, all of it is.
import type { CheckSpec } from "../design/design.js";
import type { Measure } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import { PeriodWindows } from "./eachperiod.js";

/** A stretch of the run, s. */
export interface TimeSpan {
  readonly from: number;
  readonly to: number;
}

/** Share of a stretch from which on parts of it are not worth keeping apart. */
const most = 0.8;
/** What is drawn on both sides of an instant, as a share of the run: there may be thousands of them. */
const beside = 1e-6;

/** A check with its measure. */
export interface CheckWithMeasure {
  readonly check: CheckSpec;
  readonly measure: Measure;
}

/**
 * The parts of a span that are looked at, in order and apart; undefined where all of it is drawn.
 * @param looks all that look at the trace
 */
export function patchesOf(
  run: Run,
  looks: readonly CheckWithMeasure[],
  span: TimeSpan,
): readonly TimeSpan[] | undefined {
  // What is recorded of steps says nothing of their inside, so that parts of them reach beyond both ends.
  if (!run.recording.exact || span.to > run.reached || looks.some(throughout)) return undefined;
  const near = 2 * beside * run.until;
  const all = looks.flatMap((look) => partsOf(run, look)).sort((a, b) => a.from - b.from);
  const patches: { from: number; to: number }[] = [];
  for (const { from, to } of all) {
    const last = patches.at(-1);
    if (to < span.from || from > span.to) continue;
    if (last && from <= last.to + near) last.to = Math.max(last.to, to);
    else patches.push({ from, to });
  }
  const length = patches.reduce((sum, { from, to }) => sum + (to - from), 0);
  return patches.length > 0 && length < most * (span.to - span.from) ? patches : undefined;
}

/** Whether all between the start and the end of a span is looked at. */
function throughout({ check: { each, within }, measure: { looks, needs } }: CheckWithMeasure): boolean {
  return looks !== "ends" && needs !== "at" && (each === undefined || within === undefined);
}

/** Where any other looks. */
function partsOf(run: Run, { check, measure }: CheckWithMeasure): TimeSpan[] {
  const { until, recording, assembly } = run;
  const begins = assembly.clock.time(recording.span().from);
  const around = (t: number) => ({
    from: Math.max(0, t - beside * until),
    to: Math.min(until, t + beside * until),
  });
  const { each, after = begins, before = until, at } = check;
  const parts = (w: { readonly from: number; readonly to: number; readonly at?: number }) => {
    if (measure.needs === "at") return w.at === undefined ? [] : [around(w.at)];
    if (w.from > w.to) return [];
    return measure.looks === "ends" ? [around(w.from), around(w.to)] : [{ from: w.from, to: w.to }];
  };
  if (each === undefined) return parts({ from: after, to: before, ...(at !== undefined && { at }) });
  const windows = new PeriodWindows(run, check, each);
  return windows.rows.flatMap(({ first, end }) =>
    Array.from({ length: end - first }, (_, k) => parts(windows.window(first + k))).flat(),
  );
}
