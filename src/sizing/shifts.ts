// Which values of a design have tolerances of their own, and which way each moves a goal. A value that follows a named value or
// tracks another is not counted separately, since both move as one (../spread/tolerances.ts); one that cannot affect the goal is
// not run.
import { type Fraction, toNumber } from "../base/fraction.js";
import type { CheckSpec, Design } from "../design/design.js";
import { revalued, settableValues } from "../design/revalue.js";
import { anywhere, type ExactValues } from "../judging/evaluation.js";
import { caseOf, type Goal } from "../judging/goals.js";
import { changedParts, Influence } from "../judging/influence.js";
import { Axes } from "../spread/tolerances.js";
import type { GoalCurve } from "./goalcurve.js";

/** A tolerance: a value, and what moves with it. */
interface FreeTolerance {
  /** Full name of the value. */
  readonly name: string;
  /** Everything that moves, at its low ends. */
  readonly low: ExactValues;
  /** The same at its high ends. */
  readonly high: ExactValues;
  /** Share of the whole width that lies above the value. */
  readonly above: number;
}

export interface GoalShift extends FreeTolerance {
  /**
   * How far the goal moves from the low bound to the high one, SI, by a straight line through the value and one bound; NaN where
   * that has no value.
   */
  readonly effect: number;
  /** How far one bound moves the goal up, SI. */
  readonly up: number;
  /** How far the other bound moves it down, SI, negative. */
  readonly down: number;
}

/** The independent tolerances of a design, or of the case that a goal belongs to. */
export function tolerances(design: Design): FreeTolerance[] {
  const all = settableValues(design);
  return new Axes(design).list.flatMap(({ name, what, tracked }) => {
    if (what !== "value") return [];
    const ends = (end: "low" | "high") =>
      new Map([name, ...tracked].map((n) => [n, all.get(n)!.amount[end]]));
    const { low, value, high } = all.get(name)!.amount;
    const above = toNumber(high.sub(value).div(high.sub(low)));
    return [{ name, low: ends("low"), high: ends("high"), above }];
  });
}

/** How each tolerance that can affect the goal moves it alone, at a value of the unknown. One run each. */
export function goalShifts(curve: GoalCurve, list: readonly FreeTolerance[], at: Fraction): GoalShift[] {
  if (list.length === 0) return [];
  const { evaluator, goal } = curve;
  const drawn = caseOf(evaluator.design, goal.case);
  const reaching = new Influence(drawn).of(goal.spec);
  const middle = curve.at(at).y;
  const { moved: aside } = curve.evaluation(at);
  return list.flatMap((one): GoalShift[] => {
    if (reaching && idle(evaluator.design, goal, one, reaching)) return [];
    const high = one.above > 0;
    const moved = curve.at(at, high ? one.high : one.low, aside).y - middle;
    const effect = high ? moved / one.above : -moved;
    const [up, down] = effect > 0 ? [one.above, 1 - one.above] : [1 - one.above, one.above];
    return [{ ...one, effect, up: Math.abs(effect) * up, down: -Math.abs(effect) * down }];
  });
}

// Whether a tolerance changes nothing that affects the goal, at either end.
function idle(
  design: Design,
  { spec, case: name }: Goal,
  { low, high }: FreeTolerance,
  reaching: ReadonlySet<number>,
): boolean {
  return [low, high].every((values) => {
    const other = caseOf(revalued(design, anywhere(values), [name]), name);
    const own = other.checks.find((c) => c.name === spec.name);
    if (!own || asks(own) !== asks(spec)) return false;
    return changedParts(caseOf(design, name), other)?.every((part) => !reaching.has(part)) ?? false;
  });
}

// What a check reads, apart from its limit.
function asks({ at, through, within, after, before }: CheckSpec): string {
  return JSON.stringify([at, through, within, after, before]);
}

/** The corner where every tolerance moves the goal up (`1`) or down (`-1`); those without effect stay out. */
export function corner(list: readonly GoalShift[], way: 1 | -1): ExactValues {
  return new Map(
    list.flatMap(({ low, high, effect }) =>
      effect > 0 || effect < 0 ? [...(effect * way > 0 ? high : low)] : [],
    ),
  );
}

/** Values as plain data, SI. */
export function plainValues(values: ExactValues): { readonly [name: string]: number } {
  return Object.fromEntries([...values].map(([name, value]) => [name, toNumber(value)]));
}
