// What a measure is, and how it reads a stretch of a trace. A window sees the value after a jump at its start and the value
// before a jump at its end, so that the windows of successive periods share no value; a window that the trace does not cover (the
// run stopped early) always measures as NaN.
import { handed } from "../base/handed.js";
import { Arc, steady } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";

/** A stretch of a trace to measure. Times in seconds of the run. */
export interface Window {
  /** What is measured. */
  readonly trace: Trace;
  /** The voltage of the part's output against ground, for a measure that reads it beside the trace. */
  readonly output?: Trace;
  /** Start of the stretch. */
  readonly from: number;
  /** Its end; not before the start. */
  readonly to: number;
  /** Set for a period that follows another, which ends where this one starts. */
  readonly follows?: boolean;
  /** The start of that one, s, as far as the run goes. */
  readonly former?: number;
  /** The period after a whole period, if something may be handed over on their borders. */
  readonly next?: {
    /** Its end, s, as far as the run goes. */
    readonly to: number;
    /** Whether the run has all of it. */
    readonly whole: boolean;
  };
  /** The instant of measures that need one. */
  readonly at?: number;
  /** The level, in the trace's unit, that some measures need and others take in place of their own. */
  readonly through?: Passing;
}

/** A level that a trace goes through. */
export interface Passing {
  /** In the trace's unit. */
  readonly level: number;
  /** Which way it must go; either unless given. */
  readonly direction?: "rising" | "falling";
}

/** A span of a run, in seconds. */
export interface TimeSpan {
  /** Start, s. */
  readonly from: number;
  /** End, s; not before the start. */
  readonly to: number;
}

/** A window, and how often what it shows occurs, right after itself. */
export interface Recurring {
  /** The window of the first time. */
  readonly window: Window;
  /** How often, the first time included. */
  readonly times: number;
}

/** A measure: what a check, `measure of trace ...`, takes of a stretch of a trace. */
export interface Measure {
  /** How a design says it: `peak`, `sweep error`. */
  readonly words: string;
  /** Which trace of a part it reads; `value` is the target as it stands. */
  readonly takes: "value" | "current" | "power" | "clipping";
  /** What must be given besides the window. */
  readonly needs?: "at" | "through";
  /**
   * Set if it needs only the values at both ends of the window, or only the lowest and highest: nothing else must then be drawn.
   */
  readonly looks?: "ends" | "extremes";
  /** What it looks at beside the trace. */
  readonly beside?: "output";
  /** One line for the reference. */
  readonly summary: string;
  /** SI unit of the result for a trace in the unit `of`; empty for a share and for a count. */
  unit(of: string): string;
  /** A share is shown in per cent; a count is a whole number, which a limit may name exactly: `is 1`. */
  readonly shown?: "share" | "count";
  /** Set where the result is a level of the trace, so that its limit can be drawn beside the trace. */
  readonly level?: true;
  /**
   * The measure of a window, in SI units; NaN when it does not occur there.
   * @throws RangeError when what it `needs`, or what it reads `beside` the trace, is missing.
   */
  take(window: Window): number;
  /**
   * The same of a span whose parts adjoin, in order of time, some of them many times over: a run that repeats is then not drawn
   * throughout. Absent where only the whole span tells.
   */
  over?(parts: readonly Recurring[]): number;
  /** The instant (s) at which the measured value occurs; absent for measures without one. */
  when?(window: Window, measured: number): number;
  /** The span (s) whose length was measured; absent for measures of no length; an end is NaN where it does not occur. */
  stretch?(window: Window): TimeSpan;
}

/** A measure of a span by its parts: of a window as well, which is a single part. */
export function byParts(
  over: (parts: readonly Recurring[]) => number,
): Pick<Required<Measure>, "over" | "take"> {
  return { over, take: (window) => over([{ window, times: 1 }]) };
}

/** What a measure takes of a span in parts; only a measure with `over` is given more than one. */
export function measureOver(measure: Measure, parts: readonly Recurring[]): number {
  return parts.length > 1 ? measure.over!(parts) : measure.take(parts[0].window);
}

/** What parts of a span come to, one by one, the first number that is one: NaN where there is none. */
export function firstOfParts(parts: readonly Recurring[], of: (window: Window) => number): number {
  for (const { window } of parts) {
    const found = of(window);
    if (!Number.isNaN(found)) return found;
  }
  return Number.NaN;
}

/** The first instant of a window at which its trace is at a level, on the curve or in an impulse; NaN where it never is. */
export function standsAt(w: Window, level: number): number {
  const span = coveredSpan(w);
  if (!span) return Number.NaN;
  if (!Number.isFinite(level)) {
    const struck = w.trace.struck(span.from, span.to).find(({ size }) => size * level > 0);
    return struck?.time ?? Number.NaN;
  }
  const turns = [Number.NaN, Number.NaN];
  let when = span.from === span.to && w.trace.at(span.from) === level ? span.from : Number.NaN;
  const visit: Visit = (arc, s0, s1) => {
    const n = arc.turns(turns);
    const inside = turns.slice(0, n).filter((s) => s > s0 && s < s1);
    const found = [s0, ...inside, s1].find((s) => arc.value(s) === level);
    if (found !== undefined) when = arc.start + found * arc.length;
    return found !== undefined;
  };
  walk(w.trace, span.from, span.to, visit, (first, last) => first !== level && last !== level);
  return when;
}

/** Called with a loaded arc and the shares of it, 0 to 1, that lie in the window; `true` ends the walk. */
export type Visit = (arc: Arc, s0: number, s1: number) => unknown;

/**
 * The window's ends, or undefined where the trace does not cover it. An end may lie beyond the trace by rounding of the clock
 * (1e-12 of its size), and is then pulled in. An end that differs from a sample only by the rounding of a sum of two instants is
 * that sample, so that a jump there falls on its proper side.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * coveredSpan({ trace: run.trace("ramp"), from: 0, to: 1e-3 }); // { from: 0, to: 0.001 }
 * coveredSpan({ trace: run.trace("ramp"), from: 0, to: 1 }); // undefined
 * ```
 */
export function coveredSpan(w: Window): TimeSpan | undefined {
  handed("span", w, "window");
  handed("trace", w.trace, "window.trace");
  const play = 1e-12 * Math.max(Math.abs(w.trace.from), Math.abs(w.trace.to));
  if (!(w.from <= w.to && w.from >= w.trace.from - play && w.to <= w.trace.to + play)) return undefined;
  const from = onSample(w.trace, Math.min(Math.max(w.from, w.trace.from), w.trace.to));
  return { from, to: Math.max(from, onSample(w.trace, Math.min(w.to, w.trace.to))) };
}

function onSample(trace: Trace, t: number): number {
  const i = trace.index(t);
  const near = 2 * Number.EPSILON * Math.abs(t);
  if (t - trace.time[i] <= near) return trace.time[i];
  const next = trace.time[i + 1];
  return next - t <= near ? next : t;
}

/** Called with the values at both ends of an arc without a turn between them: `true` skips the visit. */
export type Spare = (first: number, last: number) => boolean;

/**
 * Visits every arc between two instants inside the trace, in order of time. Jumps lie between arcs: the next arc then starts at
 * another value than the last one ended. Nothing is visited when `from` equals `to`.
 */
export function walk(trace: Trace, from: number, to: number, visit: Visit, spare?: Spare): void {
  const { time, value } = trace;
  const arc = new Arc();
  for (let i = trace.index(from); time[i] < to; i++) {
    if (time[i + 1] === time[i]) continue;
    if (spare && time[i] >= from && time[i + 1] <= to && steady(trace, i) && spare(value[i], value[i + 1]))
      continue;
    arc.load(trace, i);
    const s0 = time[i] < from ? (from - time[i]) / arc.length : 0;
    const s1 = time[i + 1] > to ? (to - time[i]) / arc.length : 1;
    if (s0 < s1 && visit(arc, s0, s1) === true) return;
  }
}

/** Values of a trace at both ends of a stretch, in its unit. */
export interface EndValues {
  /** Value at the start, after a jump that lies there. */
  readonly first: number;
  /** Value at the end, before a jump that lies there. */
  readonly last: number;
}

/**
 * Values just inside both ends of a stretch that the trace covers. Instants in seconds, values in the trace's unit.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * const ramp = new Trace({ name: "ramp", unit: "V", time: Float64Array.of(0, 1), value: Float64Array.of(0, 4) });
 * ends(ramp, 0.25, 0.5); // { first: 1, last: 2 }
 * ```
 */
export function ends(trace: Trace, from: number, to: number): EndValues {
  handed("trace", trace);
  const first = trace.at(from);
  let last = first;
  const i = trace.index(from);
  // Do not walk a long window for its ends: read its first and last arc alone.
  const look: Visit = (arc, _, s1) => {
    last = arc.value(s1);
  };
  const near = trace.time[i + 1] ?? to;
  walk(trace, from, Math.min(near, to), look);
  if (near < to) {
    // The last sample before `to` starts the last arc.
    let k = trace.index(to);
    while (trace.time[k] >= to) k--;
    walk(trace, trace.time[k], to, look);
  }
  return { first, last };
}

/** A cache by trace and start of a stretch, so that several measures of a stretch search it once. */
export class StretchCache<T> {
  private readonly found = new WeakMap<Trace, Map<number, { readonly to: number; readonly what: T }>>();

  of(trace: Trace, from: number, to: number, look: () => T): T {
    let stretches = this.found.get(trace);
    if (!stretches || stretches.size >= mostKept) {
      stretches = new Map();
      this.found.set(trace, stretches);
    }
    const known = stretches.get(from);
    if (known && known.to === to) return known.what;
    const what = look();
    stretches.set(from, { to, what });
    return what;
  }
}

/** Most stretches kept per trace: two fields of lines, some megabytes. */
const mostKept = 10_000;

/** Lowest and highest value of a stretch, both ends included, in the trace's unit. */
export interface Bounds {
  /** Lowest value. */
  readonly low: number;
  /** Highest value. */
  readonly high: number;
}

const allBounds = new StretchCache<Bounds>();

/**
 * Lowest and highest value between two instants, between samples too. NaN for both where a value is NaN.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * const ramp = new Trace({ name: "ramp", unit: "V", time: Float64Array.of(0, 1), value: Float64Array.of(0, 4) });
 * traceBounds(ramp, 0.25, 0.5); // { low: 1, high: 2 }
 * ```
 */
export function traceBounds(trace: Trace, from: number, to: number): Bounds {
  handed("trace", trace);
  return allBounds.of(trace, from, to, () => boundsOf(trace, from, to));
}

/** What moves by no more than this share of the largest value of its trace moves by rounding. */
const slightest = 1e-12;
const largest = new WeakMap<Trace, number>();

/** Whether a stretch of a trace stands still but for rounding, which has no edges, no sweep and no period. */
export function unmoved(trace: Trace, { low, high }: Bounds): boolean {
  let most = largest.get(trace);
  if (most === undefined) {
    most = trace.value.reduce((max, v) => Math.max(max, Math.abs(v)), 0);
    largest.set(trace, most);
  }
  return high - low <= slightest * most;
}

function boundsOf(trace: Trace, from: number, to: number): Bounds {
  let low = trace.at(from);
  let high = low;
  const turns = [Number.NaN, Number.NaN];
  const meet = (v: number) => {
    // A NaN, once met, stays in both.
    low = Math.min(low, v);
    high = Math.max(high, v);
  };
  const visit: Visit = (arc, s0, s1) => {
    meet(arc.value(s0));
    meet(arc.value(s1));
    const n = arc.turns(turns);
    for (let k = 0; k < n; k++) if (turns[k] > s0 && turns[k] < s1) meet(arc.value(turns[k]));
  };
  walk(trace, from, to, visit, (first, last) => {
    meet(first);
    meet(last);
    return true;
  });
  return { low, high };
}
