// How to set an oscilloscope so that a trace is seen whole: volts and time per division in steps of 1, 2 and 5, coupling,
// trigger. The screen has ten divisions by eight, as on all instruments of the trade (common practice, no source).
import { middle } from "../captures/movingperiods.js";
import { type Crossing, crossings } from "../measures/crossing.js";
import type { TimeSpan } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";

/** Divisions of the screen. */
export const divisions = { across: 10, up: 8 } as const;
/** A moving trace takes at most six divisions, so that one that is too high still shows. */
const filled = 6;
/** The fewest periods that the screen shows. */
const shown = 2;
/** How many times smaller a trace may look for having its zero on the screen. */
const smaller = 5;
/** A swing below this share of the largest level counts as flat. */
const flat = 1e-3;

/** How a trace recurs: where to trigger on it. */
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
  /** In the trace's unit, at the tip of the probe. */
  readonly perDivision: number;
  /** `AC` where the trace is so far from zero that its swing would not show. */
  readonly coupling: "DC" | "AC";
  /** Seconds. */
  readonly timePerDivision: number;
  /** Absent where the trace has nothing to trigger on: the time base runs free. */
  readonly trigger?: {
    /** The trace itself, or the signal that drives it. */
    readonly source: string;
    /**
     * In the source's unit, with AC coupling from the middle of the trace; absent for another source, which triggers halfway up
     * its edge.
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
/** This share of the gaps between crossings must be equal, to within the second share. */
const [regular, alike] = [0.8, 0.02];

/** Whether a trace stands still. */
export function isFlat({ floor, peak }: TraceReach): boolean {
  return !(peak - floor > flat * Math.max(Math.abs(floor), Math.abs(peak), 1e-9));
}

/**
 * How a trace recurs in a span: by the period of a signal where it has one, else by the most regular of its crossings.
 * @param known periods of the signals that affect it, s
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

/** The instants at which a trace passes a level given as a share of its height. */
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
 * @param beside the signal that drives the trace, and its period, where the trace itself has nothing to trigger on
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

/** The next of the steps 1, 2, 5 at or above a size; for zero 1e-3. */
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
