// Measures that a picture can show where they were taken, as a drawing shows a length: how high, how long, how steep. One of
// each sort per panel, each in a period of its own if several show the same.
import type { CheckSpec } from "../design/design.js";
import { headingOf } from "../design/heading.js";
import { CheckView } from "../judging/checkview.js";
import type { CheckResult } from "../judging/verify.js";
import { ownCourse } from "../measures/inherited.js";
import { coveredSpan, ends, standsAt, type TimeSpan, traceBounds, type Window } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import type { Trace } from "../waveforms/trace.js";
import { measuredText } from "./verdicts.js";

/** A point of a trace: s, and the trace's unit. */
export interface TracePoint {
  readonly at: number;
  readonly value: number;
}

/** A measure to be drawn: the difference in height or in time between two points of the trace, or the slope between them. */
export interface DrawnMeasure {
  readonly sort: "height" | "time" | "slope";
  readonly first: TracePoint;
  readonly second: TracePoint;
  /** The measure and its value. */
  readonly label: string;
  /** Whether the check fails. */
  readonly fails: boolean;
}

/** Most windows searched for ones that a picture shows. */
const mostWindows = 100_000;

/**
 * The dimensions of a panel.
 * @param results those of all the run's checks, in its order; without them no check is known to fail
 * @param shown what the panel shows, s
 */
export function dimensionsOf(
  run: Run,
  results: readonly CheckResult[],
  trace: Trace,
  shown: TimeSpan,
): DrawnMeasure[] {
  const found: DrawnMeasure[] = [];
  const own = run.design.checks.filter(({ target, measure }) => target === trace.name && !measure.beside);
  const resultOf = (check: CheckSpec) => results[run.design.checks.indexOf(check)];
  // Failures first; then a swing, as it says the most about a height.
  const rank = (check: CheckSpec) =>
    resultOf(check)?.pass === false ? 0 : check.measure.words === "swing" ? 1 : 2;
  for (const check of [...own].sort((a, b) => rank(a) - rank(b))) {
    const sort = sortOf(check);
    if (sort === undefined || found.some((other) => other.sort === sort)) continue;
    const windows = windowsOf(run, check, trace, shown);
    const result = resultOf(check);
    const values = windows.map((window) => check.measure.take(window));
    const worst = values.findIndex((_, i) => windows[i].begin === result?.period);
    // Any period that shows the same as the worst one will do.
    const value = worst >= 0 ? values[worst] : values[0];
    const alike = windows.filter((_, i) => Math.abs(values[i] - value) <= 1e-6 * Math.abs(value));
    if (alike.length === 0) continue;
    const window = alike[found.length % alike.length];
    const points = pointsOf(run, sort, check, window, value);
    if (!points) continue;
    const decided = check.each === undefined || worst >= 0;
    const figure = decided && result && !result.capture ? result.measured : finely(run, check, window);
    const label = `${check.measure.words} ${measuredText(headingOf(check, run.design.caseName), figure)}`;
    found.push({ sort, ...points, label, fails: result?.pass === false });
  }
  return found;
}

/** What a window measures on the trace that checks use: the drawn one is right only to a few parts in ten thousand. */
function finely(run: Run, check: CheckSpec, window: Window): number {
  return check.measure.take({ ...window, trace: around(run, check, window) });
}

/** That trace, of all that a window reads. */
function around(run: Run, { target }: CheckSpec, { from, to, former = from, next }: Window): Trace {
  return run.stretch([target], former, next?.to ?? to)[0];
}

function sortOf({ measure }: CheckSpec): DrawnMeasure["sort"] | undefined {
  if (measure.words === "slope") return "slope";
  if (measure.words === "swing" || (measure.words === "peak" && measure.level)) return "height";
  return measure.stretch ? "time" : undefined;
}

/** The windows of a check that a panel shows in full, with the trace it draws. */
function windowsOf(
  run: Run,
  check: CheckSpec,
  trace: Trace,
  shown: TimeSpan,
): (Window & { begin?: number })[] {
  const { through, at, after = 0, before = run.reached } = check;
  const whole = (from: number, to: number) => from >= shown.from && to <= shown.to && from < to;
  if (check.each === undefined)
    return whole(after, before) ? [{ trace, from: after, to: before, at, through }] : [];
  const { windows } = new CheckView(run, check, true);
  const found: (Window & { begin: number })[] = [];
  for (const batch of windows?.batches ?? [])
    for (let i = batch.first; i < Math.min(batch.end, batch.first + mostWindows); i++) {
      const window = windows!.window(i);
      if (window.from > shown.to) break;
      if (whole(window.begin, window.to)) found.push({ trace, ...window, through });
    }
  return found;
}

function pointsOf(
  run: Run,
  sort: DrawnMeasure["sort"],
  check: CheckSpec,
  window: Window,
  value: number,
): { first: TracePoint; second: TracePoint } | undefined {
  const span = coveredSpan(window);
  if (!span || !Number.isFinite(value)) return undefined;
  const { trace } = window;
  if (sort === "slope") {
    const { first, last } = ends(trace, span.from, span.to);
    return { first: { at: span.from, value: first }, second: { at: span.to, value: last } };
  }
  if (sort === "time") {
    const { from, to } = check.measure.stretch!(window);
    if (!(from < to && to <= trace.to)) return undefined;
    const { first, last } = ends(trace, from, to);
    return { first: { at: from, value: first }, second: { at: to, value: last } };
  }
  // A period's own, as it is measured; what comes after it may not be shown.
  const own = { ...window, ...(ownCourse({ ...window, trace: around(run, check, window) }) ?? span) };
  if (own.to > trace.to) return undefined;
  const { low, high } = traceBounds(trace, own.from, own.to);
  const top = { at: standsAt(own, high), value: high };
  // A peak is measured from zero, a swing from the floor.
  const foot =
    check.measure.words === "swing" ? { at: standsAt(own, low), value: low } : { at: top.at, value: 0 };
  return Number.isFinite(top.at) && Number.isFinite(foot.at) && foot.value < top.value
    ? { first: foot, second: top }
    : undefined;
}
