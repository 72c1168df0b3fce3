// The worst case between the ends of tolerances. It may lie inside where the effect of a value bends, as that of a load on the power
// that it takes, and where a value drives two bounds opposite ways, as a ramp and the guard over it. The search starts from the worst
// place so far. Along each axis in turn it looks inwards, and where that is worse, at the quarters and then where a parabola through
// the worst point and its neighbours has its crest, or the lines on either side meet (R. P. Brent, Algorithms for Minimization without
// Derivatives, 1973, ch. 5). Where two bounds meet, other values may lift their crossing though each of them alone only lowers it:
// from the slopes of both bounds the highest crossing follows as in a linear program of two conditions. After each round the line
// along which it has moved is tried (Hooke and Jeeves, J. ACM 8(2), 1961). Both sources are cited from memory.

import { adds } from "./exchange.js";
import type { Measured } from "./experiment.js";
import { type BoundSlopes, highestMeeting } from "./meeting.js";
import type { Axis, AxisPlaces } from "./tolerances.js";
import type { AxisAlone, CheckExtremes } from "./worstcheck.js";

/** Whether the highest (1) or the lowest (−1) value is sought. */
type Way = 1 | -1;

/** Rounds over all axes; looks closer on each; the relative gain that a round must bring for another to follow. */
const rounds = 6;
const closer = 6;
const gain = 1e-6;

/** How far in from an end a look tells whether it gets worse inwards; a crest nearer to the end is worth nothing. */
const inward = 1 / 64;

/** How far from where two bounds meet each of them is looked at. */
const beside = 1 / 16;

/** How many times its bend the effect of an axis is to be called straight. */
const straighter = 32;

/** The least by which a look is moved. */
const least = 1e-3;

/** Looks asked for, and what was measured at each. */
type Looks<T> = Generator<readonly AxisPlaces[], T, readonly Measured[]>;

/** The search of one check in one direction. */
interface Search {
  readonly axes: readonly Axis[];
  /** Index of the check. */
  readonly k: number;
  readonly way: Way;
  /** The axes that it takes. */
  readonly taken: readonly number[];
  /** For each axis the end at which it alone takes the check farther that way; NaN where it does nothing. */
  readonly ends: readonly number[];
}

/** Places, and what a check measures there, with its sign turned so that more is worse. */
interface Extreme {
  readonly places: AxisPlaces;
  readonly value: number;
}

/** A place on one axis and the value there, its sign turned likewise. */
type Point = readonly [place: number, value: number];

/**
 * Searches within: gives batches of places, takes what they measured, and lets the extremes meet all of it.
 * @param values what each check measures as designed
 * @param matters for each check whether each axis does anything
 * @returns how many places were looked at
 */
export function* searchWithin(
  axes: readonly Axis[],
  found: readonly CheckExtremes[],
  alone: readonly (readonly AxisAlone[])[],
  values: readonly number[],
  matters: readonly (readonly boolean[])[],
): Looks<number> {
  const searches = found.flatMap((_, k) =>
    ([1, -1] as const).map((way): Search => {
      // A measured part is one of those in its bag; there is nothing between them.
      const taken = axes.flatMap(({ distribution: d }, i) =>
        d.shape !== "measured" && matters[k][i] ? [i] : [],
      );
      const { ends, sum } = singly(axes, alone[k], values[k], way);
      const farthest = way * ((found[k].farthest(way)?.value ?? values[k]) - values[k]);
      // Straight effects that add up hide nothing.
      const plain = Math.abs(farthest - sum) <= adds * sum;
      return { axes, k, way, taken: plain ? [] : taken, ends };
    }),
  );
  const seen = new Map<string, Measured>();
  // All checks advance side by side, so that a batch has work for every worker.
  let open = searches.map((search) => {
    const work = along(search, found[search.k]);
    return { work, next: work.next() };
  });
  for (;;) {
    open = open.filter(({ next }) => !next.done);
    if (open.length === 0) return seen.size;
    const asked = open.map(({ next }) => next.value as readonly AxisPlaces[]);
    const fresh = new Map(asked.flat().flatMap((p) => (seen.has(p.join()) ? [] : [[p.join(), p]])));
    const batch = [...fresh.values()];
    const measured = batch.length > 0 ? yield batch : [];
    [...fresh].forEach(([key, places], i) => {
      seen.set(key, measured[i]);
      for (const one of found) one.meet(places, measured[i], false);
    });
    open = open.map(({ work }, i) => ({
      work,
      next: work.next(asked[i].map((p) => seen.get(p.join())!)),
    }));
  }
}

/** The place of the nominal value on an axis, 0 to 1. */
function middleOf({ low, nominal, high }: Axis): number {
  return high > low ? (nominal - low) / (high - low) : 0.5;
}

// For each axis the end at which it alone takes a check farther one way, NaN where it does nothing or, as a drift, depends on
// the temperature; and what all of them come to together if they add up, NaN where one is not straight or moves many values at once.
function singly(axes: readonly Axis[], alone: readonly AxisAlone[], middle: number, way: Way) {
  let sum = 0;
  const ends = axes.map((axis, i) => {
    const own = alone.filter((a) => a.axis === i && a.low !== a.high);
    if (own.length !== 1 || !Number.isNaN(own[0].warm)) {
      if (own.length > 0) sum = Number.NaN;
      return Number.NaN;
    }
    const [low, high] = [way * (own[0].low - middle), way * (own[0].high - middle)];
    const p = middleOf(axis);
    const bend = (high - low + low / p) / (1 - p);
    const straight = axis.what !== "temperature" && Math.abs(high - low) > straighter * Math.abs(bend);
    sum += straight ? Math.max(low, high) : Number.NaN;
    return Number(high > low);
  });
  return { ends, sum };
}

function* along(search: Search, extremes: CheckExtremes): Looks<void> {
  const { k, way, taken, ends } = search;
  const worst = (): Extreme => {
    const { places, value } = extremes.farthest(way)!;
    return { places, value: way * value };
  };
  if (taken.length === 0 || !extremes.farthest(way)) return;
  for (let round = 0; round < rounds; round++) {
    const before = worst();
    // The worst so far may be no corner: then the rest is taken to its ends. Where something else bounds it, as a guard does, these
    // are no worse as yet; beyond that bound they are. And where all ends together are not the worst, another bound is met there.
    const pull = (p: number, i: number) => (Number.isNaN(ends[i]) ? p : ends[i]);
    const pulled = before.places.map((p, i) => (Number.isNaN(p) ? pull(p, i) : p));
    const signed = round === 0 ? before.places.map(pull) : pulled;
    const looks = [pulled, signed].filter((l) => l.join() !== before.places.join());
    const seen = looks.length > 0 ? yield looks : [];
    const starts = looks.map((places, i): Extreme => ({ places, value: way * seen[i].values[k] }));
    // What another bound holds at the same value begins from its end alone.
    if (!starts.some(({ places, value }) => places === pulled && value >= before.value)) starts.push(before);
    for (const start of starts) yield* eachAxis(search, start, worst);
    const after = worst();
    if (!(after.value - before.value > gain * Math.abs(after.value))) return;
    yield [1, 3].map((times) => stepped(search, [before.places, after.places], times));
  }
}

// Each axis in turn, from a place or from what was found to be worse than it.
function* eachAxis(search: Search, start: Extreme, worst: () => Extreme): Looks<void> {
  let from = start;
  for (const i of search.taken) {
    const best = yield* onAxis(search, i, from);
    if (!best) continue;
    if (best.value > from.value) from = best;
    yield* crossing(search, i, best);
    if (worst().value > from.value) from = worst();
  }
}

function placeOn(axis: Axis, places: AxisPlaces, index: number): number {
  return Number.isNaN(places[index]) ? middleOf(axis) : places[index];
}

// The search along one axis, and the worst on it; of one that only gets better inwards a single look.
function* onAxis(
  { axes, k, way }: Search,
  index: number,
  { places: start, value }: Extreme,
): Looks<Extreme | undefined> {
  const axis = axes[index];
  const there = placeOn(axis, start, index);
  const on = (place: number) => start.map((p, i) => (i === index ? sold(axis, place) : p));
  const points: Point[] = [[there, value]];
  function* take(places: readonly number[]): Looks<void> {
    const seen = yield places.map(on);
    places.forEach((p, i) => {
      points.push([p, way * seen[i].values[k]]);
    });
  }
  if (there === 0 || there === 1) {
    yield* take([Math.abs(there - inward)]);
    if (!(points[1][1] > value)) return undefined;
  }
  yield* take([0, 0.25, 0.5, 0.75, 1].filter((p) => Math.abs(p - there) > inward));
  for (let look = 0; look < closer; look++) {
    const [first, other] = look % 2 === 0 ? [crest, kink] : [kink, crest];
    const rank = ranked(points);
    const next = first(rank) ?? other(rank);
    if (next === undefined) break;
    yield* take([next]);
  }
  const [place, most] = points.reduce((a, b) => (b[1] > a[1] ? b : a));
  return { places: on(place), value: most };
}

// Where two bounds meet on an axis, the place where they would meet highest if both were straight, and the axis inside whose ends
// it lies is searched there.
function* crossing(search: Search, index: number, { places, value }: Extreme): Looks<void> {
  const { axes, k, way, taken } = search;
  const at = placeOn(axes[index], places, index);
  const reach = [Math.min(beside, at), Math.min(beside, 1 - at)];
  const nudge = Math.min(inward, ...reach.map((by) => by / 4));
  const others = taken.filter((i) => i !== index);
  if (others.length === 0 || nudge < least) return;
  const moved = (from: AxisPlaces, i: number, by: number) =>
    from.map((p, axis) => (axis === i ? placeOn(axes[i], from, i) + by : p));
  const steps = others.map((i) => (placeOn(axes[i], places, i) > 0.5 ? -nudge : nudge));
  const sides = [-reach[0], reach[1]].map((by) => moved(places, index, by));
  const nudged = sides.flatMap((side) => others.map((i, m) => moved(side, i, steps[m])));
  const seen = (yield [...sides, ...nudged]).map(({ values }) => way * values[k]);
  const slope = (m: number, side: number) => (seen[2 + side * others.length + m] - seen[side]) / steps[m];
  const slopes = others.map((axis, m): BoundSlopes => {
    return { axis, at: placeOn(axes[axis], places, axis), rising: slope(m, 0), falling: slope(m, 1) };
  });
  slopes.push({
    axis: index,
    at,
    rising: (value - seen[0]) / reach[0],
    falling: (seen[1] - value) / reach[1],
  });
  const { inner, moves: by } = highestMeeting(slopes);
  if (inner === undefined) return;
  const there = places.map((p, i) =>
    by.has(i) ? sold(axes[i], placeOn(axes[i], places, i) + by.get(i)!) : p,
  );
  const [met] = yield [there];
  yield* onAxis(search, inner, { places: there, value: way * met.values[k] });
}

// Where another such round would lead.
function stepped(
  { axes, taken }: Search,
  [from, to]: readonly [AxisPlaces, AxisPlaces],
  times: number,
): AxisPlaces {
  return to.map((p, i) => {
    if (!taken.includes(i)) return p;
    const [a, b] = [from, to].map((places) => placeOn(axes[i], places, i));
    return a === b ? p : sold(axes[i], Math.min(1, Math.max(0, b + times * (b - a))));
  });
}

// Values that sorting has removed from a reel are in no board: the nearest that is left.
function sold({ distribution: d }: Axis, place: number): number {
  if (d.shape !== "sorted") return place;
  const [from, to] = d.gap;
  if (!(place > from && place < to)) return place;
  return place - from < to - place ? from : to;
}

/** Points with a value along their axis, the index of the highest, and whether a place between two is a new one. */
function ranked(points: readonly Point[]) {
  const sorted = points.filter(([, v]) => !Number.isNaN(v)).sort((a, b) => a[0] - b[0]);
  const best = sorted.reduce((far, [, v], i) => (v > sorted[far][1] ? i : far), 0);
  const fresh = (place: number, from: number, to: number) =>
    place > from && place < to && sorted.every(([p]) => Math.abs(p - place) > 1e-4);
  return { sorted, best, fresh };
}

// Where the straight line before the highest point meets the one behind it, on either side of that; undefined if that is no new place.
function kink({ sorted, best, fresh }: ReturnType<typeof ranked>): number | undefined {
  for (const i of [best - 1, best]) {
    const [a, b, c, d] = [sorted[i - 1], sorted[i], sorted[i + 1], sorted[i + 2]];
    if (!a || !d) continue;
    const [rises, falls] = [(b[1] - a[1]) / (b[0] - a[0]), (d[1] - c[1]) / (d[0] - c[0])];
    const place = (c[1] - b[1] + rises * b[0] - falls * c[0]) / (rises - falls);
    if (rises > falls && fresh(place, b[0], c[0])) return place;
  }
  return undefined;
}

// The crest of the parabola through the highest point and its neighbours; undefined if that is no new place.
function crest({ sorted, best, fresh }: ReturnType<typeof ranked>): number | undefined {
  // At an end, take the two neighbours on the inside: the crest may lie just within.
  const from = Math.max(0, Math.min(best - 1, sorted.length - 3));
  const [a, b, c] = sorted.slice(from, from + 3);
  if (!a || !b || !c) return undefined;
  const [left, right] = [(b[0] - a[0]) * (b[1] - c[1]), (b[0] - c[0]) * (b[1] - a[1])];
  const place = b[0] - ((b[0] - a[0]) * left - (b[0] - c[0]) * right) / (2 * (left - right));
  return left > right && fresh(place, a[0], c[0]) ? place : undefined;
}
