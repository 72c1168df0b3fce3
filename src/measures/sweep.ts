// How straight a sweep is: sweep error, displacement error and transmission error.
// Takes a window that holds a sweep; gives shares. Definitions: J. Millman & H. Taub, "Pulse, Digital, and
// Switching Waveforms" (1965), the chapter on time-base generators:
//   sweep (speed) error   (first slope - last slope) / first slope
//   displacement error    largest distance from the chord between the sweep's ends / its amplitude
//   transmission error    (ideal - actual) / ideal at the end, the ideal running on along the first slope
// Always: a size, never negative, so that a limit `below 1 %` also catches a sweep that speeds up.
import { Arc } from "../waveforms/arc.js";
import { Trace } from "../waveforms/trace.js";
import { crossings } from "./crossing.js";
import { bounds, ends, type Measure, span, type Window, walk } from "./window.js";

/** A sweep found in a window: rising in `trace`, from `from` to `to`, s. */
export interface Sweep {
  readonly trace: Trace;
  readonly from: number;
  readonly to: number;
}

/**
 * Finds the sweep of a window: from where the trace last leaves its floor to its peak after that. A trace that
 * rises throughout is a sweep from end to end. Where the slower motion leads downwards, the sweep is the fall,
 * given as the rise of the mirrored trace.
 */
export function findSweep(w: Window): Sweep | undefined {
  const s = span(w);
  if (!s || s.from === s.to) return undefined;
  const up = rise(w.trace, s.from, s.to);
  const mirrored = mirror(w.trace.between(s.from, s.to));
  const down = rise(mirrored, s.from, s.to);
  if (!up || !down) return up ?? down;
  return down.to - down.from > up.to - up.from ? down : up;
}

// The floor may be flat, sagging, or spoilt by a spike as the switch opens. So the way up is first found where
// it is plain, at 1 % of the swing, and then followed back to its foot: the sample before which the trace rose
// less than half as fast. At a switch that opens this is the instant of opening, which is always a sample.
function rise(trace: Trace, from: number, to: number): Sweep | undefined {
  const { low, high } = bounds(trace, from, to);
  if (!(high > low)) return undefined;
  const leaving = crossings(trace, from, to, low + (high - low) / 100).findLast(
    (c) => c.direction === "rising",
  );
  if (!leaving) return undefined;
  const start = foot(trace, from, leaving.time);
  const end = summit(trace, leaving.time, to);
  return end > start ? { trace, from: start, to: end } : undefined;
}

function foot(trace: Trace, from: number, plain: number): number {
  const { time, value } = trace;
  let i = trace.index(plain);
  if (time[i] === plain && i > 0 && time[i - 1] < plain) i--;
  if (time[i] <= from) return from;
  const arc = new Arc();
  const half = arc.load(trace, i).slope((plain - time[i]) / arc.length) / 2;
  while (time[i] > from && time[i] > time[i - 1]) {
    if ((value[i] - value[i - 1]) / (time[i] - time[i - 1]) < half) break;
    i--;
  }
  return Math.max(from, time[i]);
}

// First instant of the highest value.
function summit(trace: Trace, from: number, to: number): number {
  let best = Number.NEGATIVE_INFINITY;
  let when = to;
  const turns = new Float64Array(2);
  walk(trace, from, to, (arc, s0, s1) => {
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
  });
  return when;
}

function mirror(trace: Trace): Trace {
  const negative = (of?: Float64Array) => of?.map((x) => -x);
  return new Trace({
    name: trace.name,
    unit: trace.unit,
    time: trace.time,
    value: trace.value.map((x) => -x),
    slope: negative(trace.slope),
    slopeBefore: negative(trace.slopeBefore),
  });
}

/** Slopes at both ends of a sweep, per second, and its rise. */
function slopes(sweep: Sweep): { first: number; last: number; rise: number } {
  const { trace, from, to } = sweep;
  const e = ends(trace, from, to);
  const rise = e.last - e.first;
  if (!trace.slope) return { ...plainSlopes(sweep), rise };
  const arc = new Arc();
  const i = trace.index(from);
  const first = arc.load(trace, i).slope((from - arc.start) / arc.length);
  let k = trace.index(to);
  while (trace.time[k] >= to) k--;
  const last = arc.load(trace, k).slope((to - arc.start) / arc.length);
  return { first, last, rise };
}

// Without known slopes: the end slope of the parabola through three neighbouring points, which is right to the
// square of the step where the chord alone would be right to the step.
function plainSlopes({ trace, from, to }: Sweep): { first: number; last: number } {
  const part = trace.between(from, to);
  const { time: t, value: v } = part;
  const n = t.length;
  const chord = (i: number) => (v[i + 1] - v[i]) / (t[i + 1] - t[i]);
  if (n < 3) return { first: chord(0), last: chord(0) };
  const end = (near: number, next: number, i: number, j: number) => {
    const h = Math.abs(t[i + 1] - t[i]);
    const g = Math.abs(t[j + 1] - t[j]);
    return near + ((near - next) * h) / (h + g);
  };
  return { first: end(chord(0), chord(1), 0, 1), last: end(chord(n - 2), chord(n - 3), n - 2, n - 3) };
}

function share(x: number): number {
  return Number.isFinite(x) ? Math.abs(x) : Number.NaN;
}

/** Change of slope from the start to the end of the sweep. */
export const sweepError: Measure = {
  words: "sweep error",
  takes: "value",
  summary: "how much a sweep's slope changes from its start to its end, as a share of the first slope",
  unit: () => "",
  share: true,
  take(w) {
    const sweep = findSweep(w);
    if (!sweep) return Number.NaN;
    const { first, last } = slopes(sweep);
    return share((first - last) / first);
  },
};

/** Largest distance from the straight line between the sweep's ends. */
export const displacementError: Measure = {
  words: "displacement error",
  takes: "value",
  summary: "how far a sweep strays from the straight line between its ends, as a share of its amplitude",
  unit: () => "",
  share: true,
  take(w) {
    const sweep = findSweep(w);
    if (!sweep) return Number.NaN;
    const { trace, from, to } = sweep;
    const { first, last } = ends(trace, from, to);
    const slope = (last - first) / (to - from);
    const tilted = new Arc();
    const turns = new Float64Array(2);
    let worst = 0;
    walk(trace, from, to, (arc, s0, s1) => {
      // The same arc with the line taken out is again an arc.
      tilted.length = arc.length;
      tilted.first = arc.first - first - slope * (arc.start - from);
      tilted.rise = arc.rise - slope * arc.length;
      tilted.last = tilted.first + tilted.rise;
      tilted.bendFirst = arc.bendFirst;
      tilted.bendLast = arc.bendLast;
      const look = (s: number) => {
        if (s >= s0 && s <= s1) worst = Math.max(worst, Math.abs(tilted.value(s)));
      };
      look(s0);
      look(s1);
      const n = tilted.turns(turns);
      for (let k = 0; k < n; k++) look(turns[k]);
    });
    return share(worst / (last - first));
  },
};

/** What the sweep lacks at its end against one that runs on along its first slope. */
export const transmissionError: Measure = {
  words: "transmission error",
  takes: "value",
  summary: "what a sweep lacks at its end against a straight one with its first slope, as a share of that",
  unit: () => "",
  share: true,
  take(w) {
    const sweep = findSweep(w);
    if (!sweep) return Number.NaN;
    const { first, rise } = slopes(sweep);
    const ideal = first * (sweep.to - sweep.from);
    return share((ideal - rise) / ideal);
  },
};
