// What to buy for an exact answer: preferred values on both sides, pairs of parts, and what the goals measure with each.
// Takes an evaluator and exact values of the unknowns; gives trials as plain data. Always: every trial was measured, and says
// whether its values lie in the ranges allowed.
import { type Dimension, dimension, sameDimension } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { neighbours, type Series } from "../base/series.js";
import type { Evaluator, ExactValues } from "../judging/evaluation.js";
import type { CheckResult } from "../judging/verify.js";
import { inRange, type Range } from "../parts/contract.js";
import { type ExactPair, pairs } from "./pairs.js";

/** A value to be found, as the design has it now. */
export interface Unknown {
  readonly name: string;
  readonly dimension: Dimension;
  /** As the design has it, SI. */
  readonly nominal: Fraction;
  /** The range in which it may lie, SI. */
  readonly from: Fraction;
  readonly to: Fraction;
  /** What its part allows. */
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
  /** Which unknown they stand for. */
  readonly unknown: string;
  /** How the two are joined. */
  readonly wiring: "series" | "parallel";
  /** Larger, then smaller, SI. */
  readonly parts: readonly [number, number];
}

/** An answer: the exact values, and what can be bought for them. */
export interface Answer extends Trial {
  /**
   * With the preferred values below and above each exact one: of one unknown two trials, of several every combination, the
   * one that leaves most room first; unknowns without a series stay exact. Empty where no unknown has a series.
   */
  readonly preferred: readonly Trial[];
  /** The pairs of preferred values that beat the nearest single one, of resistances, capacitances and inductances. */
  readonly pairs: readonly Pair[];
}

/** Beyond this many unknowns only the nearest preferred values are tried, since combinations double with each. */
const combined = 4;

/** A share of the value sought that counts as nothing: some tens of times what a run itself may be off. */
export const negligible = 1e-6;

/** Values of the unknowns in their order, as an evaluator takes them. */
export function named(unknowns: readonly Unknown[], values: readonly Fraction[]): ExactValues {
  return new Map(unknowns.map((u, i) => [u.name, values[i]]));
}

/** Measures the goals with these values. */
export function tried(
  evaluator: Evaluator,
  unknowns: readonly Unknown[],
  values: readonly Fraction[],
): Trial {
  const readings = evaluator.at(named(unknowns, values));
  return {
    values: values.map(toNumber),
    results: readings.map((r) => r.result),
    met: readings.every(({ result }) => result.pass),
    inside: unknowns.every((u, i) => within(values[i], u)),
  };
}

// Values of twelve figures stand for the ends of a range that have more.
function within(value: Fraction, { from, to }: Unknown): boolean {
  const [v, low, high] = [value, from, to].map(toNumber) as [number, number, number];
  const play = 1e-11 * Math.abs(v);
  return v >= low - play && v <= high + play;
}

/** An exact answer with what can be bought for it. */
export function answer(
  evaluator: Evaluator,
  unknowns: readonly Unknown[],
  exact: readonly Fraction[],
): Answer {
  return {
    ...tried(evaluator, unknowns, exact),
    preferred: preferredOf(evaluator, unknowns, exact),
    pairs: unknowns.flatMap((_, i) => pairsOf(evaluator, unknowns, exact, i)),
  };
}

function preferredOf(
  evaluator: Evaluator,
  unknowns: readonly Unknown[],
  exact: readonly Fraction[],
): Trial[] {
  const choices = unknowns.map((u, i): Fraction[] => {
    const value = exact[i];
    if (!u.series || !inRange(value, "positive")) return [value];
    const { below, above } = neighbours(value, u.series);
    if (below.equals(above)) return [below];
    if (unknowns.length <= combined) return [below, above];
    return [value.sub(below).lte(above.sub(value)) ? below : above];
  });
  if (!unknowns.some((u) => u.series)) return [];
  let combinations: Fraction[][] = [[]];
  for (const list of choices) combinations = combinations.flatMap((c) => list.map((value) => [...c, value]));
  const trials = combinations.map((values) => tried(evaluator, unknowns, values));
  if (unknowns.length === 1) return trials;
  const room = (t: Trial) =>
    Math.min(...t.results.map((r) => (Number.isNaN(r.margin) ? Number.NEGATIVE_INFINITY : r.margin)));
  return trials.sort((a, b) => Number(b.inside) - Number(a.inside) || room(b) - room(a) || 0);
}

/** The pairs that stand nearest to the exact value of an unknown; none where it has no series or no part of two. */
export function pairsFor({ series, dimension: dim }: Unknown, exact: Fraction): ExactPair[] {
  const adds = addsIn(dim);
  return series && adds && inRange(exact, "positive") ? pairs(exact, series, adds) : [];
}

function pairsOf(
  evaluator: Evaluator,
  unknowns: readonly Unknown[],
  exact: readonly Fraction[],
  i: number,
): Pair[] {
  return pairsFor(unknowns[i], exact[i]).map(({ wiring, values, together }) => ({
    ...tried(
      evaluator,
      unknowns,
      exact.map((v, k) => (k === i ? together : v)),
    ),
    unknown: unknowns[i].name,
    wiring,
    parts: [toNumber(values[0]), toNumber(values[1])],
  }));
}

/** How sizes of a dimension add up; undefined of what is no part that one buys two of. */
function addsIn(dim: Dimension): "series" | "parallel" | undefined {
  if (sameDimension(dim, dimension.resistance) || sameDimension(dim, dimension.inductance)) return "series";
  return sameDimension(dim, dimension.capacitance) ? "parallel" : undefined;
}
