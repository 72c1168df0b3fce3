// Slopes and edges of a window: slope, rise time, fall time and reset time.
// The reference levels are shares of the swing between the window's own floor and peak; an edge not wholly inside the window does
// not occur (NaN).
import { type Crossing, crossings, reaches } from "./crossing.js";
import { ownCourse } from "./inherited.js";
import { findSweep, mirror } from "./sweep.js";
import {
  coveredSpan,
  ends,
  type Measure,
  type TimeSpan,
  traceBounds,
  unmoved,
  type Window,
} from "./window.js";

/**
 * Mean slope between the window's ends: what two cursors on a screen show. It is not a fitted line, so that it
 * means the same on a curved ramp sampled finely or coarsely.
 */
export const slope: Measure = {
  words: "slope",
  takes: "value",
  looks: "ends",
  summary: "the mean slope from the start to the end of the span",
  unit: (of) => `${of}/s`,
  take(w) {
    const s = coveredSpan(w);
    if (!s || s.from === s.to) return Number.NaN;
    const { first, last } = ends(w.trace, s.from, s.to);
    return (last - first) / (s.to - s.from);
  },
};

// The first edge in one direction: from the last crossing of its near level to the first one of its far level.
function edge(w: Window, direction: "rising" | "falling"): TimeSpan {
  const s = coveredSpan(w);
  if (!s) return nowhere;
  // What a period only comes back from is no level of an edge the other way.
  const own = ownCourse(w);
  const { from, to } = own && own.back !== direction ? own : s;
  const bounds = traceBounds(w.trace, from, to);
  if (unmoved(w.trace, bounds)) return nowhere;
  const { low, high } = bounds;
  const through = (share: number) =>
    crossings(w.trace, from, to, low + share * (high - low)).filter((c) => c.direction === direction);
  const near = through(direction === "rising" ? 0.1 : 0.9);
  for (const far of through(direction === "rising" ? 0.9 : 0.1)) {
    const start = last(near, far.time);
    if (start) return { from: start.time, to: far.time };
  }
  return nowhere;
}

const nowhere: TimeSpan = { from: Number.NaN, to: Number.NaN };
const lengthOf = ({ from, to }: TimeSpan) => to - from;

function last(all: readonly Crossing[], before: number): Crossing | undefined {
  let found: Crossing | undefined;
  for (const c of all) if (c.time <= before) found = c;
  return found;
}

/** Time of the first rise from 10 to 90 % of the swing (IEC 60469 gives these reference levels). */
export const riseTime: Measure = {
  words: "rise time",
  takes: "value",
  summary: "the time of the first rise from 10 to 90 % of the swing",
  unit: () => "s",
  take: (w) => lengthOf(edge(w, "rising")),
  stretch: (w) => edge(w, "rising"),
};

/** Time of the first fall from 90 to 10 % of the swing. */
export const fallTime: Measure = {
  words: "fall time",
  takes: "value",
  summary: "the time of the first fall from 90 to 10 % of the swing",
  unit: () => "s",
  take: (w) => lengthOf(edge(w, "falling")),
  stretch: (w) => edge(w, "falling"),
};

// Whether the sweep of a window is a fall, which is reset by a quicker rise: at once from the lower half of the swing, or later by one
// that is plainly quicker.
function resetsUpward(w: Window, { from: begin, to: end }: TimeSpan): boolean {
  const own = { ...w, follows: false, next: undefined };
  const sweep = findSweep(own);
  if (!sweep?.falling) return false;
  const { low, high } = traceBounds(w.trace, begin, sweep.to);
  const below = w.trace.at(begin) < low + (high - low) / 2;
  if (below && sweep.from - begin < sweep.to - sweep.from) return true;
  if (2 * lengthOf(edge(own, "rising")) < lengthOf(edge(own, "falling"))) return true;
  // A period that falls until it ends is the first one, which nothing resets.
  const floor = reaches(w.trace, begin, end, low + resetShare * (high - low));
  return !below && w.follows === true && end - floor < stillOnItsWay * (end - begin);
}

/** A fall that comes down within this last share of its period or span has not come to rest: nothing tells that it is a reset. */
const stillOnItsWay = 0.02;

// Whether a period goes on to rise from where the one before has come to, so that it has not been reset.
function goesOn({ trace, former, follows, through }: Window, { from, to }: TimeSpan): boolean {
  if (!follows || former === undefined || through) return false;
  const begin = Math.max(former, trace.from);
  if (!(begin < from)) return false;
  const { low, high } = traceBounds(trace, begin, to);
  const near = resetShare * (high - low);
  const start = trace.at(from);
  const foot = reaches(trace, begin, from, Math.min(low + near, start - near));
  return !Number.isNaN(foot) && traceBounds(trace, foot, from).high <= start + near;
}

function upsideDown(w: Window): Window {
  const { trace, former } = w;
  return { ...w, trace: mirror(trace.between(Math.max(former ?? w.from, trace.from), w.to)) };
}

/** How near to the floor counts as reset, as a share of the swing (common practice, no source). */
const resetShare = 0.01;

/**
 * Time from the window's start until the trace first comes within 1 % of its swing of its floor, or to the level given with
 * `through`. Zero when it starts there. For a falling sweep, which is reset upwards: until it first comes as near to its peak, or
 * to the level. Where it falls from the start until the window ends, it does not occur: that may be a falling sweep. Nor does it
 * in a period that starts at its floor only because its trace goes on to rise from the period before: its reset is missing.
 */
export const resetTime: Measure = {
  words: "reset time",
  takes: "value",
  summary:
    "the time until a sweep is reset: down to within 1 % of its swing of its floor, or to a level; upwards where it falls",
  unit: () => "s",
  take(w) {
    const s = coveredSpan(w);
    if (!s) return Number.NaN;
    const bounds = traceBounds(w.trace, s.from, s.to);
    const { low, high } = bounds;
    const level = w.through?.level ?? (unmoved(w.trace, bounds) ? high : low + resetShare * (high - low));
    if (Number.isNaN(level) || Number.isNaN(low)) return Number.NaN;
    if (s.from === s.to) return w.trace.at(s.from) <= level ? 0 : Number.NaN;
    if (!resetsUpward(w, s)) {
      const reset = reaches(w.trace, s.from, s.to, level);
      // What only falls, until the span ends, may be a falling sweep as well as a reset that the span cuts off.
      const falls = reset > s.from && s.to - reset < stillOnItsWay * (s.to - s.from);
      const only = falls && w.trace.at(s.from) >= high - resetShare * (high - low);
      if (only && w.through === undefined && !w.follows) return Number.NaN;
      return reset === s.from && goesOn(w, s) ? Number.NaN : reset - s.from;
    }
    const top = w.through?.level ?? high - resetShare * (high - low);
    const reset = reaches(mirror(w.trace.between(s.from, s.to)), s.from, s.to, -top);
    return reset === s.from && goesOn(upsideDown(w), s) ? Number.NaN : reset - s.from;
  },
  stretch(w) {
    const from = coveredSpan(w)?.from ?? Number.NaN;
    return { from, to: from + this.take(w) };
  },
};
