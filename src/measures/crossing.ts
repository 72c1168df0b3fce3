// Where a trace goes through a level.
// A crossing leads from strictly one side of the level to strictly the other; a touch is none. Where the trace rests at the
// level, the crossing is the instant it leaves. A jump across counts at its instant. A trace that starts the span exactly at the
// level and leaves it crosses at the start, and one that ends the span at it has not crossed yet. So the crossings of adjoining
// spans are those of the whole, each once.
import { handed, handedNumber } from "../base/handed.js";
import { firstFrom } from "../base/search.js";
import type { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";
import {
  byParts,
  coveredSpan,
  firstOfParts,
  type Measure,
  type Spare,
  type TimeSpan,
  type Visit,
  type Window,
  walk,
} from "./window.js";

/** One passage through the level. */
export interface Crossing {
  /** Instant, s. */
  readonly time: number;
  /** `rising` where the trace comes from below the level. */
  readonly direction: "rising" | "falling";
}

/**
 * All crossings of a level between two instants inside the trace, in order of time; none at all where a value or
 * the level is NaN.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * const ramp = new Trace({ name: "ramp", unit: "V", time: Float64Array.of(0, 1), value: Float64Array.of(0, 4) });
 * crossings(ramp, 0, 1, 2); // [{ time: 0.5, direction: "rising" }]
 * ```
 */
export function crossings(trace: Trace, from: number, to: number, level: number): Crossing[] {
  handed("trace", trace);
  handedNumber(level, "level");
  const found: Crossing[] = [];
  // The last strict side the trace was seen on: -1 below, 1 above, 0 not yet known.
  let side = 0;
  let begun = false;
  let broken = false;
  const reach = (next: number, time: number) => {
    if (next === side) return;
    found.push({ time, direction: next > 0 ? "rising" : "falling" });
    side = next;
  };
  const visit: Visit = (arc, s0, s1) => {
    const v0 = arc.value(s0) - level;
    const v1 = arc.value(s1) - level;
    const start = arc.start + s0 * arc.length;
    if (Number.isNaN(v0) || Number.isNaN(v1)) {
      broken = true;
      return true;
    }
    // What begins at the level but for rounding leaves it there.
    const atIt =
      !begun &&
      start === trace.from &&
      Math.abs(v0) <= (Math.abs(v1 - v0) * play(start)) / ((s1 - s0) * arc.length);
    if (v0 !== 0 && !atIt) {
      if (!begun) side = Math.sign(v0);
      reach(Math.sign(v0), start); // only a jump can have brought it here, from the other side or from the level
    }
    begun = true;
    if (v1 === 0 || Math.sign(v1) === side) return false;
    reach(Math.sign(v1), v0 === 0 || atIt ? start : passing(trace, arc, level, [s0, s1]));
    return false;
  };
  // Spare pieces that stay on the side where the trace was seen last.
  pieces(trace, from, to, visit, (first, last) => (first - level) * side > 0 && (last - level) * side > 0);
  return broken ? [] : found;
}

/** First instant between two others at which a trace stands at or below a level; NaN when it never does. */
export function reaches(trace: Trace, from: number, to: number, level: number): number {
  let when = Number.NaN;
  const visit: Visit = (arc, s0, s1) => {
    if (arc.value(s0) <= level) when = arc.start + s0 * arc.length;
    else if (arc.value(s1) <= level) when = passing(trace, arc, level, [s0, s1]);
    return !Number.isNaN(when);
  };
  pieces(trace, from, to, visit, (first, last) => first > level && last > level);
  return when;
}

// Walks the arcs of a span in pieces on which they do not turn.
function pieces(trace: Trace, from: number, to: number, visit: Visit, spare: Spare): void {
  const turns = [Number.NaN, Number.NaN];
  const inPieces: Visit = (arc, s0, s1) => {
    const n = arc.turns(turns);
    let s = s0;
    for (let k = 0; k < n; k++) {
      if (turns[k] <= s || turns[k] >= s1) continue;
      if (visit(arc, s, turns[k]) === true) return true;
      s = turns[k];
    }
    return visit(arc, s, s1);
  };
  walk(trace, from, to, inPieces, spare);
}

// When a monotone piece of an arc meets the level: on the sampled curve, where that is known, by Newton steps from the crossing
// of the arc. Two steps remove all the error of an arc that is true to a millionth.
function passing(trace: Trace, arc: Arc, level: number, [s0, s1]: readonly [number, number]): number {
  const [first, last] = [arc.start + s0 * arc.length, arc.start + s1 * arc.length];
  const rising = arc.value(s1) > arc.value(s0);
  let time = arc.start + root(arc, level, s0, s1) * arc.length;
  for (let step = 0; step < 2; step++) {
    const point = trace.sampled(arc, time);
    if (!point || !(rising ? point.slope > 0 : point.slope < 0)) break;
    const next = time + (level - point.value) / point.slope;
    if (!(next >= first && next <= last)) break;
    time = next;
  }
  return time;
}

// The share at which a monotone piece meets the level: by the chord on a straight line, else by halving until the doubles run
// out. Crossings are few, so the plain and safe way will do.
function root(arc: Arc, level: number, s0: number, s1: number): number {
  const v0 = arc.value(s0) - level;
  const v1 = arc.value(s1) - level;
  if (v1 === 0) return s1;
  if (arc.straight) return Math.min(s1, s0 + (s1 - s0) * (v0 / (v0 - v1)));
  let a = s0;
  let b = s1;
  for (let turn = 0; turn < 200; turn++) {
    const middle = (a + b) / 2;
    if (!(middle > a && middle < b)) break;
    const v = arc.value(middle) - level;
    if (v === 0) return middle;
    if (v > 0 === v1 > 0) b = middle;
    else a = middle;
  }
  return b;
}

/**
 * The crossings of a window that go the way asked for, one just at its start among them, so that what stands on the border of two
 * adjoining windows belongs to the second; undefined where the trace does not cover the window. Just at it is what no more than
 * rounding keeps from it: an edge's half height is where its period begins, and neither of both is a double.
 */
export function passages(w: Window, level: number, direction?: "rising" | "falling"): Crossing[] | undefined {
  const s = coveredSpan(w);
  if (!s) return undefined;
  if (s.from === s.to) return [];
  const { trace } = w;
  const [first, next] = [s.from - play(s.from), s.to - play(s.to)];
  const { from, to } = wholeArcs(trace, s);
  const all = crossings(trace, from, to, level);
  const before = valueBefore(trace, from) - level;
  const after = trace.at(from) - level;
  if (before <= 0 && after > 0) all.unshift({ time: from, direction: "rising" });
  if (before >= 0 && after < 0) all.unshift({ time: from, direction: "falling" });
  return all.filter(
    (c) => c.time >= first && c.time < next && (direction === undefined || c.direction === direction),
  );
}

/** How far rounding may keep a crossing from an instant, s. */
function play(time: number): number {
  return 1e-13 * Math.abs(time);
}

// A crossing is found on its whole arc, so that two windows that share it see the same one: where the arc is not true to the last
// place, the instant is, and each window asks for that. A value that is missing beside the window is left out of it.
function wholeArcs(trace: Trace, { from, to }: TimeSpan): TimeSpan {
  const { time, value } = trace;
  const i = trace.index(Math.max(from - play(from), trace.from));
  const k = Math.min(time.length - 1, firstFrom(time, Math.min(to + play(to), trace.to)));
  return {
    from: Number.isNaN(value[i]) ? from : time[i],
    to: Number.isNaN(value[k]) ? to : time[k],
  };
}

/** Value at an instant, before a jump if there is one; NaN where no sample stands there. */
function valueBefore({ time, value }: Trace, t: number): number {
  const i = firstFrom(time, t);
  return time[i] === t ? value[i] : Number.NaN;
}

/** The instant of the first passage through the level asked for; NaN where there is none. */
function firstPassage(w: Window): number {
  if (!w.through) throw new RangeError("crossing needs a level");
  return passages(w, w.through.level, w.through.direction)?.[0]?.time ?? Number.NaN;
}

/** Time from the window's start to the first crossing of the given level. */
export const crossing: Measure = {
  words: "crossing",
  takes: "value",
  needs: "through",
  summary: "the time from the start of the span to the first crossing of a level",
  unit: () => "s",
  ...byParts((parts) => Math.max(0, firstOfParts(parts, firstPassage) - parts[0].window.from)),
  when: (w, measured) => w.from + measured,
};
