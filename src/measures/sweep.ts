// Where the sweep of a window is: the slow motion between two resets, upwards or downwards.
// It is given as a rise, of the trace itself or of its mirror image, so that a falling sweep is measured like a rising one.
import { Arc } from "../waveforms/arc.js";
import { Trace } from "../waveforms/trace.js";
import { crossings } from "./crossing.js";
import { ownCourse } from "./inherited.js";
import { coveredSpan, StretchCache, traceBounds, unmoved, type Visit, type Window, walk } from "./window.js";

/** A sweep found in a window: rising in `trace`, from `from` to `to`, s. */
export interface Sweep {
  readonly trace: Trace;
  readonly from: number;
  readonly to: number;
  /** True where `trace` is the mirror image of the one measured. */
  readonly falling: boolean;
}

/**
 * Finds the sweep of a window: from where the trace last leaves its floor to its peak after that, or on to its reset where it stands
 * or sags meanwhile. A trace that rises throughout is a sweep from end to end. Where the downward motion is slower, the sweep is
 * the fall, given as the rise of the mirrored trace.
 */
export function findSweep(w: Window): Sweep | undefined {
  const s = coveredSpan(w);
  if (!s || s.from === s.to) return undefined;
  // A sweep that is reset late is that of its period's own course.
  const own = ownCourse(w);
  const { from, to } = own?.late ? own : s;
  return sweeps.of(w.trace, from, to, () => look(w.trace, from, to));
}

const sweeps = new StretchCache<Sweep | undefined>();

function look(trace: Trace, from: number, to: number): Sweep | undefined {
  if (unmoved(trace, traceBounds(trace, from, to))) return undefined;
  const up = rise(trace, from, to);
  if (up && longest(up, from, to)) return sweepOf(up, false);
  const mirrored = mirror(trace.between(from, to));
  const down = rise(mirrored, from, to);
  if (!down || (up && down.to - down.from <= up.to - up.from)) return up && sweepOf(up, false);
  return sweepOf(down, true);
}

/** A rise of the trace. */
interface Rise {
  readonly trace: Trace;
  readonly from: number;
  readonly to: number;
  /** The instant of its last crossing of 1 % of the swing. */
  readonly leaves: number;
  /** Whether it reaches more than 99 % of the swing. */
  readonly full: boolean;
}

function sweepOf({ trace, from, to }: Rise, falling: boolean): Sweep {
  return { trace, from, to, falling };
}

// Whether no fall can take longer, so that none need be looked for. Where the rise is full, a fall either begins at its top (at
// the earliest at the sample before) or ends before the rise leaves the floor.
function longest({ trace, from: foot, to: top, leaves, full }: Rise, from: number, to: number): boolean {
  if (!full) return false;
  const i = trace.index(top);
  const before = trace.time[i] < top || i === 0 ? trace.time[i] : trace.time[i - 1];
  return top - foot >= Math.max(to - before, leaves - from);
}

// The floor may be flat, sagging, or spoilt by a spike as the switch opens. So the rise is first found where it is plain, at 1 %
// of the swing, and then followed back to its foot: the instant before which the trace rose less than half as fast. With a switch
// that opens this is the instant of opening, which is always a sample.
function rise(trace: Trace, from: number, to: number): Rise | undefined {
  const { low, high } = traceBounds(trace, from, to);
  const leaving = crossings(trace, from, to, low + (high - low) / 100).findLast(
    (c) => c.direction === "rising",
  );
  if (!leaving) return undefined;
  const start = foot(trace, from, leaving.time);
  const { when, best } = summit(trace, leaving.time, to);
  const full = best > high - (high - low) / 100;
  if (!(when > start)) return undefined;
  const end = lasting(trace, when, to, { best, swing: high - low });
  return {
    trace,
    from: start,
    to: end - when > standing * (when - start) ? end : when,
    leaves: leaving.time,
    full,
  };
}

/** A trace that stands at its top for more than this share of its rise has run into something, and the sweep goes on. */
const standing = 0.01;

// Where the trace falls from its top: where its fall is plain, half way down to what comes after, followed back to where it fell
// less than half as fast. Without a fall worth the name that is the end of the window.
function lasting(
  trace: Trace,
  top: number,
  to: number,
  { best, swing }: { best: number; swing: number },
): number {
  if (!(to > top)) return to;
  const { low } = traceBounds(trace, top, to);
  if (!(best - low > swing / 100)) return to;
  const plain = crossings(trace, top, to, (best + low) / 2).find((c) => c.direction === "falling");
  return plain ? foot(mirror(trace.between(top, to)), top, plain.time) : top;
}

function foot(trace: Trace, from: number, plain: number): number {
  const { time } = trace;
  const arc = new Arc();
  let i = trace.index(plain);
  const half = arc.load(trace, i).slope((plain - time[i]) / arc.length) / 2;
  for (; time[i] > from && time[i] > time[i - 1]; i--) {
    const share = arc.load(trace, i - 1).lastBelow(half);
    if (share > 0) return Math.max(from, share === 1 ? time[i] : arc.start + share * arc.length);
  }
  return Math.max(from, time[i]);
}

// The highest value and its first instant.
function summit(trace: Trace, from: number, to: number): { when: number; best: number } {
  let best = Number.NEGATIVE_INFINITY;
  let when = to;
  const turns = [Number.NaN, Number.NaN];
  const visit: Visit = (arc, s0, s1) => {
    const n = arc.turns(turns);
    const look = (s: number) => {
      const v = arc.value(s);
      if (s < s0 || s > s1 || !(v > best)) return;
      best = v;
      when = s === 1 ? trace.time[trace.index(arc.start) + 1] : Math.min(to, arc.start + s * arc.length);
    };
    look(s0);
    for (let k = 0; k < n; k++) look(turns[k]);
    look(s1);
  };
  walk(trace, from, to, visit, (first, last) => first <= best && last <= best);
  return { when, best };
}

/** The trace upside down. */
export function mirror(trace: Trace): Trace {
  const negative = (of?: Float64Array) => of?.map((x) => -x);
  return new Trace({
    name: trace.name,
    unit: trace.unit,
    time: trace.time,
    value: trace.value.map((x) => -x),
    slope: negative(trace.slope),
    slopeBefore: negative(trace.slopeBefore),
    exact: trace.exact,
  });
}
