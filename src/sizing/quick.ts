// An answer from a handful of runs, for a measure that rises or falls throughout and bends little, as most do. Where it does not do
// as foretold, the whole range is to be looked at. Of the values that will be wanted anyway (preferred ones, pairs of them) those
// next to the answer are run first, since they tell where it lies as well as any others.
import { type Fraction, toNumber } from "../base/fraction.js";
import { neighbours } from "../base/series.js";
import { spaced, suited } from "../base/spacing.js";
import { foretold, type Point } from "./bracketing.js";
import type { GoalCurve } from "./goalcurve.js";
import { pairsFor } from "./proposals.js";

/** Most values foretold; a smooth measure takes one or two. */
const most = 6;
/** A value that is foretold misses by less than this share of what its bracket spans, but for so many. */
const trusted = 0.25;
const surprises = 1;
/** Two forecasts this near to each other, as a share, tell the pairs that stand nearest. */
const agreed = 1e-3;

/** The point that meets the goal. */
export function quick(curve: GoalCurve): Point | undefined {
  const { unknown, small } = curve;
  const { from, to, nominal, series } = unknown;
  const inner = nominal.gt(from) && nominal.lt(to) ? nominal : spaced(from, to, 3, suited(from, to))[1];
  curve.at(inner);
  if (curve.inside.length < 3) return undefined;
  const run = (values: readonly Fraction[]) =>
    values.filter((v) => v.gte(from) && v.lte(to)).every((v) => !Number.isNaN(curve.at(v).y));
  let bought = series === undefined;
  let paired = bought;
  let surprised = 0;
  for (let k = 0; k < most; ) {
    const points = curve.inside;
    if (!steady(points, small)) return undefined;
    const met = points.find(({ y }) => Math.abs(y) <= small);
    if (met) return met;
    const x = foretold(points);
    if (x === undefined) return undefined;
    const value = curve.exact(x);
    const rough = foretold(points, 0, 3);
    if (!bought) {
      const { below, above } = neighbours(value, series!);
      if (!run(below.equals(above) ? [below] : [below, above])) return undefined;
      bought = true;
    } else if (!paired && rough !== undefined && Math.abs(x - rough) <= agreed * Math.abs(x)) {
      if (!run(pairsFor(unknown, value).map(({ together }) => together))) return undefined;
      paired = true;
    } else {
      const { y } = curve.at(value);
      if (Number.isNaN(y)) return undefined;
      if (Math.abs(y) > trusted * spanned(points, toNumber(value)) && ++surprised > surprises)
        return undefined;
      k++;
    }
  }
  return undefined;
}

// Whether the values lie on both sides of the goal, move at all, and never turn back.
function steady(points: readonly Point[], small: number): boolean {
  const first = points[0].y;
  const last = points.at(-1)!.y;
  if (!(first * last <= 0) || Math.abs(last - first) <= 4 * small) return false;
  const way = Math.sign(last - first);
  return points.every((p, i) => i === 0 || way * (p.y - points[i - 1].y) >= -small);
}

// How far the values of the two points around a place are apart.
function spanned(points: readonly Point[], x: number): number {
  const i = points.findIndex((p) => p.x >= x);
  return i > 0 ? Math.abs(points[i].y - points[i - 1].y) : 0;
}
