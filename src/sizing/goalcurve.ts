// A goal along its unknown: what it measures at each value that was looked at, against the value to make for.
// Takes an evaluator of one goal and the unknown; gives points, each of which is one run, and never the same twice. Always: y is
// zero where the goal is met, and NaN where nothing can be measured.
import { type Fraction, toNumber } from "../base/fraction.js";
import { decimal } from "../base/spacing.js";
import type { Evaluation, Evaluator, ExactValues } from "../judging/evaluation.js";
import { type Goal, sought } from "../judging/goals.js";
import type { Point } from "./bracketing.js";
import { negligible, type Unknown } from "./proposals.js";

/** Points of a goal along its unknown. */
export class GoalCurve {
  readonly goal: Goal;
  /** A value this near to the one to make for meets it, SI. */
  readonly small: number;
  /** The value to make for, SI. */
  readonly target: number;
  private readonly seen = new Map<number, Point>();

  /** Measures both ends of the range. */
  constructor(
    readonly evaluator: Evaluator,
    readonly unknown: Unknown,
  ) {
    this.goal = evaluator.goals[0];
    const { aim, spec } = this.goal;
    const { low = aim, high = aim } = spec.limit;
    const ends = [unknown.from, unknown.to].map((v) => Math.abs(this.reading(v).value) || 0);
    const size = Math.max(Math.abs(aim), high - low, ...ends);
    this.small = 0.3 * negligible * Math.max(Math.abs(aim), 1e-3 * size);
    this.target = sought(this.goal, this.small);
    for (const value of [unknown.from, unknown.to]) this.at(value);
  }

  /** The exact value that a double stands for: at an end of the range that end. */
  exact(x: number): Fraction {
    const { from, to } = this.unknown;
    return x === toNumber(from) ? from : x === toNumber(to) ? to : decimal(x);
  }

  /** What is measured with a value of the unknown, and other values besides. */
  reading(value: Fraction, besides: ExactValues = new Map()): Evaluation {
    return this.evaluator.at(new Map([...besides, [this.unknown.name, value]]))[0];
  }

  /** The same as a point. */
  at(value: Fraction, besides?: ExactValues): Point {
    const point = { x: toNumber(value), y: this.reading(value, besides).value - this.target };
    if (!besides && !Number.isNaN(point.y)) this.seen.set(point.x, point);
    return point;
  }

  /** Every point looked at that has a value, in rising order, with nothing besides. */
  get points(): Point[] {
    return [...this.seen.values()].sort((a, b) => a.x - b.x);
  }

  /** Those inside the range. */
  get inside(): Point[] {
    const [from, to] = [toNumber(this.unknown.from), toNumber(this.unknown.to)];
    return this.points.filter(({ x }) => x >= from && x <= to);
  }
}
