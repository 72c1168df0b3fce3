// What trials amount to: extremes with the values that cause them, quantiles, the share that passes, and which tolerance costs
// most. A trial in which a check has no value does not pass it, and counts nowhere else.

import { handed } from "../base/handed.js";
import type { CheckHeading } from "../design/heading.js";
import { judge } from "../measures/verdict.js";
import { moments, type Quantile, quantiles } from "./quantiles.js";
import { type Axis, type AxisPlaces, axisWords, bandIn, type Temperatures, valueAt } from "./tolerances.js";
import { type MissingTrial, places, type Slice, type Trials, trialNumbers } from "./trials.js";
import { type CountedShare, wilson } from "./wilson.js";

/** One axis behind a measured value. */
export interface Cause {
  /** The axis in words: `timing`, `drift of timing`, `temperature`. */
  readonly name: string;
  /** Its value, SI, with everything else as designed. */
  readonly value: number;
  /** SI unit. */
  readonly unit: string;
  /** Where it lies in its tolerance: −1 at the low end, 1 at the high end. */
  readonly place: number;
}

/** The lowest or highest value measured. */
export interface Extreme {
  /** What was measured, SI. */
  readonly value: number;
  /** The trial it was measured in. */
  readonly trial: number;
  /** Where every axis stood in that trial. */
  readonly causes: readonly Cause[];
}

/** How much of a spread one axis causes. */
export interface Cost {
  /** The axis in words. */
  readonly name: string;
  /** Correlation of its place with what is measured, −1 to 1: the sign tells which way. */
  readonly correlation: number;
  /**
   * Its square: the share of the variance that a straight line explains. For independent axes and a nearly linear measure these
   * add up to 1; with n trials each is uncertain by some 2/√n.
   */
  readonly share: number;
}

/** What the trials of one check amount to. SI units. */
export interface SpreadCheck extends CheckHeading {
  /** What it measures as designed. */
  readonly nominal: number;
  /** Trials with a value. */
  readonly count: number;
  /** Trials without one. */
  readonly missing: number;
  /** Mean of the trials with a value. */
  readonly mean: number;
  /** Standard deviation. */
  readonly deviation: number;
  /** Quantiles of the trials with a value. */
  readonly quantiles: readonly Quantile[];
  /** The lowest of all trials; absent where none has a value. */
  readonly lowest?: Extreme;
  /** The highest of all trials. */
  readonly highest?: Extreme;
  /** The share of all trials that pass, with Wilson's interval of 95 %. */
  readonly pass: CountedShare;
  /** The axes, costliest first; empty where nothing varies. */
  readonly costs: readonly Cost[];
}

/** What trials amount to. */
export interface Spread {
  /** Title of the design. */
  readonly title: string;
  /** The seed of the random numbers. */
  readonly seed: number;
  /** How many trials. */
  readonly trials: number;
  /** Their numbers. */
  readonly slices: readonly Slice[];
  /** The range of temperatures, where they count. */
  readonly temperature?: Temperatures;
  /** What varied. */
  readonly axes: readonly Axis[];
  /** The result for each check. */
  readonly checks: readonly SpreadCheck[];
  /** Trials in which some check had no value, and why. */
  readonly missing: readonly MissingTrial[];
}

/**
 * Sums up trials.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const { checks } = summarise(trials(design, { trials: 10, seed: 1 }));
 * checks[0].pass.share; // 0.7
 * ```
 */
export function summarise(trials: Trials): Spread {
  handed("trials", trials);
  const { title, seed, slices, temperature, axes, missing } = trials;
  const numbers = trialNumbers(slices);
  const costs = costsOf(trials, numbers);
  return {
    title,
    seed,
    trials: numbers.length,
    slices,
    temperature,
    axes,
    checks: trials.checks.map((_, k) => ({ ...one(trials, k, numbers), costs: costs[k] })),
    missing,
  };
}

function one(trials: Trials, k: number, numbers: readonly number[]): Omit<SpreadCheck, "costs"> {
  const check = trials.checks[k];
  const measured = trials.measured[k];
  let [low, high] = [-1, -1];
  let [count, good] = [0, 0];
  measured.forEach((v, i) => {
    if (judge(v, check.limit).pass) good++;
    if (Number.isNaN(v)) return;
    count++;
    if (low < 0 || v < measured[low]) low = i;
    if (high < 0 || v > measured[high]) high = i;
  });
  const extreme = (i: number): Extreme => {
    const trial = numbers[i];
    const { axes, seed } = trials;
    return { value: measured[i], trial, causes: causesOf(axes, places(axes, seed, trial), check.case) };
  };
  return {
    ...check,
    nominal: trials.nominal[k],
    count,
    missing: measured.length - count,
    ...moments(measured),
    quantiles: quantiles(measured),
    lowest: count > 0 ? extreme(low) : undefined,
    highest: count > 0 ? extreme(high) : undefined,
    pass: wilson(good, measured.length),
  };
}

/** Places on axes, as named values, in a case. */
export function causesOf(axes: readonly Axis[], places: AxisPlaces, caseName: string): Cause[] {
  return axes.flatMap((axis, k): Cause[] => {
    const place = places[k];
    const band = bandIn(axis, caseName);
    if (Number.isNaN(place) || band.low === band.high) return [];
    return [{ name: axisWords(axis), value: valueAt(band, place), unit: axis.unit, place: 2 * place - 1 }];
  });
}

/** By check. One axis at a time is drawn, since there may be very many trials. */
function costsOf({ axes, seed, measured }: Trials, numbers: readonly number[]): Cost[][] {
  const kept = measured.map((values) => values.flatMap((v, i) => (Number.isNaN(v) ? [] : [i])));
  const found = measured.map((): Cost[] => []);
  for (const axis of axes) {
    const drawn = numbers.map((n) => places([axis], seed, n)[0]);
    kept.forEach((list, k) => {
      const correlation = correlated(
        list.map((i) => drawn[i]),
        list.map((i) => measured[k][i]),
      );
      found[k].push({ name: axisWords(axis), correlation, share: correlation * correlation });
    });
  }
  return found.map((costs) => costs.sort((a, b) => b.share - a.share || 0));
}

/** Correlation of two lists (K. Pearson 1895); 0 where one of them does not vary. */
function correlated(x: readonly number[], y: readonly number[]): number {
  const [a, b] = [moments(x), moments(y)];
  if (!(a.deviation > 0 && b.deviation > 0)) return 0;
  let sum = 0;
  for (let i = 0; i < x.length; i++) sum += (x[i] - a.mean) * (y[i] - b.mean);
  return sum / (x.length - 1) / (a.deviation * b.deviation);
}
