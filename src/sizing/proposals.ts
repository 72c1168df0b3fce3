// What to buy for an exact answer: preferred values on both sides, pairs of parts, and what the goals measure with each. Every
// proposal has been run, and says whether its values lie in the allowed ranges.
import { type Dimension, dimension, sameDimension } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { nearestPreferred, neighbours, type Series } from "../base/series.js";
import type { Evaluation, Evaluator } from "../judging/evaluation.js";
import type { CheckResult } from "../judging/verify.js";
import { inRange, type Range } from "../parts/range.js";
import { type ExactPair, pairs } from "./pairs.js";

/** A value to be found, with its present value in the design. */
export interface Unknown {
  readonly name: string;
  readonly dimension: Dimension;
  /** In the design, SI. */
  readonly nominal: Fraction;
  /** The range in which it may lie, SI. */
  readonly from: Fraction;
  readonly to: Fraction;
  /** The values that its part allows. */
  readonly range: Range;
  readonly series?: Series;
}

/** Values of the unknowns, and what the goals measure with them. */
export interface Trial {
  /** SI units, in the order of the unknowns. */
  readonly values: readonly number[];
  /** A result for each goal, in their order. */
  readonly results: readonly CheckResult[];
  /** Whether all goals are met: every check passes in the run that was made with these values. */
  readonly met: boolean;
  /** Whether all values lie in their allowed ranges. */
  readonly inside: boolean;
}

/** Two parts in place of one. */
export interface Pair extends Trial {
  /** Name of the unknown they stand for. */
  readonly unknown: string;
  /** How the two are joined. */
  readonly wiring: "series" | "parallel";
  /** Larger, then smaller, SI. */
  readonly parts: readonly [number, number];
}

/** An answer: the exact values, and what can be bought for them. */
export interface Answer extends Trial {
  /**
   * With the preferred values below and above each exact one: for one unknown two trials; for several every combination, the one
   * that leaves most room first. Unknowns without a series stay exact. Empty where no unknown has a series.
   */
  readonly preferred: readonly Trial[];
  /** Pairs of preferred values that beat the nearest single one, for resistances, capacitances and inductances. */
  readonly pairs: readonly Pair[];
}

/** Beyond this many unknowns only the nearest preferred values are tried, since each doubles the combinations. */
const combined = 4;

/** A share of the value sought that counts as zero: some tens of times the error of a run. */
export const negligible = 1e-6;

/** Tries values of the unknowns. */
export class Proposer {
  constructor(
    readonly evaluator: Evaluator,
    readonly unknowns: readonly Unknown[],
  ) {}

  /** What the goals measure with values of the unknowns, in their order. */
  evaluations(values: readonly Fraction[]): readonly Evaluation[] {
    return this.evaluator.at(new Map(this.unknowns.map((u, i) => [u.name, values[i]])));
  }

  /** The same as a trial. */
  tried(values: readonly Fraction[]): Trial {
    const results = this.evaluations(values).map((e) => e.result);
    return {
      values: values.map(toNumber),
      results,
      met: results.every(({ pass }) => pass),
      inside: this.unknowns.every((u, i) => within(values[i], u)),
    };
  }

  /** An exact answer with what can be bought for it. */
  answer(exact: readonly Fraction[]): Answer {
    return {
      ...this.tried(exact),
      preferred: this.preferred(exact),
      pairs: this.unknowns.flatMap((_, i) => this.pairs(exact, i)),
    };
  }

  private preferred(exact: readonly Fraction[]): Trial[] {
    const { unknowns } = this;
    if (!unknowns.some((u) => u.series)) return [];
    let combinations: Fraction[][] = [[]];
    for (const [i, { series }] of unknowns.entries()) {
      const choices = this.choices(exact[i], series);
      combinations = combinations.flatMap((c) => choices.map((value) => [...c, value]));
    }
    const trials = combinations.map((values) => this.tried(values));
    if (unknowns.length === 1) return trials;
    const room = (t: Trial) =>
      Math.min(...t.results.map((r) => (Number.isNaN(r.margin) ? Number.NEGATIVE_INFINITY : r.margin)));
    return trials.sort((a, b) => Number(b.inside) - Number(a.inside) || room(b) - room(a) || 0);
  }

  private choices(value: Fraction, series: Series | undefined): Fraction[] {
    if (!series || !inRange(value, "positive")) return [value];
    if (this.unknowns.length > combined) return [nearestPreferred(value, series)];
    const { below, above } = neighbours(value, series);
    return below.equals(above) ? [below] : [below, above];
  }

  private pairs(exact: readonly Fraction[], i: number): Pair[] {
    return pairsFor(this.unknowns[i], exact[i]).map(({ wiring, values: [large, small], together }) => ({
      ...this.tried(exact.map((v, k) => (k === i ? together : v))),
      unknown: this.unknowns[i].name,
      wiring,
      parts: [toNumber(large), toNumber(small)],
    }));
  }
}

// A value may be rounded to twelve figures from an end of a range that has more.
function within(value: Fraction, { from, to }: Unknown): boolean {
  const [v, low, high] = [value, from, to].map(toNumber) as [number, number, number];
  const play = 1e-11 * Math.abs(v);
  return v >= low - play && v <= high + play;
}

/** The pairs nearest to the exact value of an unknown; none where it has no series or cannot be made of two parts. */
export function pairsFor({ series, dimension: dim }: Unknown, exact: Fraction): ExactPair[] {
  const adds = addsIn(dim);
  return series && adds && inRange(exact, "positive") ? pairs(exact, series, adds) : [];
}

/** How sizes of a dimension add up; undefined for what cannot be made of two parts. */
function addsIn(dim: Dimension): "series" | "parallel" | undefined {
  if (sameDimension(dim, dimension.resistance) || sameDimension(dim, dimension.inductance)) return "series";
  return sameDimension(dim, dimension.capacitance) ? "parallel" : undefined;
}
