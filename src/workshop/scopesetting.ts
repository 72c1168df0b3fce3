// How to set an oscilloscope so that a trace is seen whole: volts and time a division in steps of 1, 2 and 5, coupling, trigger. The
// screen has ten divisions by eight, as on all instruments of the trade (common practice, no source).
import { middle } from "../captures/movingperiods.js";
import { type Crossing, crossings } from "../measures/crossing.js";
import type { TimeSpan } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";

/** Divisions of the screen. */
export const divisions = { across: 10, up: 8 } as const;
/** A trace that swings takes six divisions at most, so that what is too high is seen as well. */
const filled = 6;
/** Periods that the screen shows at least. */
const shown = 2;
/** With its zero on the screen a trace may look so many times smaller than without. */
const smaller = 5;
/** Of the largest level so little swings that the trace counts as flat. */
const flat = 1e-3;

/** How a trace comes again: where to trigger on it. */
export interface Recurrence {
  /** Height of the level between floor and peak, a share. */
  readonly share: number;
  readonly direction: Crossing["direction"];
  /** Seconds. */
  readonly period: number;
  /** The instants at which it crosses, s. */
  readonly starts: readonly number[];
}

/** How to set the instrument for one trace. SI units. */
export interface ScopeSetting {
  /** Of the trace's unit, at the tip of the probe. */
  readonly perDivision: number;
  /** `AC` where the trace stands so far from zero that its swing would not be seen beside it. */
  readonly coupling: "DC" | "AC";
  /** Seconds. */
  readonly timePerDivision: number;
  /** Absent where the trace has nothing to trigger on: the time base runs free. */
  readonly trigger?: {
    /** The trace itself, or the signal that moves it. */
    readonly source: string;
    /**
     * In the source's unit, with AC coupling from the middle of the trace; of another source than the trace halfway up its edge, which
     * is not said here.
     */
    readonly level?: number;
    /** Which edge. */
    readonly slope: Crossing["direction"];
  };
}

/** Floor and peak of a trace. */
export interface TraceReach {
  readonly floor: number;
  readonly peak: number;
}

/** Where a trace may be triggered on, the best first: halfway up, at a sync tip, at a peak. */
const triggers: readonly Pick<Recurrence, "share" | "direction">[] = [
  { share: 0.5, direction: "rising" },
  { share: 0.15, direction: "falling" },
  { share: 0.85, direction: "rising" },
];
/** So much of the distances of crossings must be alike, to so much of them. */
const [regular, alike] = [0.8, 0.02];

/** Whether a trace stands still. */
export function isFlat({ floor, peak }: TraceReach): boolean {
  return !(peak - floor > flat * Math.max(Math.abs(floor), Math.abs(peak), 1e-9));
}

/**
 * How a trace comes again in a span: by the period of a signal where it has one, else by the most regular of its crossings.
 * @param known periods of the signals that move it, s
 */
export function recurrenceOf(
  trace: Trace,
  { from, to }: TimeSpan,
  reach: TraceReach,
  known: readonly number[],
): Recurrence | undefined {
  if (isFlat(reach)) return undefined;
  let best: { readonly one: Recurrence; readonly rank: number } | undefined;
  for (const how of triggers) {
    const starts = crossingsAt(trace, { from, to }, reach, how);
    if (starts.length < 2) continue;
    const gaps = starts.slice(1).map((t, i) => t - starts[i]);
    const period = middle(gaps);
    const near = (gap: number) => Math.abs(gap - period) <= alike * period;
    const share = gaps.filter(near).length / gaps.length;
    const named = known.some(near);
    if (share < regular || (!named && gaps.length < 3)) continue;
    const rank = share + (named ? 1 : 0);
    // One that is hardly more regular is no better.
    if (!best || rank > best.rank + 0.05) best = { one: { ...how, period, starts }, rank };
  }
  return best?.one;
}

/** The instants at which a trace goes through a level that is a share of its height. */
export function crossingsAt(
  trace: Trace,
  { from, to }: TimeSpan,
  { floor, peak }: TraceReach,
  { share, direction }: Pick<Recurrence, "share" | "direction">,
): number[] {
  return crossings(trace, Math.max(from, trace.from), Math.min(to, trace.to), floor + share * (peak - floor))
    .filter((c) => c.direction === direction)
    .map((c) => c.time);
}

/**
 * How to set the instrument.
 * @param beside the signal that moves the trace, and its period, where the trace itself has nothing to trigger on
 */
export function settingOf(
  of: string,
  reach: TraceReach,
  again: Recurrence | undefined,
  beside: { readonly source: string; readonly period: number } | undefined,
): ScopeSetting {
  const { floor, peak } = reach;
  const whole = Math.max(peak, 0) - Math.min(floor, 0);
  const [still, alone] = [stepUp(whole / divisions.up), stepUp((peak - floor) / filled)];
  const hidden = !isFlat(reach) && still > smaller * alone;
  const perDivision = hidden ? alone : Math.max(still, isFlat(reach) ? 0 : alone);
  const period = again?.period ?? beside?.period;
  const zero = hidden ? (floor + peak) / 2 : 0;
  return {
    perDivision,
    coupling: hidden ? "AC" : "DC",
    timePerDivision: period === undefined ? 1e-3 : stepUp((shown * period) / divisions.across),
    ...(again
      ? {
          trigger: { source: of, level: floor + again.share * (peak - floor) - zero, slope: again.direction },
        }
      : beside && !isFlat(reach) && { trigger: { source: beside.source, slope: "rising" as const } }),
  };
}

/** The next of the steps 1, 2, 5 from a size on; of nothing the smallest that instruments have. */
export function stepUp(size: number): number {
  if (!(size > 1e-3 * Number.EPSILON)) return 1e-3;
  const decade = Number(size.toExponential().split("e")[1]);
  for (const exponent of [decade, decade + 1])
    for (const step of [1, 2, 5]) {
      const found = Number(`${step}e${exponent}`);
      if (found >= size * (1 - 1e-9)) return found;
    }
  return Number(`1e${decade + 1}`);
}
