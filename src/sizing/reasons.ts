// Why no value meets a goal, in words with figures: a measure that jumps over it, periods that differ by more than is allowed, a
// stretch along which the measure does not change, an answer beyond the range.
import { unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import { revalued, settableValues } from "../design/revalue.js";
import { caseOf, goalText } from "../judging/goals.js";
import type { Bracket, Point } from "./bracketing.js";
import type { GoalCurve } from "./goalcurve.js";
import type { SizingOutcome } from "./outcome.js";
import type { Trial } from "./proposals.js";

/** What stands in the way where the measure passes the goal but the check fails all the same. */
export function obstacle(curve: GoalCurve, { low, high }: Bracket): string {
  const { goal, target, small } = curve;
  const where = value(curve, low.x);
  const least = Math.abs(low.y) <= Math.abs(high.y) ? low : high;
  if (Math.abs(least.y) > small)
    return `at ${where} the measure jumps over it, from ${goalText(goal, low.y + target)} to ${goalText(goal, high.y + target)}`;
  const { result } = curve.evaluation(curve.exact(least.x));
  const middle = goalText(goal, least.y + target);
  return goal.spec.each === undefined
    ? `at ${where} it measures ${goalText(goal, result.measured)}`
    : `at ${where} the periods differ: the middle between the highest and the lowest is ${middle}, the worst ${goalText(goal, result.measured)}`;
}

/** Status and reason where nothing in the range meets the goal. */
export function missed(
  curve: GoalCurve,
  obstacles: readonly string[],
  best: Trial,
  beyond?: Trial,
): Pick<SizingOutcome, "status" | "reason"> {
  const { goal } = curve;
  const more = [...obstacles, ...plateau(curve)].map((text) => `; ${text}`).join("");
  if (beyond) {
    const there = value(curve, beyond.values[0]);
    return {
      status: "out of range",
      reason: `only beyond the range allowed, at ${there}, is the goal met${more}`,
    };
  }
  const nearest = goalText(goal, best.results[0].measured);
  const aim = goalText(goal, goal.aim);
  return {
    status: "none",
    reason: `no value in the range reaches the goal of ${aim}: the nearest is ${nearest}${more}`,
  };
}

/** Says where the case of the goal sets the unknown itself, so that no other value of it gets there; otherwise empty. */
export function setThere(curve: GoalCurve): string {
  const { goal, unknown, evaluator, inside } = curve;
  const { name } = unknown;
  const [a, b] = [inside[0], inside[inside.length - 1]].map(({ x }) => {
    const other = revalued(evaluator.design, new Map([[name, curve.exact(x)]]), [goal.case]);
    return settableValues(caseOf(other, goal.case)).get(name)?.amount.value;
  });
  return a && b?.equals(a) ? `, since case "${goal.case}" sets '${name}' itself` : "";
}

// The longest stretch of at least three points along which the measure does not change while it is off the goal.
function plateau(curve: GoalCurve): string[] {
  const best = stretches(curve).reduce((a, b) => (b.length > a.length ? b : a), []);
  return best.length < 3 ? [] : [standing(curve, best)];
}

/** What is said of an answer that is one of many, because the measure is constant around it; otherwise empty. */
export function onPlateau(curve: GoalCurve, answer: number): string {
  const { from, to } = curve.unknown;
  const found = stretches(curve).find((points) => points.some(({ x }) => x === answer));
  const width = found ? found.at(-1)!.x - found[0].x : 0;
  return found && width > wide * toNumber(to.sub(from))
    ? `${standing(curve, found)}, so any value there will do`
    : "";
}

/** The share of the range beyond which a constant stretch is more than the neighbourhood of the answer. */
const wide = 0.01;

// The points looked at, grouped into stretches along which the measure is constant. The top of a smooth curve is none.
function stretches(curve: GoalCurve): Point[][] {
  const points = curve.inside;
  const size = Math.max(...points.map((p) => Math.abs(p.y + curve.target)));
  const found: Point[][] = [];
  for (const p of points) {
    const run = found.at(-1);
    if (run && Math.abs(p.y - run[0].y) <= 1e-4 * size) run.push(p);
    else found.push([p]);
  }
  return found.filter((_, i) => !rounded(found, i));
}

// Whether the points of a stretch lie on one smooth bend with those beside it: about its middle a bend moves with the square of
// the distance, and what is constant does not move at all.
function rounded(found: readonly Point[][], i: number): boolean {
  const run = found[i];
  const [first, last] = [run[0], run.at(-1)!];
  const middle = (first.x + last.x) / 2;
  const within = Math.max(...run.map(({ y }) => y)) - Math.min(...run.map(({ y }) => y));
  const beside = [found[i - 1]?.at(-1), found[i + 1]?.[0]].filter((p) => p !== undefined);
  const bends = beside.map((p) => Math.abs(p.y - first.y) * ((last.x - first.x) / 2 / (p.x - middle)) ** 2);
  return run.length > 1 && bends.length === 2 && within > 0.1 * Math.min(...bends);
}

function standing(curve: GoalCurve, points: readonly Point[]): string {
  const [from, to] = [points[0], points.at(-1)!].map((p) => value(curve, p.x));
  return `from ${from} to ${to} it stands at ${goalText(curve.goal, points[0].y + curve.target)}`;
}

function value({ unknown }: GoalCurve, x: number): string {
  return engineering(x, unitOf(unknown.dimension), 6);
}
