// The worst case between the ends of tolerances. Where the effect of a value bends, like the power in a load that matches its
// source, the worst may lie inside. Starting from the worst corner, each such axis is sampled in quarters, then refined by parabolas
// through the best point and its neighbours (R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 5), in turn.
import type { Measured } from "./experiment.js";
import type { Axis, AxisPlaces } from "./tolerances.js";
import type { AxisAlone, CheckExtremes } from "./worstcheck.js";

/** Whether the highest (1) or the lowest (−1) value is sought. */
type Way = 1 | -1;

/** Rounds over all bending axes; parabolas on each; the relative gain that a round must bring for another to follow. */
const rounds = 3;
const closer = 4;
const gain = 1e-6;

/** A check whose worst in one direction may lie inside. */
interface Bend {
  /** Index of the check. */
  readonly k: number;
  readonly way: Way;
  /** Indices of the axes along which it bends that way. */
  readonly axes: readonly number[];
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
      const list = axes.flatMap((axis, i) => (bending(axis, i, alone[k], values[k], way) ? [i] : []));
      return list.length > 0 ? [{ k, way, axes: list }] : [];
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

// Whether the parabola through both ends and the nominal value has its extreme within the tolerance, or so little outside that the
// true curve may.
function bending(axis: Axis, i: number, alone: readonly AxisAlone[], middle: number, way: Way): boolean {
  // A measured part is one of those in its bag; there is nothing between them.
  if (axis.distribution.shape === "measured" || axis.what === "drift") return false;
  const one = alone.find((a) => a.axis === i);
  const p = middleOf(axis);
  if (!one || !(p > 0 && p < 1)) return false;
  const [low, high] = [way * one.low, way * one.high];
  const bend = (high - low - (way * middle - low) / p) / (1 - p);
  if (!(bend < 0) || -bend <= gain * Math.abs(middle)) return false;
  const turn = -(high - low - bend) / (2 * bend);
  return turn > -0.5 && turn < 1.5;
}

/** A place on one axis and the value there, with its sign turned so that more is worse. */
type Point = readonly [place: number, value: number];

// The search of one check in one direction.
function* along(
  axes: readonly Axis[],
  { k, way, axes: bent }: Bend,
  extremes: CheckExtremes,
): Generator<readonly AxisPlaces[], void, readonly Measured[]> {
  for (let round = 0; round < rounds; round++) {
    const before = extremes.farthest(way)!;
    for (const axis of bent) {
      const { places: start, value } = extremes.farthest(way)!;
      const there = Number.isNaN(start[axis]) ? middleOf(axes[axis]) : start[axis];
      const on = (place: number) => start.map((p, i) => (i === axis ? sold(axes[axis], place) : p));
      const points: Point[] = [[there, way * value]];
      const quarters = [0, 0.25, 0.5, 0.75, 1].filter((p) => p !== there);
      let seen = yield quarters.map(on);
      quarters.forEach((p, i) => {
        points.push([p, way * seen[i].values[k]]);
      });
      for (let look = 0; look < closer; look++) {
        const next = crest(points);
        if (next === undefined) break;
        seen = yield [on(next)];
        points.push([next, way * seen[0].values[k]]);
      }
    }
    const after = extremes.farthest(way)!;
    if (!(way * (after.value - before.value) > gain * Math.abs(after.value))) return;
  }
}

// Values that sorting has removed from a reel are in no board: the nearest that is left.
function sold({ distribution: d }: Axis, place: number): number {
  if (d.shape !== "sorted") return place;
  const [from, to] = d.gap;
  if (!(place > from && place < to)) return place;
  return place - from < to - place ? from : to;
}

// The crest of the parabola through the highest point and its neighbours; undefined if that is no new place.
function crest(points: readonly Point[]): number | undefined {
  const sorted = points.filter(([, v]) => !Number.isNaN(v)).sort((a, b) => a[0] - b[0]);
  const best = sorted.reduce((far, [, v], i) => (v > sorted[far][1] ? i : far), 0);
  // At an end, take the two neighbours on the inside: the crest may lie just within.
  const from = Math.max(0, Math.min(best - 1, sorted.length - 3));
  const [a, b, c] = sorted.slice(from, from + 3);
  if (!a || !b || !c) return undefined;
  const [left, right] = [(b[0] - a[0]) * (b[1] - c[1]), (b[0] - c[0]) * (b[1] - a[1])];
  const place = b[0] - ((b[0] - a[0]) * left - (b[0] - c[0]) * right) / (2 * (left - right));
  const fresh =
    left > right && place > a[0] && place < c[0] && sorted.every(([p]) => Math.abs(p - place) > 1e-4);
  return fresh ? place : undefined;
}
