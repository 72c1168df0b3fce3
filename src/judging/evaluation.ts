// What checks measure when values of a design are others: one run for each case and set of values, never the same twice.
// Takes a design and its goals; gives a result for each goal at any values. Always: values that make no sound design, or a
// run that stops, give results without a measured value and with the reason, never an error.
import { DesignError } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import { asWritten } from "../base/quantity.js";
import { aimOf, type CheckSpec, type Design, type Setting } from "../design/design.js";
import { headingOf } from "../design/heading.js";
import { revalued } from "../design/revalue.js";
import type { Run } from "../reading/result.js";
import { caseLength, defaultLength } from "../simulation/length.js";
import type { SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import type { Trace } from "../waveforms/trace.js";
import { excerpt } from "./excerpt.js";
import { caseOf, type Goal } from "./goals.js";
import { tracesOf } from "./traces.js";
import { type CheckResult, judgeTaken, take } from "./verify.js";

/** Exact values, SI, by full name. */
export type Values = ReadonlyMap<string, Fraction>;

/** What a goal comes to. */
export interface Reading {
  /** As a check has it: of many periods the worst. */
  readonly result: CheckResult;
  /**
   * What is to come to the aim, SI: of many periods the highest where the limit is `below`, the lowest where it is `above`,
   * else the middle between both. Unlike the worst period it does not jump from one side to the other.
   */
  readonly value: number;
}

/** Measures the goals of a design under other values. */
export class Gauge {
  /** Simulations so far. */
  runs = 0;
  /** Those of them that stopped early. */
  stopped = 0;
  private readonly seen = new Map<string, readonly Reading[]>();

  constructor(
    readonly design: Design,
    readonly goals: readonly Goal[],
    private readonly options: SimulateOptions,
    private readonly told: (runs: number, run: Run) => void = () => undefined,
    /** A case to run though no goal may stand in it. */
    private readonly also?: string,
    /** True: a run ends where nothing that comes later is looked at. */
    private readonly brief = false,
  ) {}

  /** What the goals measure with these values, in their order. */
  at(values: Values): readonly Reading[] {
    const key = [...values]
      .map(([name, value]) => `${name}=${value.toFraction()}`)
      .sort()
      .join(" ");
    const known = this.seen.get(key);
    if (known) return known;
    const results = this.measure(values);
    this.seen.set(key, results);
    return results;
  }

  private measure(values: Values): readonly Reading[] {
    const { design, goals, options, also, brief } = this;
    const ran = (run: Run) => {
      this.runs++;
      if (run.status === "stopped") this.stopped++;
      this.told(this.runs, run);
    };
    return readings(design, goals, values, options, ran, { also, brief });
  }
}

/**
 * What goals measure when values of a design are others: one run for each case that they stand in.
 * @param how `also`: a case to run though no goal may stand in it; `brief`: runs end where nothing later is looked at
 */
export function readings(
  design: Design,
  goals: readonly Goal[],
  values: ReadonlyMap<string, Setting>,
  options: SimulateOptions,
  ran: (run: Run) => void = () => undefined,
  how: { readonly also?: string | undefined; readonly brief?: boolean } = {},
): readonly Reading[] {
  try {
    const cases = new Set(goals.map((g) => g.case));
    if (how.also !== undefined) cases.add(how.also);
    const made = revalued(design, values, [...cases]);
    const runs = new Map(
      [...cases].map((name) => {
        const asked = goals.filter((g) => g.case === name).map((g) => g.spec);
        const end = how.brief ? looksUntil(asked) : undefined;
        return [name, runOf(made, name, options, end, how.also === undefined ? asked : [])];
      }),
    );
    for (const run of runs.values()) ran(run);
    // A limit may be made of values too, but the goal is that of the text.
    const specs = goals.map(({ spec, case: name }) => {
      const own = runs.get(name)!.design.checks.find((c) => c.name === spec.name);
      return { ...(own ?? spec), limit: spec.limit };
    });
    const traces = new Map(
      [...runs].map(([name, run]) => [
        name,
        tracesOf(
          run,
          specs.filter((_, i) => goals[i].case === name),
        ),
      ]),
    );
    return goals.map(({ case: name }, i) => readingOf(runs.get(name)!, specs[i], traces.get(name)!));
  } catch (error) {
    if (!(error instanceof DesignError) || error.diagnostics.some((d) => d.code === "bad-option"))
      throw error;
    return goals.map((goal) => unmeasured(goal, error.diagnostics[0].message));
  }
}

// @param asked the checks that are looked at, where nothing else is
function runOf(
  design: Design,
  name: string,
  options: SimulateOptions,
  end: Fraction | undefined,
  asked: readonly CheckSpec[],
): Run {
  const one = caseOf(design, name);
  const own =
    one === design ? (one.run.length ?? defaultLength(one)) : caseLength(one, defaultLength(design));
  const until = options.until ?? (end?.lt(own) ? end : own);
  const needed = options.start === undefined ? excerpt(one, asked) : one;
  return simulate(needed, { ...options, ...(until !== undefined && { until }) });
}

/** The instant (s) behind which none of the checks looks; undefined where one looks to the end. */
export function looksUntil(specs: readonly CheckSpec[]): Fraction | undefined {
  const ends = specs.map(
    ({ before, at, each, measure }) =>
      before ?? (each === undefined && measure.needs === "at" ? at : undefined),
  );
  if (ends.length === 0 || ends.some((end) => !(end !== undefined && end > 0))) return undefined;
  return asWritten(Math.max(...(ends as number[])));
}

function readingOf(run: Run, spec: CheckSpec, traces: (name: string) => Trace): Reading {
  const taken = take(run, spec, traces);
  const result = judgeTaken(run, spec, taken);
  const { low, high } = spec.limit;
  // One value, or one bound, whose worst is the highest or the lowest already.
  if (spec.each === undefined || low === undefined || high === undefined || Number.isNaN(result.measured))
    return { result, value: result.measured };
  const bound = aimOf(spec) || high;
  const most = judgeTaken(run, { ...spec, limit: { high: bound } }, taken).measured;
  const least = judgeTaken(run, { ...spec, limit: { low: bound } }, taken).measured;
  return { result, value: (most + least) / 2 };
}

/** The result of a goal of which there is no run. */
export function unmeasured({ spec, case: name }: Pick<Goal, "spec" | "case">, reason: string): Reading {
  const result = {
    ...headingOf(spec, name),
    measured: Number.NaN,
    pass: false,
    margin: Number.NaN,
    reason,
  };
  return { result, value: Number.NaN };
}
