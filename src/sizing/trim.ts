// How far an unknown must reach so that the goal is met whatever all other tolerances do: the range of the trimmer that takes its
// place, at the worst corners of the other tolerances by the signs of their sensitivities. A value was run at its corner, or lies
// so near to one that was that the rest is less than a trimmer can resolve.
import { type Fraction, toNumber } from "../base/fraction.js";
import { decimal } from "../base/spacing.js";
import type { ExactValues } from "../judging/evaluation.js";
import { caseOf } from "../judging/goals.js";
import { inRange } from "../parts/range.js";
import { foretold, type Point } from "./bracketing.js";
import type { GoalCurve } from "./goalcurve.js";
import { corner, type GoalShift, goalShifts, plainValues, tolerances } from "./shifts.js";

/** One end of the range that a trimmer needs. */
export interface TrimEnd {
  /** The value that meets the goal there, SI; NaN where none does. */
  readonly value: number;
  /** The values of everything else at that corner, SI, by full name. */
  readonly corner: { readonly [name: string]: number };
}

/** A tolerance that a trimmer makes up for. */
export interface TrimTolerance {
  /** Full name of the value that has it. */
  readonly name: string;
  /** How far the measure moves from its low end to its high end, SI, by a straight line through one end. */
  readonly effect: number;
}

/** The range that a trimmer needs. */
export interface Trim {
  /** Lower end, SI; NaN where a corner cannot be made up for. */
  readonly from: number;
  /** Upper end, likewise. */
  readonly to: number;
  /** Distance of the farther end from the answer, as a share of the answer. */
  readonly share: number;
  /** Whether both ends exist and lie in the unknown's allowed range. */
  readonly inside: boolean;
  /** The end for the corner that raises the measure most, then the end for the other corner. */
  readonly ends: readonly [TrimEnd, TrimEnd];
  /** The tolerances that matter, costliest first. */
  readonly tolerances: readonly TrimTolerance[];
}

/** The error that a prediction may have, as a share of the goal: no trimmer is set more finely. */
const accuracy = 3e-7;
/** Most runs for one end. */
const most = 16;

/** The range that the unknown needs around its answer; undefined where no other tolerance has an effect. */
export function trimAround(curve: GoalCurve, at: Fraction): Trim | undefined {
  const { evaluator, unknown, goal } = curve;
  const others = tolerances(caseOf(evaluator.design, goal.case)).filter((t) => !t.low.has(unknown.name));
  const all = goalShifts(curve, others, at);
  const biggest = Math.max(0, ...all.map((s) => Math.abs(s.effect) || 0));
  // A millionth of the largest effect is rounding.
  const acting = all.filter(
    (s) => Math.abs(s.effect) > 1e-6 * biggest && biggest > 1e-9 * Math.abs(goal.aim),
  );
  if (acting.length === 0) return undefined;
  const ends = ([1, -1] as const).map((way) => {
    const values = corner(acting, way);
    const push = acting.reduce((sum, s) => sum + (s.effect * way > 0 ? s.up : s.down), 0);
    return { value: made(curve, at, values, push), corner: plainValues(values) };
  }) as unknown as [TrimEnd, TrimEnd];
  const [a, b] = ends.map((e) => e.value) as [number, number];
  const x = toNumber(at);
  const known = !Number.isNaN(a) && !Number.isNaN(b);
  const [from, to] = known ? [Math.min(a, b, x), Math.max(a, b, x)] : [Number.NaN, Number.NaN];
  return {
    from,
    to,
    share: Math.max(x - from, to - x) / Math.abs(x),
    inside: known && from >= toNumber(unknown.from) && to <= toNumber(unknown.to),
    ends,
    tolerances: ranked(acting),
  };
}

function ranked(list: readonly GoalShift[]): TrimTolerance[] {
  return list
    .map(({ name, effect }) => ({ name, effect }))
    .sort((a, b) => Math.abs(b.effect) - Math.abs(a.effect));
}

/**
 * The value of the unknown that meets the goal at a corner, followed from the answer.
 * @param push the predicted effect of the corner on the measure, SI
 */
function made(curve: GoalCurve, at: Fraction, values: ExactValues, push: number): number {
  const { unknown, small } = curve;
  const { moved } = curve.evaluation(at);
  const target = curve.target + moved;
  const x = toNumber(at);
  // The points around the answer tell how the measure moves there, at the corner too.
  const near = curve.points.sort((a, b) => Math.abs(a.x - x) - Math.abs(b.x - x)).slice(0, 6);
  near.sort((a, b) => a.x - b.x);
  const rate = slope(near, x);
  const size = Math.abs(target) || Math.abs(push);
  const grown = 1 + push / target;
  const level = grown > 0 && Number.isFinite(grown) ? target / grown - target : -push;
  const seen: Point[] = [];
  let next = foretold(near, level) ?? x - push / rate;
  for (let k = 0; k < most; k++) {
    // A positive value is at most halved at a time: lower guesses leave what parts can be.
    if (x > 0 && !(next > x / 2 ** (k + 1))) next = x / 2 ** (k + 1);
    const value = decimal(next);
    if (!Number.isFinite(next) || !inRange(value, unknown.range)) return Number.NaN;
    const p = curve.at(value, values, moved);
    if (Number.isNaN(p.y)) return Number.NaN;
    if (Math.abs(p.y) <= small) return p.x;
    seen.push(p);
    next = onward(seen, x, rate);
    if (Math.abs(p.y / size) * Math.abs(push / size) <= accuracy && inRange(decimal(next), unknown.range))
      return next;
  }
  return Number.NaN;
}

// The next value to try: between the nearest ones on both sides, or else farther on.
function onward(seen: readonly Point[], x: number, rate: number): number {
  const last = seen.at(-1)!;
  if (seen.length === 1) return last.x - last.y / rate;
  const sorted = [...seen].sort((a, b) => a.x - b.x);
  const i = sorted.findIndex((p, k) => k > 0 && p.y * sorted[k - 1].y < 0);
  const inner = foretold(sorted);
  if (i < 0)
    return inner !== undefined && Math.abs(inner - x) > Math.abs(last.x - x)
      ? inner
      : last.x + 2 * (last.x - x);
  const [low, high] = [sorted[i - 1].x, sorted[i].x];
  // Where predictions do not close in from both sides, halve.
  return inner === undefined || seen.length > 6 ? (low + high) / 2 : inner;
}

// Change of the measure per unit of the unknown, between the points on both sides of a place.
function slope(points: readonly Point[], x: number): number {
  const i = points.findIndex((p) => p.x === x);
  const [a, b] = [points[Math.max(0, i - 1)], points[Math.min(points.length - 1, i + 1)]];
  return (b.y - a.y) / (b.x - a.x);
}
