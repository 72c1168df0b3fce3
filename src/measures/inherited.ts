// What a period takes over from the one before. A ramp that is reset at the start of a period, or some time after it, has its top
// in a period in which it did not rise. Taken for that one's peak, it would hide that this one's own ramp is short. So a period's
// own course runs from where such a reset ends to where the next one comes, beyond the border if it comes late. A rise counts as
// handed over where it goes on across the border, for longer before it than after it, and is then reset: at least half of it is
// lost at least twice as quickly as it was gained, in the first half of the period. A period that has nothing else counts whole.
// All this upside down as well. Waves that fall as they rise, and pulses that begin on the border, are left as they are.
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";
import { coveredSpan, StretchCache, type TimeSpan, traceBounds, type Window, walk } from "./window.js";

/**
 * Below this share of the chord's slope, the slope after the border is that of a smooth turn and not of a corner; and the one before
 * it that of a trace at rest, whose level nobody reached in a period.
 */
const corner = 1e-3;
/** Up to this share of the swing of both periods a trace may turn back on its way, as by a ripple. */
const ripple = 0.02;
/** How many times as long a rise must last before the border as after it: what rises about it belongs where it ends. */
const mostly = 1.1;
/** What comes down within this last share of its period has not come to rest. */
const still = 0.02;
/** Within this share of its fall a trace is back. */
const settled = 1e-6;

/** A period's own course. */
export interface OwnCourse extends TimeSpan {
  /** Value at its start, before a jump that lies there; that of the trace after it where nothing is taken over. */
  readonly first: number;
  /** Which way resets go. */
  readonly back?: "falling" | "rising";
  /** Whether a reset comes later than its period begins. */
  readonly late: boolean;
}

/** A point of a trace: an instant, s, and its value. */
interface Point {
  readonly at: number;
  readonly value: number;
}

/** What one period hands over to the next: its top, and the end of the way back from there. */
interface Handover {
  readonly top: number;
  readonly end: Point;
  readonly back: "falling" | "rising";
  /** Whether the period that takes it over has anything else. */
  readonly apart: boolean;
}

/** The own course of a period; undefined where that is all of the window. */
export function ownCourse(w: Window): OwnCourse | undefined {
  const s = w.follows || w.next ? coveredSpan(w) : undefined;
  if (!s || s.from === s.to) return undefined;
  const { trace, next, former = s.from } = w;
  const past = next && handover(trace, Math.max(former, trace.from), s.from, s.to);
  const beyond = next && handover(trace, s.from, s.to, Math.min(next.to, trace.to));
  // Where the run ends before the reset, nothing tells how far the period's own ramp would have got.
  const known = beyond !== undefined || next?.whole === true;
  const late = past?.apart && known ? past : undefined;
  const start = late?.end ?? (w.follows ? wayBackFrom(trace, s) : undefined);
  const end = beyond?.apart || (beyond && !next?.whole) ? beyond.top : s.to;
  if (!start && end === s.to) return undefined;
  const first = start?.value ?? trace.at(s.from);
  const back = late?.back ?? (start ? (trace.at(s.from) > first ? "falling" : "rising") : beyond?.back);
  return { from: start?.at ?? s.from, to: end, first, back, late: late !== undefined || end > s.to };
}

/** The end of the way back from a corner on the border at which a period starts; undefined without one. */
function wayBackFrom(trace: Trace, { from, to }: TimeSpan): Point | undefined {
  const { time, value } = trace;
  const start = trace.index(from);
  if (start === 0 || time[start] !== from || time[start - 1] === from || !(time[start + 1] > from))
    return undefined;
  const before = new Arc().load(trace, start - 1).slope(1);
  const arc = new Arc().load(trace, start);
  const after = arc.slope(0);
  const way = Math.sign(after);
  if (way === 0 || before * way >= 0 || Math.abs(after) * arc.length < corner * Math.abs(arc.rise))
    return undefined;
  const end = wayBack(trace, start, to, way);
  if (!end || Math.abs(before) * (to - from) < corner * Math.abs(value[start] - end.value)) return undefined;
  return end;
}

/** Where a trace first stops going one way; undefined where it goes on to the end of the period. */
function wayBack(trace: Trace, start: number, to: number, way: number): Point | undefined {
  const { time, value } = trace;
  const arc = new Arc();
  const turns = [Number.NaN, Number.NaN];
  for (let i = start; time[i] < to; i++) {
    // A jump, or a stretch that does not go on that way, ends it.
    if (!((value[i + 1] - value[i]) * way > 0))
      return i > start ? { at: time[i], value: value[i] } : undefined;
    if (time[i + 1] === time[i]) continue;
    if (arc.load(trace, i).turns(turns) > 0) {
      const at = arc.start + turns[0] * arc.length;
      return at < to ? { at, value: arc.value(turns[0]) } : undefined;
    }
  }
  return undefined;
}

const handovers = new StretchCache<Handover | undefined>();

/** What the period that ends at `border` hands over to the one from there to `to`; undefined where it is nothing. */
function handover(trace: Trace, from: number, border: number, to: number): Handover | undefined {
  if (!(from < border && border < to)) return undefined;
  return handovers.of(trace, border, to, () => handed(trace, from, border, to));
}

function handed(trace: Trace, from: number, border: number, to: number): Handover | undefined {
  const before = traceBounds(trace, from, border);
  const after = traceBounds(trace, border, to);
  const play = ripple * (Math.max(before.high, after.high) - Math.min(before.low, after.low));
  if (!(play > 0)) return undefined;
  // A period may have a million samples, and few of them matter.
  for (let samples = some; ; samples *= some) {
    const since = trace.time[trace.index(border) - samples] ?? from;
    const until = trace.time[trace.index(border) + samples] ?? to;
    const [first, last] = [Math.max(from, since), Math.min(to, until)];
    const past = points(trace, first, border);
    const way = wayAcross(past, play);
    if (way !== 0) {
      const passage = passageAcross(past, points(trace, border, last), way, play);
      if ((passage.begun || first === from) && (passage.over || last === to)) return resetIn(passage, to);
    } else if (first === from) return undefined;
  }
}

/** How many samples on either side of a border are looked at first, and how many times as many next. */
const some = 64;

/** Which way a trace has gone up to a border, by more than it may turn back: 1 upwards, -1 downwards, 0 if it has not. */
function wayAcross(past: readonly Point[], play: number): -1 | 0 | 1 {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const { value: last } = past[past.length - 1];
  for (let i = past.length - 1; i >= 0; i--) {
    const { value } = past[i];
    low = Math.min(low, value);
    high = Math.max(high, value);
    if (last - low > 2 * play) return 1;
    if (high - last > 2 * play) return -1;
  }
  return 0;
}

/** The samples and turns of a trace between two instants that it covers, in order: between two neighbours it is monotone. */
function points(trace: Trace, from: number, to: number): Point[] {
  const found: Point[] = [];
  const turns = [Number.NaN, Number.NaN];
  walk(trace, from, to, (arc, s0, s1) => {
    const n = arc.turns(turns);
    const meet = (s: number) => found.push({ at: arc.start + s * arc.length, value: arc.value(s) });
    meet(s0);
    for (let k = 0; k < n; k++) if (turns[k] > s0 && turns[k] < s1) meet(turns[k]);
    meet(s1);
  });
  return found;
}

/** A rise across a border, or a fall taken as one, and what comes of it. */
interface Passage {
  /** The points from where it begins to its top, and from there to the end of the way back. */
  readonly up: readonly Point[];
  readonly down: readonly Point[];
  readonly border: number;
  readonly way: -1 | 1;
  readonly play: number;
  /** Whether it shows where the way to the border began, where its top is, and where the way back ends. */
  readonly begun: boolean;
  readonly topped: boolean;
  readonly over: boolean;
}

/** @param past the points up to the border, and `next` those from there */
function passageAcross(past: readonly Point[], next: readonly Point[], way: -1 | 1, play: number): Passage {
  /** The farthest point on a way, and whether it has plainly turned back there. */
  const turn = (points: readonly Point[], from: number, way: number, step: -1 | 1) => {
    let best = from;
    for (let i = from; i >= 0 && i < points.length; i += step) {
      const beyond = way * (points[i].value - points[best].value);
      if (beyond > 0) best = i;
      if (beyond < -play) return { best, over: true };
    }
    return { best, over: false };
  };
  const foot = turn(past, past.length - 1, -way, -1);
  const top = turn(next, 0, way, 1);
  const back = turn(next, top.best, -way, 1);
  const up = [...past.slice(foot.best), ...next.slice(0, top.best + 1)];
  const down = next.slice(top.best, back.best + 1);
  const [begun, topped, over] = [foot.over, top.over, top.over && back.over];
  return { up, down, border: next[0].at, way, play, begun, topped, over };
}

/** What a passage hands over, if it is reset. @param end of the period after the border, s */
function resetIn({ up, down, border, way, play, topped }: Passage, end: number): Handover | undefined {
  const [foot, top, back] = [up[0], down[0], down[down.length - 1]];
  // No reset, or one right on the border.
  if (!topped || !(top.at > border)) return undefined;
  const rise = way * (top.value - foot.value);
  const fall = way * (top.value - back.value);
  if (!(fall >= rise / 2)) return undefined;
  // Both from where they have plainly begun to half way.
  const leaves = lastAt(up, foot.value + way * play, way);
  const falls = firstAt(down, top.value - way * Math.min(play, fall / 4), -way);
  const gained = firstAt(up, foot.value + (way * rise) / 2, way) - leaves;
  const lost = firstAt(down, top.value - (way * fall) / 2, -way) - falls;
  if (!(2 * lost < gained && border - leaves > mostly * (falls - border))) return undefined;
  if (!(falls - border < (end - border) / 2)) return undefined;
  const rest = back.value + way * settled * fall;
  const reached = down.find(({ value }) => way * (rest - value) >= 0)!;
  const apart = end - reached.at > still * (end - border);
  return { top: top.at, end: reached, back: way > 0 ? "falling" : "rising", apart };
}

/** When points first reach a level, going one way. */
function firstAt(points: readonly Point[], level: number, way: number): number {
  const i = points.findIndex(({ value }) => way * (value - level) >= 0);
  return i > 0 ? between(points[i - 1], points[i], level) : points[0].at;
}

/** When points last stand at a level, or beyond it on the side they come from. */
function lastAt(points: readonly Point[], level: number, way: number): number {
  const i = points.findLastIndex(({ value }) => way * (value - level) <= 0);
  return i >= 0 && i + 1 < points.length ? between(points[i], points[i + 1], level) : points[0].at;
}

/** When the chord of two points is at a level. */
function between(a: Point, b: Point, level: number): number {
  return a.value === b.value ? a.at : a.at + ((level - a.value) / (b.value - a.value)) * (b.at - a.at);
}
