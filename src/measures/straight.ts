// How straight a sweep is: sweep error, displacement error and transmission error.
// Definitions: J. Millman & H. Taub, "Pulse, Digital, and Switching Waveforms" (1965), the chapter on time-base generators:
//   sweep (speed) error   (first slope - last slope) / first slope
//   displacement error    largest distance from the chord between the sweep's ends / its amplitude
//   transmission error    (ideal - actual) / ideal at the end, the ideal running on along the first slope
// A stage behind the ramp follows it late: it takes some time constants to come up to speed, and rounds the top off. So an end
// that breaks away from the sweep for less than 2 % of its length is replaced by what the sweep predicts: the parabola of the
// slopes at 5, 10 and 15 % of the length from there (common practice, no source, as are the 80 % over which the linearity of time
// bases is usually stated). A start that is the lag of one pole may take three times as long, with the nodes that much farther
// in: only a stage that follows makes an exponential there. An end that breaks away for longer, such as a ramp that runs out of
// headroom, is the sweep's own and counts. Each error is a size, never negative, so a limit `below 1 %` also catches a sweep that
// speeds up; a sweep that bends smoothly is measured at its very ends.
import { Arc } from "../waveforms/arc.js";
import { findSweep, type Sweep } from "./sweep.js";
import { ends, type Measure, walk } from "./window.js";

/** Where the slopes that predict an end are read, and half the width of each reading, as shares of the length. */
const nodes = [0.05, 0.1, 0.15] as const;
const half = 0.01;
/** Where an end that breaks away must have come back, as a share of the length. */
const back = 0.03;
/** How far the slope may then still be off, as a share of it: some seven time constants. */
const off = 1e-3;
/** How many times as long a start may take that is the lag of a single pole from standstill. */
const later = 3;
/** How far such a start may be off an exponential, relatively. */
const unlike = 0.1;

/** A sweep's slope at both ends, per second, and its levels there, free of whatever spoils an end. */
interface Ends {
  readonly first: number;
  readonly last: number;
  readonly start: number;
  readonly end: number;
  /** The instants between which the trace is the sweep. */
  readonly from: number;
  readonly to: number;
}

function endsOf(sweep: Sweep): Ends {
  const { trace, from, to } = sweep;
  const levels = ends(trace, from, to);
  const slopes = endSlopes(sweep);
  const start = mended(sweep, from, 1, slopes.first);
  const end = mended(sweep, to, -1, slopes.last);
  return {
    first: start?.slope ?? slopes.first,
    last: end?.slope ?? slopes.last,
    start: start?.level ?? levels.first,
    end: end?.level ?? levels.last,
    from: start?.at ?? from,
    to: end?.at ?? to,
  };
}

/** What the sweep predicts for an end that breaks away; undefined where none does, or for too long. */
function mended(sweep: Sweep, at: number, way: 1 | -1, found: number): Mended | undefined {
  const { trace, from, to } = sweep;
  // Without slopes nothing is known of an end closer than its next sample.
  const i = trace.index(at + way * (back - half) * (to - from));
  if (!trace.slope && !(way > 0 ? trace.time[i] > at : trace.time[i + 1] < at)) return undefined;
  const near = foretold(sweep, at, way, 1);
  const breaks = ({ slope, bend }: Foretold) => Math.abs(found - slope) > bend + 1e-9 * Math.abs(slope);
  if (!breaks(near)) return undefined;
  if (isBack(near, found, back)) return near;
  if (way < 0) return undefined;
  const far = foretold(sweep, at, way, later);
  return breaks(far) && isLag(far, found) && isBack(far, found, later * back) ? far : undefined;
}

/** An end as the sweep predicts it. */
interface Mended {
  readonly slope: number;
  readonly level: number;
  readonly at: number;
}

/** What three slopes predict of an end. */
interface Foretold extends Mended {
  /** How much of the slope may be the sweep's own bend. */
  readonly bend: number;
  /** Mean slope about a place, a share of the length from the end: as it is, and as predicted. */
  readonly mean: (share: number) => number;
  readonly due: (share: number) => number;
}

/** @param scale how many times as far from the end as usual the slopes are read */
function foretold({ trace, from, to }: Sweep, at: number, way: 1 | -1, scale: number): Foretold {
  const length = to - from;
  const inward = (share: number) => at + way * share * length;
  const mean = (share: number) =>
    (trace.at(inward(share + half)) - trace.at(inward(share - half))) / (2 * way * half * length);
  const [a, b, c] = nodes.map((share) => mean(scale * share)) as [number, number, number];
  const slope = 3 * a - 3 * b + c;
  const bend = Math.abs(a - b) / 2;
  // The parabola through the three.
  const due = (share: number) => {
    const x = share / (scale * nodes[0]);
    return (a * (2 - x) * (3 - x)) / 2 + b * (x - 1) * (3 - x) + (c * (x - 1) * (x - 2)) / 2;
  };
  // Simpson's rule from the first node outward, with the parabola half way.
  const reach = way * scale * nodes[0] * length;
  const level = trace.at(at + reach) - (reach * (slope + 4 * due((scale * nodes[0]) / 2) + a)) / 6;
  return { slope, level, at: at + reach, bend, mean, due };
}

/** Whether the slope at a place is as predicted. If it is nearer to the end's own slope, that end has not broken away. */
function isBack({ mean, due, bend }: Foretold, found: number, share: number): boolean {
  const astray = Math.abs(mean(share) - due(share));
  return astray <= bend + off * Math.abs(due(share)) && astray < Math.abs(mean(share) - found);
}

/** Whether what a start lacks in slope is what one pole takes away: after equal times always the same share less. */
function isLag({ mean, due, slope }: Foretold, found: number): boolean {
  const lacks = [1, 2, 3].map((k) => (due(k * half) - mean(k * half)) / slope) as [number, number, number];
  const [one, two, three] = lacks;
  const alike = (x: number, y: number) => Math.abs(x - y) <= unlike * Math.abs(y);
  // From one place to the next, h apart, it falls by exp(−h/τ); a mean over ±h is sinh(h/τ)/(h/τ) times the value in the middle.
  const h = Math.log(one / two);
  const first = (one * h * Math.exp(h)) / Math.sinh(h);
  // The same pole must explain why the start is back where it is.
  if (!(three > 0 && h * ((later * back) / half) > Math.log(first / off))) return false;
  return alike(three / two, two / one) && alike(first, 1 - found / slope);
}

/** Slopes at the very ends of a sweep, per second. */
function endSlopes(sweep: Sweep): { first: number; last: number } {
  const { trace, from, to } = sweep;
  if (!trace.slope) return plainSlopes(sweep);
  const arc = new Arc();
  const i = trace.index(from);
  const first = arc.load(trace, i).slope((from - arc.start) / arc.length);
  let k = trace.index(to);
  while (trace.time[k] >= to) k--;
  const last = arc.load(trace, k).slope((to - arc.start) / arc.length);
  return { first, last };
}

// Without known slopes: the end slope of the parabola through three neighbouring points, with an error of second order in the
// step, where the chord alone has one of first order.
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
  shown: "share",
  take(w) {
    const sweep = findSweep(w);
    if (!sweep) return Number.NaN;
    const { first, last } = endsOf(sweep);
    return share((first - last) / first);
  },
};

/** Largest distance from the straight line between the sweep's ends. */
export const displacementError: Measure = {
  words: "displacement error",
  takes: "value",
  summary: "how far a sweep strays from the straight line between its ends, as a share of its amplitude",
  unit: () => "",
  shown: "share",
  take(w) {
    const sweep = findSweep(w);
    if (!sweep) return Number.NaN;
    const { trace, from } = sweep;
    const { start: first, end: last, ...inner } = endsOf(sweep);
    const slope = (last - first) / (sweep.to - from);
    const tilted = new Arc();
    const turns = [Number.NaN, Number.NaN];
    let worst = 0;
    walk(trace, inner.from, inner.to, (arc, s0, s1) => {
      // An arc with the line taken out is again an arc.
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

/** What the sweep lacks at its end against one that goes on along its first slope. */
export const transmissionError: Measure = {
  words: "transmission error",
  takes: "value",
  summary: "what a sweep lacks at its end against a straight one with its first slope, as a share of that",
  unit: () => "",
  shown: "share",
  take(w) {
    const sweep = findSweep(w);
    if (!sweep) return Number.NaN;
    const { first, start, end } = endsOf(sweep);
    const ideal = first * (sweep.to - sweep.from);
    return share((ideal - (end - start)) / ideal);
  },
};
