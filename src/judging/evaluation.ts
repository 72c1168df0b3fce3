// What checks measure when a design has other values: one run for each case that they belong to. Values that make an invalid
// design, or a run that stops, are no error: the checks of that case then have a reason instead of a measured value.
import { DesignError } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import { asWritten } from "../base/quantity.js";
import { aimOf, type CheckSpec, type Design, type Setting } from "../design/design.js";
import { caseLength, defaultLength } from "../design/length.js";
import { revalued } from "../design/revalue.js";
import type { Run } from "../reading/result.js";
import type { SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import { excerpt } from "./excerpt.js";
import { caseOf, type Goal } from "./goals.js";
import { type CheckResult, judgeTaken, type Taken, takeAll, unmeasured } from "./verify.js";

/** Exact values, SI, by full name. */
export type ExactValues = ReadonlyMap<string, Fraction>;

/** The evaluation of a goal. */
export interface Evaluation {
  /** As a check gives it: of many periods the worst. */
  readonly result: CheckResult;
  /**
   * What is to meet the aim, SI: of many periods the highest where the limit is `below`, the lowest where it is `above`, else the
   * middle of both. Unlike the worst period it does not jump from one side to the other. It is less by `moved`.
   */
  readonly value: number;
  /** How far the values move what is aimed at, SI: more than nothing only where the limit is made of them, and moves with them. */
  readonly moved: number;
}

/** How to evaluate goals. */
interface EvaluationOptions {
  /** Options for every run. */
  readonly simulate?: SimulateOptions;
  /** Called with each run as it ends. */
  readonly ran?: (run: Run) => void;
  /** A case to run even if no goal belongs to it; all parts are then run, since anything may be read. */
  readonly also?: string;
  /** True: end a run at the last instant that any of its goals reads. */
  readonly brief?: boolean;
  /** True: a limit that is made of values moves with them; else it stays as the text has it, as what a tolerance moves must. */
  readonly moving?: boolean;
}

/** Evaluates the goals of a design at other values. Cached per set of values. */
export class Evaluator {
  /** Simulations so far. */
  runs = 0;
  /** How many of them stopped early. */
  stopped = 0;
  private readonly known = new Map<string, readonly Evaluation[]>();

  constructor(
    readonly design: Design,
    readonly goals: readonly Goal[],
    private readonly options: EvaluationOptions,
  ) {}

  /**
   * What the goals measure with these values, in their order. Limits that are made of them move with them, unless others are given.
   * @param besides further values, also in cases that set them: what a tolerance makes of them
   */
  at(values: ExactValues, besides?: ExactValues): readonly Evaluation[] {
    const named = (all: ExactValues) =>
      [...all].map(([name, value]) => `${name}=${value.toFraction()}`).sort();
    const key = [values, besides].map((all) => all && named(all).join(" ")).join(";");
    const known = this.known.get(key);
    if (known) return known;
    const ran = (run: Run) => {
      this.runs++;
      if (run.status === "stopped") this.stopped++;
      this.options.ran?.(run);
    };
    const options = { ...this.options, ran, moving: !besides };
    const all = besides ? new Map([...anywhere(besides), ...values]) : values;
    const found = evaluateGoals(this.design, this.goals, all, options);
    this.known.set(key, found);
    return found;
  }
}

/** Values as settings that hold in cases that set them as well. */
export function anywhere(values: ExactValues): ReadonlyMap<string, Setting> {
  return new Map([...values].map(([name, value]) => [name, () => value]));
}

/** What goals measure when a design has other values, in their order. */
export function evaluateGoals(
  design: Design,
  goals: readonly Goal[],
  values: ReadonlyMap<string, Setting>,
  options: EvaluationOptions = {},
): readonly Evaluation[] {
  const cases = new Set(goals.map((g) => g.case));
  if (options.also !== undefined) cases.add(options.also);
  const made = remade(design, values, [...cases]);
  const found = new Map<Goal, Evaluation>();
  for (const name of cases) {
    const asked = goals.filter((g) => g.case === name);
    const own = attempted(asked, () => evaluateCase(made(name), asked, options));
    for (const [i, goal] of asked.entries()) found.set(goal, own[i]);
  }
  return goals.map((goal) => found.get(goal)!);
}

/** A design under one case, and the length of its run, s. */
interface Remade {
  readonly one: Design;
  readonly length: Fraction;
}

/** The design with other values under each of some cases. Where they are invalid together each case is made on its own. */
function remade(
  design: Design,
  values: ReadonlyMap<string, Setting>,
  cases: readonly string[],
): (name: string) => Remade {
  let whole: Design | undefined;
  try {
    whole = revalued(design, values, cases);
  } catch (error) {
    refusalOf(error);
  }
  return (name) => {
    const one = whole ? caseOf(whole, name) : revalued(caseOf(design, name), values, []);
    if (name === design.caseName) return { one, length: one.run.length ?? defaultLength(one) };
    return { one, length: caseLength(one, defaultLength(whole ?? design)) };
  };
}

function attempted(goals: readonly Goal[], action: () => Evaluation[]): Evaluation[] {
  try {
    return action();
  } catch (error) {
    const reason = refusalOf(error);
    return goals.map(({ spec, case: name }) => ({
      result: unmeasured(spec, name, reason),
      value: Number.NaN,
      moved: 0,
    }));
  }
}

function evaluateCase(made: Remade, goals: readonly Goal[], options: EvaluationOptions): Evaluation[] {
  const { one } = made;
  const run = runOf(
    made,
    goals.map((g) => g.spec),
    options,
  );
  options.ran?.(run);
  const specs = goals.map(({ spec }) => {
    const own = one.checks.find((c) => c.name === spec.name);
    return own && options.moving ? own : { ...(own ?? spec), limit: spec.limit, aim: spec.aim };
  });
  const taken = takeAll(run, specs);
  return specs.map((spec, i) => {
    const { result, value } = evaluationOf(run, spec, taken[i]);
    const moved = aimOf(spec) - goals[i].aim;
    return { result, value: value - moved, moved };
  });
}

/** Why a design is invalid; rethrows anything else, and invalid options. */
export function refusalOf(error: unknown): string {
  if (!(error instanceof DesignError) || error.diagnostics.some((d) => d.code === "bad-option")) throw error;
  return error.diagnostics[0].message;
}

function runOf({ one, length }: Remade, asked: readonly CheckSpec[], options: EvaluationOptions): Run {
  const { simulate: given = {}, also, brief } = options;
  const end = brief ? looksUntil(asked) : undefined;
  const until = given.until ?? (end?.lt(length) ? end : length);
  const all = given.start !== undefined || also !== undefined;
  return simulate(all ? one : excerpt(one, asked), { ...given, until });
}

/** The instant (s) after which none of the checks reads; undefined where one reads to the end. */
export function looksUntil(specs: readonly CheckSpec[]): Fraction | undefined {
  const ends = specs.map(
    ({ before, at, each, measure }) =>
      before ?? (each === undefined && measure.needs === "at" ? at : undefined),
  );
  if (ends.length === 0 || ends.some((end) => !(end !== undefined && end > 0))) return undefined;
  return asWritten(Math.max(...(ends as number[])));
}

function evaluationOf(run: Run, spec: CheckSpec, taken: Taken): Omit<Evaluation, "moved"> {
  const result = judgeTaken(run, spec, taken);
  const { low, high } = spec.limit;
  // One value, or one bound, for which the worst period is already the highest or the lowest.
  if (spec.each === undefined || low === undefined || high === undefined || Number.isNaN(result.measured))
    return { result, value: result.measured };
  const bound = aimOf(spec) || high;
  const most = judgeTaken(run, { ...spec, limit: { high: bound } }, taken).measured;
  const least = judgeTaken(run, { ...spec, limit: { low: bound } }, taken).measured;
  return { result, value: (most + least) / 2 };
}
