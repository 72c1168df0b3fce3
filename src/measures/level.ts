// Levels of a window: peak, floor, swing, the value at an instant, the largest current and power, tilt and sag.
// A peak between two samples counts, found on the trace's own curve; an impulse counts as infinite; a jump counts with both its
// values, except at the window's ends (window.ts); a period has its own course (inherited.ts).
import { ownCourse } from "./inherited.js";
import {
  type Bounds,
  byParts,
  coveredSpan,
  ends,
  type Measure,
  type Recurring,
  standsAt,
  traceBounds,
  type Window,
} from "./window.js";

const same = (of: string) => of;

function lowHigh(w: Window): Bounds {
  const s = coveredSpan(w);
  if (!s) return { low: Number.NaN, high: Number.NaN };
  const own = ownCourse(w);
  const { from, to } = own ?? s;
  let { low, high } = traceBounds(w.trace, from, to);
  if (own) {
    low = Math.min(low, own.first);
    high = Math.max(high, own.first);
  }
  for (const { size } of w.trace.struck(s.from, s.to)) {
    if (size > 0) high = Number.POSITIVE_INFINITY;
    if (size < 0) low = Number.NEGATIVE_INFINITY;
  }
  return { low, high };
}

/** The lowest and highest of all parts. */
function boundsOver(parts: readonly Recurring[]): Bounds {
  const all = parts.map(({ window }) => lowHigh(window));
  return { low: Math.min(...all.map(({ low }) => low)), high: Math.max(...all.map(({ high }) => high)) };
}

const highest = byParts((parts) => boundsOver(parts).high);

/** The first instant at which a value stands in a window, or in a period's own course. */
function when(w: Window, level: number): number {
  const own = ownCourse(w);
  if (!own) return standsAt(w, level);
  const { from, to, first } = own;
  return first === level ? from : standsAt({ ...w, from, to }, level);
}

/** The earlier of two instants; either may be NaN. */
function firstOf(a: number, b: number): number {
  return a <= b || Number.isNaN(b) ? a : b;
}

/** Highest value. */
export const peak: Measure = {
  words: "peak",
  takes: "value",
  looks: "extremes",
  level: true,
  summary: "the highest value",
  unit: same,
  ...highest,
  when,
};

/** Lowest value. */
export const floor: Measure = {
  words: "floor",
  takes: "value",
  looks: "extremes",
  summary: "the lowest value",
  unit: same,
  ...byParts((parts) => boundsOver(parts).low),
  when,
};

/** Highest less lowest value. */
export const swing: Measure = {
  words: "swing",
  takes: "value",
  looks: "extremes",
  summary: "peak to peak: the highest value less the lowest",
  unit: same,
  ...byParts((parts) => {
    const { low, high } = boundsOver(parts);
    return high - low;
  }),
};

/** Value at an instant, after a jump if there is one; the instant need not lie inside the window. */
export const value: Measure = {
  words: "value",
  takes: "value",
  needs: "at",
  summary: "the value at an instant; at a jump the value after it",
  unit: same,
  take(w) {
    if (w.at === undefined) throw new RangeError("value needs an instant");
    const s = coveredSpan({ trace: w.trace, from: w.at, to: w.at });
    return s ? w.trace.at(s.from) : Number.NaN;
  },
};

/** Largest size of a part's current, in either direction. */
export const peakCurrent: Measure = {
  words: "peak current",
  takes: "current",
  looks: "extremes",
  level: true,
  summary: "the largest current through a part, in either direction",
  unit: same,
  ...byParts((parts) => {
    const { low, high } = boundsOver(parts);
    return Math.max(-low, high);
  }),
  when: (w, size) => firstOf(when(w, size), when(w, -size)),
};

/** Largest power a part takes up; below zero when it delivers throughout. */
export const peakPower: Measure = {
  words: "peak power",
  takes: "power",
  looks: "extremes",
  summary: "the largest power a part takes up",
  unit: same,
  ...highest,
  when,
};

/**
 * Tilt of a pulse's top: what the trace loses from the start to the end of the window, as a share of the mean of both values. For
 * a square wave through a coupling capacitor that is the loss over half the swing, the definition of Millman & Taub, "Pulse,
 * Digital, and Switching Waveforms" (1965). Positive when the top sinks. A top near 0 V has almost no height to take a share of:
 * use `sag` there.
 */
export const tilt: Measure = {
  words: "tilt",
  takes: "value",
  looks: "ends",
  summary: "how far a pulse's top sinks from the start to the end of the span, as a share of its mean height",
  unit: () => "",
  shown: "share",
  take(w) {
    const s = coveredSpan(w);
    if (!s) return Number.NaN;
    const { first, last } = ends(w.trace, s.from, s.to);
    const tilt = (first - last) / ((first + last) / 2);
    return Number.isFinite(tilt) ? tilt : Number.NaN;
  },
};

/**
 * What a trace loses from the start to the end of the window, in its own unit: a tilt for traces that may lie near 0 V, e.g. a
 * coupled signal over a line or a field. Positive when it sinks.
 */
export const sag: Measure = {
  words: "sag",
  takes: "value",
  looks: "ends",
  summary: "how far a trace sinks from the start to the end of the span",
  unit: same,
  take(w) {
    const s = coveredSpan(w);
    if (!s) return Number.NaN;
    const { first, last } = ends(w.trace, s.from, s.to);
    return first - last;
  },
};
