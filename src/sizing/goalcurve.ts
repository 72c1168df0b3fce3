// A goal along its unknown: the measured value less the one to aim for, at each value tried. Zero is where the goal is met; NaN
// where nothing can be measured.
import { type Fraction, toNumber } from "../base/fraction.js";
import { decimal } from "../base/spacing.js";
import type { Evaluation, Evaluator, ExactValues } from "../judging/evaluation.js";
import { type Goal, sought } from "../judging/goals.js";
import type { Point } from "./bracketing.js";
import { negligible, type Proposer, type Unknown } from "./proposals.js";

/** Points of a goal along its unknown. */
export class GoalCurve {
  readonly goal: Goal;
  /** A value this near to the one to aim for meets it, SI. */
  readonly small: number;
  /** The value to aim for, SI. */
  readonly target: number;
  private readonly seen = new Map<number, Point>();

  readonly unknown: Unknown;
  readonly evaluator: Evaluator;

  /** Measures both ends of the range. @param proposer has one unknown and one goal */
  constructor(readonly proposer: Proposer) {
    this.evaluator = proposer.evaluator;
    const [unknown] = proposer.unknowns;
    this.unknown = unknown;
    this.goal = this.evaluator.goals[0];
    const { aim, spec } = this.goal;
    const { low = aim, high = aim } = spec.limit;
    const ends = [unknown.from, unknown.to].map((v) => Math.abs(this.evaluation(v).value) || 0);
    const size = Math.max(Math.abs(aim), high - low, ...ends);
    this.small = 0.3 * negligible * Math.max(Math.abs(aim), 1e-3 * size);
    this.target = sought(this.goal, this.small);
    for (const value of [unknown.from, unknown.to]) this.at(value);
  }

  /** The exact value behind a double: at an end of the range that end. */
  exact(x: number): Fraction {
    const { from, to } = this.unknown;
    return x === toNumber(from) ? from : x === toNumber(to) ? to : decimal(x);
  }

  /** What is measured with a value of the unknown, and with other values besides, which move no limit. */
  evaluation(value: Fraction, besides?: ExactValues): Evaluation {
    return this.evaluator.at(new Map([[this.unknown.name, value]]), besides)[0];
  }

  /** The same as a point. @param moved how far the answer that `besides` is tried at has moved what is aimed at */
  at(value: Fraction, besides?: ExactValues, moved = 0): Point {
    const point = { x: toNumber(value), y: this.evaluation(value, besides).value - this.target - moved };
    if (!besides && !Number.isNaN(point.y)) this.seen.set(point.x, point);
    return point;
  }

  /** Every point tried that has a value, in rising order, with no other values changed. */
  get points(): Point[] {
    return [...this.seen.values()].sort((a, b) => a.x - b.x);
  }

  /** Those inside the range. */
  get inside(): Point[] {
    const [from, to] = [toNumber(this.unknown.from), toNumber(this.unknown.to)];
    return this.points.filter(({ x }) => x >= from && x <= to);
  }
}
