// When a wave closes and opens a switch with two thresholds, decided exactly and before the run. By the rule in `threshold.ts` a
// wave commands closed, open or nothing, and the last command holds: rising through a level counts at that very instant, a
// touch from below commands nothing, and a plateau on the level keeps the state. Straight lines are cut by exact interpolation;
// a sine's crossings come from the arcsine in `sine.ts`.
import { alike, type Fraction, fromNumber, one, ratio, toNumber, zero } from "../base/fraction.js";
import { Recall } from "../base/recall.js";
import { packedCommandAt, packedDecisions } from "./packeddecisions.js";
import { arcsinTurns } from "./sine.js";
import { commandOf, type Decision, type Decisions, type Thresholds } from "./threshold.js";
import { idle, periodsBefore, type Wave, wrapped } from "./wave.js";

/** Cached, since the clock, the march and the counting of periods ask for the same decisions. */
const known = new Recall<Wave["shape"], Thresholds & { readonly scale: Fraction }, Decisions>(
  (a, b) => alike(a.scale, b.scale) && alike(a.closeAbove, b.closeAbove) && alike(a.openBelow, b.openBelow),
);

/** Every decision of the wave without its gate. Throws ShapeError `carrier-threshold`. */
export function decisionsOf(w: Wave, levels: Thresholds): Decisions {
  return known.of(w.shape, { ...levels, scale: w.scale }, () => decide(w, levels));
}

function decide(w: Wave, levels: Thresholds): Decisions {
  const { shape, scale } = w;
  if (shape.kind === "packed") return packedDecisions(shape, scale, levels);
  if (shape.kind === "constant") {
    return { all: [], before: commandOf(shape.value.mul(scale), zero, levels) };
  }
  if (shape.kind === "sine") {
    const cycle = arcs(w, levels);
    const period = shape.frequency.inverse();
    const all: Decision[] = [];
    if (cycle.above) all.push({ time: cycle.above.from.mul(period), closed: true });
    if (cycle.below) all.push({ time: cycle.below.from.mul(period), closed: false });
    all.sort((a, b) => a.time.compare(b.time));
    return { all, period };
  }
  const { corners, period } = shape;
  const all: Decision[] = [];
  const count = corners.length;
  for (let i = 0; i < count; i++) {
    const a = corners[i];
    const last = i === count - 1;
    const b = !last
      ? corners[i + 1]
      : { time: period && corners[0].time.add(period), value: corners[0].value };
    const start = a.value.mul(scale);
    if (!b.time) {
      note(all, a.time, commandOf(start, zero, levels));
      continue;
    }
    const length = b.time.sub(a.time);
    if (length.n === 0n) continue;
    const end = b.value.mul(scale);
    const change = end.sub(start);
    note(all, a.time, commandOf(start, change, levels));
    const cut = (level: Fraction) => a.time.add(length.mul(level.sub(start)).div(change));
    const { closeAbove, openBelow } = levels;
    if (start.lt(closeAbove) && end.gt(closeAbove)) note(all, cut(closeAbove), true);
    if (start.gt(openBelow) && end.lt(openBelow)) note(all, cut(openBelow), false);
  }
  if (!period) return { all, before: commandOf(corners[0].value.mul(scale), zero, levels) };
  // The closing segment may run past the end of the period.
  const moved = all.map((d) => ({ time: wrapped(d.time, period), closed: d.closed }));
  return { all: moved.sort((a, b) => a.time.compare(b.time)), period };
}

/** Only the decisions that change something; those of a periodic wave begin with a closing. */
export function changes({ all, period, before }: Decisions): Decision[] {
  let state = period ? (all.at(-1)?.closed ?? false) : (before ?? false);
  const kept: Decision[] = [];
  for (const d of all) {
    if (d.closed !== state) kept.push(d);
    state = d.closed;
  }
  if (!period || kept.length === 0 || kept[0].closed) return kept;
  return [...kept.slice(1), { time: kept[0].time.add(period), closed: false }];
}

/** What the wave, without its gate, commands just after an instant; undefined for nothing. */
export function commandAt(w: Wave, time: Fraction, levels: Thresholds): boolean | undefined {
  const { shape, scale } = w;
  if (shape.kind === "constant") return commandOf(shape.value.mul(scale), zero, levels);
  if (shape.kind === "packed") return packedCommandAt(shape, scale, time, levels);
  if (shape.kind === "sine") {
    const { above, below } = arcs(w, levels);
    const place = time.mul(shape.frequency);
    if (above && wrapped(place.sub(above.from), one).lt(above.length)) return true;
    if (below && wrapped(place.sub(below.from), one).lt(below.length)) return false;
    return undefined;
  }
  const { corners, period } = shape;
  const t = period ? wrapped(time, period) : time;
  let i = corners.length - 1;
  while (i >= 0 && corners[i].time.gt(t)) i--;
  if (!period && (i < 0 || i === corners.length - 1)) {
    return commandOf(corners[Math.max(i, 0)].value.mul(scale), zero, levels);
  }
  const a = i < 0 ? corners[corners.length - 1] : corners[i];
  const b = corners[(i + 1) % corners.length];
  const from = i < 0 ? a.time.sub(period!) : a.time;
  const to = i === corners.length - 1 ? b.time.add(period!) : b.time;
  const change = b.value.sub(a.value).mul(scale);
  const level = a.value.mul(scale).add(change.mul(t.sub(from)).div(to.sub(from)));
  return commandOf(level, change, levels);
}

export function idleCommand(w: Wave, levels: Thresholds): boolean | undefined {
  return commandOf(idle(w), zero, levels);
}

/** The first decision strictly after an instant. */
export function firstAfter({ all, period }: Decisions, time: Fraction): Fraction | undefined {
  let first: Fraction | undefined;
  for (const d of all) {
    const at = period
      ? d.time.add(period.mul(ratio(periodsBefore(time.sub(d.time), period) + 1n)))
      : d.time.gt(time)
        ? d.time
        : undefined;
    if (at && !first?.lte(at)) first = at;
  }
  return first;
}

function note(all: Decision[], time: Fraction, closed: boolean | undefined): void {
  if (closed !== undefined) all.push({ time, closed });
}

/** A part of a sine's turn: where it begins, in turns after time zero within [0, 1), and how long it is. */
interface Arc {
  readonly from: Fraction;
  readonly length: Fraction;
}

/** Where in its turn a sine is above `closeAbove`, and where below `openBelow`. */
function arcs(w: Wave, { closeAbove, openBelow }: Thresholds): { above?: Arc; below?: Arc } {
  const { shape, scale } = w;
  if (shape.kind !== "sine") return {};
  const middle = shape.middle.mul(scale);
  const swing = shape.amplitude.mul(scale);
  if (swing.n === 0n) {
    const command = commandOf(middle, zero, { closeAbove, openBelow });
    const whole = { from: zero, length: one };
    return command === undefined ? {} : command ? { above: whole } : { below: whole };
  }
  // A sine turned over is one half a turn on.
  const phase = swing.s < 0n ? shape.phase.add(ratio(1, 2)) : shape.phase;
  const size = swing.abs();
  const above = peakArc(closeAbove.sub(middle).div(size));
  // Below a level is above the negative level, half a turn on.
  const below = peakArc(middle.sub(openBelow).div(size));
  const around = (half: Fraction, centre: Fraction): Arc => ({
    from: wrapped(centre.sub(half).sub(phase), one),
    length: half.mul(2),
  });
  return { above: above && around(above, ratio(1, 4)), below: below && around(below, ratio(3, 4)) };
}

/**
 * Half of the part of a turn over which a unit sine exceeds x; undefined if it never does (a touch does not count).
 * With the peak at angle 0: cos 2πa = x, and sin² πa = (1 - x)/2, which keeps its digits near the peak.
 */
function peakArc(x: Fraction): Fraction | undefined {
  if (x.gte(one)) return undefined;
  if (x.lte(-1)) return ratio(1, 2);
  if (x.n === 0n) return ratio(1, 4);
  const near = (y: Fraction) => fromNumber(2 * arcsinTurns(Math.sqrt(toNumber(one.sub(y).div(2)))));
  return x.s > 0n ? near(x) : ratio(1, 2).sub(near(x.neg()));
}
