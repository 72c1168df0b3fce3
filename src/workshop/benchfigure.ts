// A figure of the bench sheet, and the figures of time: how a trace recurs.

import { middle } from "../captures/movingperiods.js";
import type { Limit } from "../measures/verdict.js";
import type { TimeSpan } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";
import { crossingsAt, type Recurrence, type TraceReach } from "./scopesetting.js";

/** A figure to be read at a test point. SI units. */
export interface BenchFigure {
  /** What is read: `peak`, `period`, or the name of a check. */
  readonly what: string;
  /** SI unit; empty for a share or a count. */
  readonly unit: string;
  /** How it is shown. */
  readonly shown: "value" | "share" | "count";
  /** As drawn; NaN where it does not occur. */
  readonly value: number;
  /** The lowest of the boards drawn; absent where none were. */
  readonly low?: number;
  /** The highest of them. */
  readonly high?: number;
  /** The bounds of a check. */
  readonly limit?: Limit;
}

/** How many periods the times are taken from. */
const timedPeriods = 3.4;

/** Period, and how long a trace stays above its trigger level, or below it for a falling trigger. */
export function timesOf(
  trace: Trace,
  again: Recurrence | undefined,
  span: TimeSpan,
  reach: TraceReach,
): BenchFigure[] {
  if (!again) return [];
  const to = Math.min(span.to, again.starts[0] + timedPeriods * again.period);
  const { share, direction } = again;
  const begins = crossingsAt(trace, { from: span.from, to }, reach, again);
  const back = direction === "rising" ? "falling" : "rising";
  const ends = crossingsAt(trace, { from: span.from, to }, reach, { share, direction: back });
  const gaps = begins.slice(1).map((t, i) => t - begins[i]);
  const stays = begins.flatMap((t) => ends.find((end) => end > t) ?? []).map((end, i) => end - begins[i]);
  const figure = (what: string, all: readonly number[]): BenchFigure => ({
    what,
    unit: "s",
    shown: "value",
    value: all.length > 0 ? middle(all) : Number.NaN,
  });
  const level =
    share === 0.5 ? "the middle" : direction === "falling" ? "the tip's level" : "the top's level";
  return [figure("period", gaps), figure(`${direction === "rising" ? "above" : "below"} ${level}`, stays)];
}
