// An answer from a handful of runs, for a measure that rises or falls throughout and bends little, as most do. Where a prediction
// fails, the whole range must be searched. Of the values wanted anyway (preferred ones, pairs of them) those next to the answer
// are run first, since they help to locate it as well as any others.
import { type Fraction, toNumber } from "../base/fraction.js";
import { neighbours } from "../base/series.js";
import { spaced, suited } from "../base/spacing.js";
import { foretold, type Point } from "./bracketing.js";
import type { GoalCurve } from "./goalcurve.js";
import { pairsFor } from "./proposals.js";

/** Most predictions; a smooth measure takes one or two. */
const most = 6;
/** A predicted value may miss by this share of its bracket's span, with so many exceptions. */
const trusted = 0.25;
const surprises = 1;
/** Two predictions this close, relatively, are good enough to choose the nearest pairs. */
const agreed = 1e-3;

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

// Whether the values lie on both sides of the goal, differ at all, and are monotone.
function steady(points: readonly Point[], small: number): boolean {
  const first = points[0].y;
  const last = points.at(-1)!.y;
  if (!(first * last <= 0) || Math.abs(last - first) <= 4 * small) return false;
  const way = Math.sign(last - first);
  return points.every((p, i) => i === 0 || way * (p.y - points[i - 1].y) >= -small);
}

// The difference between the values at the two points around a place.
function spanned(points: readonly Point[], x: number): number {
  const i = points.findIndex((p) => p.x >= x);
  return i > 0 ? Math.abs(points[i].y - points[i - 1].y) : 0;
}
