// The worst case between the ends of tolerances. Where the effect of a value bends, as that of a load on the power that it takes,
// the worst may lie inside. The search starts from the worst place so far. It takes each such axis in turn: samples at its quarters,
// then the crests of parabolas through the best point and its neighbours (R. P. Brent, Algorithms for Minimization without
// Derivatives, 1973, ch. 5). After each round it tries the line along which that round has moved (Hooke and Jeeves, J. ACM 8(2),
// 1961). Both sources are cited from memory.
import type { Measured } from "./experiment.js";
import type { Axis, AxisPlaces } from "./tolerances.js";
import type { AxisAlone, CheckExtremes } from "./worstcheck.js";

/** Whether the highest (1) or the lowest (−1) value is sought. */
type Way = 1 | -1;

/** Rounds over all bending axes; looks closer on each; the relative gain that a round must bring for another to follow. */
const rounds = 6;
const closer = 6;
const gain = 1e-6;

/** How far in from an end a look tells whether what bends still rises inwards; a crest nearer to the end is worth nothing. */
const inward = 1 / 64;

/** How many ranges from the middle of its own the crest of an axis may lie: beyond, its effect is as good as straight. */
const far = 16;

/** An axis along which a check bends. */
interface BentAxis {
  readonly index: number;
  /** Whether the crest lies near its range where everything else is as designed. */
  readonly near: boolean;
}

/** A check whose worst in one direction may lie inside. */
interface Bend {
  /** Index of the check. */
  readonly k: number;
  readonly way: Way;
  /** The axes along which it bends. */
  readonly axes: readonly BentAxis[];
  /** For each axis the end at which it alone takes the check farther that way; NaN where its crest is near, or it does nothing. */
  readonly ends: readonly number[];
}

/**
 * Searches within: gives batches of places, takes what they measured, and lets the extremes meet all of it.
 * @param values what each check measures as designed
 * @returns how many places were looked at
 */
export function* searchWithin(
  axes: readonly Axis[],
  found: readonly CheckExtremes[],
  alone: readonly (readonly AxisAlone[])[],
  values: readonly number[],
): Generator<readonly AxisPlaces[], number, readonly Measured[]> {
  const bends = found.flatMap((_, k) =>
    ([1, -1] as const).flatMap((way): Bend[] => {
      const list = axes.flatMap((axis, i) => bending(axis, i, alone[k], values[k], way));
      const ends = axes.map((_, i) =>
        list.some(({ index, near }) => index === i && near) ? Number.NaN : fartherEnd(i, alone[k], way),
      );
      return list.length > 0 ? [{ k, way, axes: list, ends }] : [];
    }),
  );
  let count = 0;
  // All checks advance side by side, so that a batch has work for every worker.
  let open = bends.map((bend) => {
    const search = along(axes, bend, found[bend.k]);
    return { search, next: search.next() };
  });
  for (;;) {
    open = open.filter(({ next }) => !next.done);
    if (open.length === 0) return count;
    const asked = open.map(({ next }) => next.value as readonly AxisPlaces[]);
    const batch = asked.flat();
    count += batch.length;
    const measured = yield batch;
    batch.forEach((places, i) => {
      for (const one of found) one.meet(places, measured[i], false);
    });
    let at = 0;
    open = open.map(({ search }, i) => {
      const from = at;
      at += asked[i].length;
      return { search, next: search.next(measured.slice(from, at)) };
    });
  }
}

/** The place of the nominal value on an axis, 0 to 1. */
function middleOf({ low, nominal, high }: Axis): number {
  return high > low ? (nominal - low) / (high - low) : 0.5;
}

// The axis, where what it does is not straight. Its crest is near where the parabola through both ends and the nominal value has it
// within the tolerance, or little outside. Elsewhere, and where it bends the other way, it may come in as the other values
// move: from the worst corner one look inwards tells.
function bending(
  axis: Axis,
  index: number,
  alone: readonly AxisAlone[],
  middle: number,
  way: Way,
): readonly BentAxis[] {
  // A measured part is one of those in its bag; there is nothing between them.
  if (axis.distribution.shape === "measured" || axis.what === "drift") return [];
  const one = alone.find((a) => a.axis === index);
  const p = middleOf(axis);
  if (!one) return [];
  // The temperature moves many values at once: of a ramp and the guard over it each may be straight, and the lower of both is not.
  const straight = axis.what === "temperature" ? [{ index, near: false }] : [];
  if (!(p > 0 && p < 1)) return straight;
  const [low, high] = [way * one.low, way * one.high];
  const bend = (high - low - (way * middle - low) / p) / (1 - p);
  if (!(Math.abs(bend) > gain * Math.abs(middle))) return straight;
  const turn = -(high - low - bend) / (2 * bend);
  return Math.abs(turn - 0.5) < far ? [{ index, near: bend < 0 && Math.abs(turn - 0.5) < 1 }] : straight;
}

function fartherEnd(i: number, alone: readonly AxisAlone[], way: Way): number {
  const own = alone.filter((a) => a.axis === i);
  // Which end of a drift is farther depends on the temperature.
  if (own.length !== 1 || !(Math.abs(own[0].high - own[0].low) > 0)) return Number.NaN;
  return Number(way * (own[0].high - own[0].low) > 0);
}

/** Places, and what a check measures there. */
interface Extreme {
  readonly places: AxisPlaces;
  readonly value: number;
}

/** A place on one axis and the value there, with its sign turned so that more is worse. */
type Point = readonly [place: number, value: number];

// The search of one check in one direction.
function* along(
  axes: readonly Axis[],
  { k, way, axes: bent, ends }: Bend,
  extremes: CheckExtremes,
): Generator<readonly AxisPlaces[], void, readonly Measured[]> {
  const worst = () => extremes.farthest(way)!;
  for (let round = 0; round < rounds; round++) {
    const before = worst();
    // The worst so far may be no corner: then what does not bend is taken to its end, all at once, or each by itself.
    const pulled = before.places.map((p, i) => (Number.isNaN(ends[i]) || p === 0 || p === 1 ? p : ends[i]));
    const moved = pulled.flatMap((p, i) => (Object.is(p, before.places[i]) ? [] : [i]));
    let even: Extreme | undefined;
    if (moved.length > 0) {
      const [seen] = yield [pulled];
      // Where something else bounds it, as a guard does, the ends are no worse as yet; beyond that bound they are.
      if (seen.values[k] === before.value) even = { places: pulled, value: before.value };
      if (worst() === before)
        for (const axis of moved) yield [worst().places.map((p, i) => (i === axis ? ends[i] : p))];
    }
    for (const one of bent) {
      const start = worst() === before ? (even ?? before) : worst();
      yield* onAxis(axes[one.index], one, start, { k, way });
    }
    const after = worst();
    if (!(way * (after.value - before.value) > gain * Math.abs(after.value))) return;
    const list = bent.map(({ index }) => index);
    yield [1, 3].map((times) => stepped(axes, list, [before.places, after.places], times));
  }
}

// The search along one axis from the worst so far.
function* onAxis(
  axis: Axis,
  { index, near }: BentAxis,
  { places: start, value }: Extreme,
  { k, way }: Pick<Bend, "k" | "way">,
): Generator<readonly AxisPlaces[], void, readonly Measured[]> {
  const there = Number.isNaN(start[index]) ? middleOf(axis) : start[index];
  const on = (place: number) => start.map((p, i) => (i === index ? sold(axis, place) : p));
  const points: Point[] = [[there, way * value]];
  const take = (places: readonly number[], seen: readonly Measured[]) =>
    places.forEach((p, i) => {
      points.push([p, way * seen[i].values[k]]);
    });
  if (there === 0 || there === 1) {
    const inside = [Math.abs(there - inward)];
    take(inside, yield inside.map(on));
    if (!near && !(points[1][1] > points[0][1])) return;
  }
  const quarters = [0, 0.25, 0.5, 0.75, 1].filter((p) => Math.abs(p - there) > inward);
  take(quarters, yield quarters.map(on));
  for (let look = 0; look < closer; look++) {
    // Where parabolas do not settle, two straight lines may meet.
    const next = (look === 2 || look === 3 ? kink(points) : undefined) ?? crest(points);
    if (next === undefined) return;
    take([next], yield [on(next)]);
  }
}

// Where another such round would lead.
function stepped(
  axes: readonly Axis[],
  bent: readonly number[],
  [from, to]: readonly [AxisPlaces, AxisPlaces],
  times: number,
): AxisPlaces {
  return to.map((p, i) => {
    if (!bent.includes(i)) return p;
    const [a, b] = [from[i], p].map((one) => (Number.isNaN(one) ? middleOf(axes[i]) : one));
    return sold(axes[i], Math.min(1, Math.max(0, b + times * (b - a))));
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
function kink(points: readonly Point[]): number | undefined {
  const { sorted, best, fresh } = ranked(points);
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
function crest(points: readonly Point[]): number | undefined {
  const { sorted, best, fresh } = ranked(points);
  // At an end, take the two neighbours on the inside: the crest may lie just within.
  const from = Math.max(0, Math.min(best - 1, sorted.length - 3));
  const [a, b, c] = sorted.slice(from, from + 3);
  if (!a || !b || !c) return undefined;
  const [left, right] = [(b[0] - a[0]) * (b[1] - c[1]), (b[0] - c[0]) * (b[1] - a[1])];
  const place = b[0] - ((b[0] - a[0]) * left - (b[0] - c[0]) * right) / (2 * (left - right));
  return left > right && fresh(place, a[0], c[0]) ? place : undefined;
}
