// Sizing: which values meet the goals. One unknown and one goal by the roots of the measure along its range, anything more by
// least squares. Everything measured was simulated.

import { asked, type Given, oneOf, refuseOption, wholeNumber } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed, handedObject } from "../base/handed.js";
import { type Series, seriesNames } from "../base/series.js";
import type { Design, FindSpec } from "../design/design.js";
import { rangeFault } from "../design/finds.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { Evaluator } from "../judging/evaluation.js";
import { type Goal, goalOf, goalsOf } from "../judging/goals.js";
import { settableNamed, settableTo } from "../judging/settable.js";
import type { SimulateOptions } from "../simulation/options.js";
import type { SizingOutcome } from "./outcome.js";
import { Proposer, type Unknown } from "./proposals.js";
import { several } from "./several.js";
import { single } from "./single.js";

/** A value to be found, as a caller names it. */
export interface Sought {
  /** Full name: of a named value (`timing`, `line.timing`), of a part for its value, or of its property (`feed.headroom`). */
  readonly name: string;
  /** Start of the range in which it may lie: text with a unit, or a number in SI units. */
  readonly from: Given;
  /** Its end, above its start. */
  readonly to: Given;
  /** A series of preferred values, `E3` to `E192`. */
  readonly in?: string;
}

/** How to size. */
export interface SizeOptions {
  /** The series for unknowns that name none themselves; without it these get exact values only. */
  readonly in?: string;
  /**
   * How many points of the range are tried before roots are narrowed down, 3 to 1001. Unless given: a handful where the measure
   * is monotone, passes the goal and follows predictions, else 17.
   */
  readonly points?: number;
  /** False: leaves out how far the unknown must reach to make up for all other tolerances. */
  readonly trim?: boolean;
  /** Options for every run; `case` has no meaning here, since goals have cases of their own. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Called after each run with the number of runs so far. */
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
  /** In the design. */
  readonly nominal: number;
  /** The series of preferred values, where one was named. */
  readonly series?: string;
}

/** A goal that it was sought for. */
export interface SizedGoal extends CheckHeading {
  /** The value sought. */
  readonly aim: number;
}

/** The result of sizing. All values in SI units. */
export interface Sizing extends SizingOutcome {
  /** What was sought, in the order asked. */
  readonly unknowns: readonly SizedUnknown[];
  /** The goals, in the order asked for. */
  readonly goals: readonly SizedGoal[];
  /** Number of simulations that it took. */
  readonly runs: number;
  /** How many of them stopped early. */
  readonly stopped: number;
}

/** What to find: a `find` of a design, or unknowns and goals by name. */
export type ToFind = FindSpec | NamedSearch;

/** Unknowns and goals, as a caller names them. */
export interface NamedSearch {
  /** What may be changed. */
  readonly unknowns: readonly Sought[];
  /** Names of checks. */
  readonly goals: readonly string[];
}

/**
 * Finds values of a design so that checks measure what they aim at: what `is` names, the middle of `between`, the bound of
 * `below` and `above`.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const [{ status, answers }] = size(design, { in: "E24" });
 * status; // "found"
 * ```
 * @returns one sizing for each `find` of the design, in the order of the text; a single one where `sought` is given
 * @throws DesignError where what is sought is invalid: `no-unknown`, `unknown-value`, `unknown-check`, `bad-option`, ...
 */
export function size(design: Design, options?: SizeOptions): Sizing[];
/**
 * The same for one thing to be found.
 * @param sought a `find` of the design (`design.finds`), or unknowns and goals by name
 */
export function size(design: Design, sought: ToFind, options?: SizeOptions): Sizing;
export function size(
  design: Design,
  given: ToFind | SizeOptions = {},
  also?: SizeOptions,
): Sizing | Sizing[] {
  handed("design", design);
  handedObject(given, "options");
  if (also !== undefined || "unknowns" in given || "goals" in given)
    return sized(design, given as ToFind, also ?? {});
  if (design.finds.length === 0)
    refuseOption("design", "it has no 'find'", "say what to find: unknowns and goals");
  return design.finds.map((find) => sized(design, find, given as SizeOptions));
}

function sized(design: Design, sought: ToFind, options: SizeOptions): Sizing {
  asked<object>(sought, { unknowns: "object", goals: "object", span: "object" });
  asked(options, { in: "text", points: "number", trim: "flag", simulate: "object", progress: "function" });
  const series = options.in === undefined ? undefined : oneOf<Series>("in", options.in, seriesNames);
  const { points, trim = true } = options;
  if (points !== undefined) wholeNumber("points", points, 3, 1001);
  if (!(sought.unknowns?.length > 0)) refuseOption("unknowns", "there is no value to find");
  if (!(sought.goals?.length > 0)) refuseOption("goals", "there is no goal");
  const unknowns = sought.unknowns.map((u, i): Unknown => {
    if (sought.unknowns.slice(0, i).some((other) => other.name === u.name))
      refuseOption("unknowns", `'${u.name}' is to be found twice`);
    const unknown = unknownOf(design, u);
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

function unknownOf(design: Design, u: FindSpec["unknowns"][number] | Sought): Unknown {
  const found = settableNamed(design, u.name, "unknowns");
  const from = settableTo(found, u.from, `${u.name}: from`);
  const to = settableTo(found, u.to, `${u.name}: to`);
  const word = "in" in u ? u.in : "series" in u ? u.series : undefined;
  const series = word === undefined ? undefined : oneOf<Series>("unknowns", word, seriesNames);
  const fault = rangeFault(from, to, series !== undefined);
  if (fault) refuseOption("unknowns", `the range of '${u.name}' ${fault.reason}`);
  const { amount, range } = found;
  return { name: u.name, dimension: amount.dimension, nominal: amount.value, from, to, range, series };
}
