// Shows in text where a measure is decided: the instant, and the trace around it with the limits.
import { engineering } from "../base/quantity.js";
import type { MeasureSpec } from "../design/design.js";
import type { PeriodMeasurement } from "../judging/measuring.js";
import type { Limit } from "../measures/verdict.js";
import type { Run } from "../reading/result.js";
import { textPlot } from "./textplot.js";

/** What decides a verdict, and where. */
export interface Decisive {
  readonly spec: MeasureSpec;
  readonly limit: Limit;
  /** The instant, s. */
  readonly instant: number;
  /** For a measure with `each`: start of the deciding period, s, and all periods. */
  readonly period?: number;
  readonly periods?: readonly PeriodMeasurement[];
}

/** Share of the run that is shown before and after a single instant. */
const about = 0.05;

/** Lines of text: the instant and a plot; none if the instant is not known. */
export function shownAt(run: Run, at: Decisive): string[] {
  const { spec, limit, instant } = at;
  if (Number.isNaN(instant) || run.recording.count === 0) return [];
  const { from, to } = stretch(run, at);
  const [trace] = run.stretch([spec.target], from, to);
  const levels = trace.unit === spec.unit ? [limit.low, limit.high].filter((v) => v !== undefined) : [];
  const plot = textPlot(trace, { from, to, levels, mark: instant });
  return [`  at ${engineering(instant, "s", 6)}, ${spec.target}:`, ...plot.map((text) => `  ${text}`)];
}

function stretch(run: Run, { spec, instant, period, periods }: Decisive): { from: number; to: number } {
  const until = run.reached;
  if (period !== undefined && periods) {
    const next = periods.findIndex((p) => p.begin === period) + 1;
    const begins = periods[next]?.begin ?? 2 * period - (periods[next - 2]?.begin ?? 2 * period - until);
    return { from: period, to: Math.min(begins, until) };
  }
  const [from, to] = [spec.after ?? 0, Math.min(spec.before ?? until, until)];
  if (spec.measure.needs !== "at") return { from, to };
  return { from: Math.max(0, instant - about * until), to: Math.min(until, instant + about * until) };
}
