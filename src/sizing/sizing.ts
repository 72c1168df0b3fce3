// Sizing: which values meet the goals. One unknown and one goal by the roots of the measure along its range, anything more
// by least squares.
// Takes a design and what is sought; gives the answers, what can be bought for them, and the best that was reached where
// there is none. Always plain data; the same design and question give the same bits; whatever is measured was simulated.

import { asked, exactly, type Given, refuseOption, wholeNumber } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { didYouMean, didYouMeanOneOf } from "../base/nearest.js";
import { quantity, show } from "../base/quantity.js";
import { readSeries, seriesNames } from "../base/series.js";
import type { Design, FindSpec } from "../design/design.js";
import { rangeFault } from "../design/finds.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { type SettableValue, settableValues } from "../design/revalue.js";
import { Evaluator } from "../judging/evaluation.js";
import { type Goal, goalOf, goalsOf } from "../judging/goals.js";
import { inRange, rangeText } from "../parts/contract.js";
import type { SimulateOptions } from "../simulation/options.js";
import type { SizingOutcome } from "./outcome.js";
import { Proposer, type Unknown } from "./proposals.js";
import { several } from "./several.js";
import { single } from "./single.js";

/** A value to be found, as a caller names it. */
export interface Sought {
  /** Full name: of a named value (`timing`, `line.timing`), of a part for its value, or of its property (`feed.headroom`). */
  readonly name: string;
  /** The range in which it may lie: text with a unit, or a number in SI units. */
  readonly from: Given;
  /** Its end, above its start. */
  readonly to: Given;
  /** A series of preferred values, `E3` to `E192`. */
  readonly in?: string;
}

/** How to size. */
export interface SizeOptions {
  /** The series of unknowns that name none themselves; without it these are given exactly alone. */
  readonly in?: string;
  /**
   * How many points of the range are looked at before roots are narrowed down, 3 to 1001. Unless given: a handful where the
   * measure passes the goal once, rising or falling throughout and as foretold, else 17.
   */
  readonly points?: number;
  /** False: leaves out how far the unknown must reach to make up for the tolerances of everything else. */
  readonly trim?: boolean;
  /** Options for every run; `case` has no meaning here, since goals stand in cases of their own. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Told of the number of runs so far, after each. */
  readonly progress?: (runs: number) => void;
}

/** A value that was sought. */
export interface SizedUnknown {
  /** Its full name. */
  readonly name: string;
  /** Its SI unit. */
  readonly unit: string;
  /** Start of the range allowed. */
  readonly from: number;
  /** End of the range allowed. */
  readonly to: number;
  /** As the design has it. */
  readonly nominal: number;
  /** The series of preferred values, where one was named. */
  readonly series?: string;
}

/** A goal it was sought for. */
export interface SizedGoal extends CheckHeading {
  /** The value sought. */
  readonly aim: number;
}

/** What sizing found. All values in SI units. */
export interface Sizing extends SizingOutcome {
  /** What was sought, in the order asked. */
  readonly unknowns: readonly SizedUnknown[];
  /** What for, in the order asked. */
  readonly goals: readonly SizedGoal[];
  /** Simulations that it took. */
  readonly runs: number;
  /** How many of them stopped early. */
  readonly stopped: number;
}

/**
 * Finds values of a design so that checks measure what they aim at: what `is` names, the middle of `between`, the bound of
 * `below` and `above`.
 * @param sought a `find` of the design (`design.finds`), or unknowns and goals by name
 * @throws DesignError where what is sought makes no sense: `no-unknown`, `unknown-value`, `unknown-check`, `bad-option`, ...
 */
export function size(
  design: Design,
  sought: FindSpec | { readonly unknowns: readonly Sought[]; readonly goals: readonly string[] },
  options: SizeOptions = {},
): Sizing {
  asked(options, { in: "text", points: "number", trim: "flag", simulate: "object", progress: "function" });
  const series = options.in === undefined ? undefined : seriesOf("in", options.in);
  const { points, trim = true } = options;
  if (points !== undefined) wholeNumber("points", points, 3, 1001);
  if (sought.unknowns.length === 0) refuseOption("unknowns", "there is no value to find");
  if (sought.goals.length === 0) refuseOption("goals", "there is no goal");
  const known = settableValues(design);
  const unknowns = sought.unknowns.map((u, i): Unknown => {
    if (sought.unknowns.slice(0, i).some((other) => other.name === u.name))
      refuseOption("unknowns", `'${u.name}' is to be found twice`);
    const unknown = unknownOf(u, known);
    return series && !unknown.series ? { ...unknown, series } : unknown;
  });
  const goals = sought.goals.flatMap((g): Goal[] =>
    typeof g === "string" ? goalsOf(design, [g]) : [goalOf(design, g)],
  );
  const evaluator = new Evaluator(design, goals, {
    simulate: options.simulate,
    ran: () => options.progress?.(evaluator.runs),
    brief: true,
  });
  const proposer = new Proposer(evaluator, unknowns);
  const outcome =
    unknowns.length === 1 && goals.length === 1 ? single(proposer, points, trim) : several(proposer);
  return {
    ...outcome,
    unknowns: unknowns.map((u) => ({
      name: u.name,
      unit: unitOf(u.dimension),
      from: toNumber(u.from),
      to: toNumber(u.to),
      nominal: toNumber(u.nominal),
      series: u.series,
    })),
    goals: goals.map(({ spec, case: name, aim }) => ({ ...headingOf(spec, name), aim })),
    runs: evaluator.runs,
    stopped: evaluator.stopped,
  };
}

function unknownOf(
  u: FindSpec["unknowns"][number] | Sought,
  known: ReadonlyMap<string, SettableValue>,
): Unknown {
  const found = known.get(u.name);
  if (!found)
    return refuseOption("unknowns", `no value is called '${u.name}'`, didYouMean(u.name, known.keys()));
  const { amount, range } = found;
  const end = (given: Given, which: string): Fraction => {
    const value = exactly(given, amount.dimension, `${u.name}: ${which}`);
    if (inRange(value, range)) return value;
    const shown = show(quantity(value, amount.dimension));
    return refuseOption(
      "unknowns",
      `the range of '${u.name}' reaches to ${shown}, allowed is ${rangeText[range]}`,
    );
  };
  const [from, to] = [end(u.from, "from"), end(u.to, "to")];
  const word = "in" in u ? u.in : "series" in u ? u.series : undefined;
  const series = word === undefined ? undefined : seriesOf("unknowns", word);
  const fault = rangeFault(from, to, series !== undefined);
  if (fault) refuseOption("unknowns", `the range of '${u.name}' ${fault.reason}`);
  return {
    name: u.name,
    dimension: amount.dimension,
    nominal: amount.value,
    from,
    to,
    range,
    series,
  };
}

function seriesOf(option: string, word: string) {
  return (
    readSeries(word) ??
    refuseOption(
      option,
      `there is no series '${word}' of preferred values`,
      didYouMeanOneOf(word, seriesNames),
    )
  );
}
