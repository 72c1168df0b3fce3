// What happens when something fails: the table that a careful engineer makes by hand. The design and each of its cases are run as
// they are, then with each part open and short, each supply dead, open and low, and each signal stopped, one at a time: as drawn,
// and in every case where a check can change. The same runs in any order and on any thread give the same table; a fault whose
// circuit cannot be simulated is a row with the reason, not an error.

import { asked } from "../base/asked.js";
import { Report } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { CheckSpec, Design } from "../design/design.js";
import { caseLength } from "../design/length.js";
import { checkStructure } from "../design/structure.js";
import { looksUntil, refusalOf } from "../judging/evaluation.js";
import { excerpt } from "../judging/excerpt.js";
import { caseOf } from "../judging/goals.js";
import { Influence } from "../judging/influence.js";
import { exceeded, rated, stress } from "../judging/stresses.js";
import { measureChecks, unmeasured } from "../judging/verify.js";
import { plan, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import type { Aborting } from "../spread/trials.js";
import { blamed, type Excess, type Fault, type FaultTable, type Found, showing, unfaulted } from "./blame.js";
import { type Failure, failuresOf, joinedWith } from "./failures.js";

/** Which faults, and how to run them. */
export interface FaultsOptions {
  /** Names of parts, supplies and signals that fail; default: all. */
  readonly parts?: readonly string[];
  /** False: only the design as drawn; default: its cases as well. */
  readonly cases?: boolean;
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "progress" | "signal" | "stream" | "case">;
  /** Called after each run: how many are done of how many. */
  readonly progress?: (done: number, of: number) => void;
  /** Called with each row as soon as it and those before it are done. */
  readonly row?: (fault: Fault) => void;
  /** Ends the table when aborted; the rows so far are kept. */
  readonly signal?: Aborting;
}

/**
 * The table of faults.
 *
 * @category Faults
 * @example
 * ```ts
 * const table = faults(design, { parts: ["guard"], cases: true });
 * const short = table.faults.find(({ name, kind }) => name === "guard" && kind === "short");
 * short?.shows; // "as drawn"
 * ```
 * @throws DesignError `bad-option` for a part that is not there, or invalid options for the runs
 */
export function faults(design: Design, options: FaultsOptions = {}): FaultTable {
  handed("design", design);
  asked(options, {
    parts: "texts",
    cases: "flag",
    simulate: "object",
    progress: "function",
    row: "function",
    signal: "object",
  });
  const study = new FaultStudy(design, options, options.row);
  const { runs } = study;
  for (let id = 0; id < runs && !options.signal?.aborted; id++) {
    study.take(id, study.perform(id));
    options.progress?.(id + 1, runs);
  }
  return study.table();
}

/** One run to make. */
interface Job {
  readonly failure?: Failure;
  readonly case: string;
  /** The checks that can change, which are measured. */
  readonly checks: readonly CheckSpec[];
}

/** The runs of a table one by one, so that threads can share them, and the rows as they come. */
export class FaultStudy {
  private readonly jobs: Job[] = [];
  /** Index of the first run of each row, then one past the last run. */
  private readonly starts: number[] = [];
  private readonly found = new Map<number, Found>();
  /** How many rows have been told of. */
  private toldOf = 0;
  private readonly until: Fraction;

  /** @throws DesignError `bad-option` */
  constructor(
    private readonly design: Design,
    private readonly options: Pick<FaultsOptions, "parts" | "cases" | "simulate">,
    private readonly told: (fault: Fault) => void = () => undefined,
  ) {
    this.until = plan(design, options.simulate ?? {}).until;
    const failures = failuresOf(design, options.parts);
    const cases = options.cases === false ? [] : design.cases;
    for (const one of [design, ...cases]) this.row([{ case: one.caseName, checks: this.asked(one) }]);
    const reaches = [design, ...cases].map((one) => new Influence(one));
    for (const failure of failures) {
      const jobs = [design, ...cases].flatMap((one, i) => {
        const { checks, ratings } = touched(failure, one, reaches[i]);
        // As drawn each fault is run, if only to see whether it can be.
        return checks.length > 0 || ratings || i === 0 ? [{ failure, case: one.caseName, checks }] : [];
      });
      this.row(jobs);
    }
    this.starts.push(this.jobs.length);
  }

  /** How many runs there are. */
  get runs(): number {
    return this.jobs.length;
  }

  /** Names and kinds of all rows, in their order. */
  get titles(): Pick<Fault, "kind" | "name">[] {
    return this.starts.slice(0, -1).map((start) => this.title(this.jobs[start]));
  }

  /** About how much there is to a run: its checks, and of as many of them what feeds most. */
  weight(id: number): number {
    const { failure, checks } = this.jobs[id];
    const { parts } = this.design;
    return (
      checks.length * (1 + parts.length) + (failure ? joinedWith(this.design, failure.name) : parts.length)
    );
  }

  /** Makes a run; what it finds is plain data. @throws DesignError `bad-option` */
  perform(id: number): Found {
    const { failure, case: name, checks } = this.jobs[id];
    const own = caseOf(this.design, name);
    const one = failure?.on(own) ?? own;
    return found(
      one,
      checks,
      failure ? own.checks : checks,
      failure?.name,
      this.optionsFor(own, failure && checks),
    );
  }

  /** Takes what a run found; tells of the rows that are done, one after the other. */
  take(id: number, one: Found): void {
    this.found.set(id, one);
    for (let row = this.made(this.toldOf); row; row = this.made(this.toldOf)) {
      this.toldOf++;
      this.told(row);
    }
  }

  /** The rows so far. */
  table(): FaultTable {
    const { design } = this;
    const rows = this.starts.flatMap((_, row) => this.made(row) ?? []);
    const own = (row: Fault) => row.checks.every((c) => c.pass || (c.case !== "" && !this.asks(c)));
    return {
      title: design.title,
      faults: rows,
      rated: rated(design),
      missing: this.runs - this.found.size,
      pass:
        rows.length > 0 &&
        rows.every((row) => row.shows !== undefined || own(row)) &&
        rows.every((row) => [row, ...row.cases].every((run) => run.exceeded.length === 0)),
    };
  }

  /** The checks where nothing fails: a case's own, and those of the design as drawn. */
  private asked(own: Design): readonly CheckSpec[] {
    const { design } = this;
    if (own === design) return own.checks;
    return [...design.checks.filter((d) => !own.checks.some((c) => c.name === d.name)), ...own.checks];
  }

  private asks({ name, case: caseName }: { readonly name: string; readonly case: string }): boolean {
    return caseOf(this.design, caseName).checks.some((c) => c.name === name);
  }

  private row(jobs: readonly Job[]): void {
    this.starts.push(this.jobs.length);
    this.jobs.push(...jobs);
  }

  private title({ failure, case: name }: Job): Pick<Fault, "kind" | "name"> {
    if (failure) return { kind: failure.kind, name: failure.name };
    return { kind: name === this.design.caseName ? "as drawn" : "case", name };
  }

  /** A row, once all of its runs and those it is compared with are done. */
  private made(row: number): Fault | undefined {
    const [from, to] = [this.starts[row], this.starts[row + 1]];
    if (from === undefined || to === undefined) return undefined;
    const besides: Found[] = [];
    const runs = this.jobs.slice(from, to).flatMap((job, i) => {
      const one = this.found.get(from + i);
      const beside = this.found.get(this.jobs.findIndex((j) => !j.failure && j.case === job.case));
      if (!one || !beside) return [];
      besides.push(beside);
      const { checks } = caseOf(this.design, job.case);
      return [job.failure ? blamed(one, beside, checks) : unfaulted(one)];
    });
    if (runs.length < to - from) return undefined;
    const title = this.title(this.jobs[from]);
    const [first, ...cases] = runs as [(typeof runs)[0], ...typeof runs];
    const shows = this.jobs[from].failure && showing(runs, besides);
    return { ...title, ...first, cases, shows };
  }

  // A faulted run lasts as long as the one beside it, but no longer than its checks read.
  private optionsFor(own: Design, looked?: readonly CheckSpec[]): SimulateOptions {
    const { simulate: asked } = this.options;
    const whole =
      asked?.until !== undefined || own === this.design ? this.until : caseLength(own, this.until);
    const end = looked && asked?.until === undefined && !rated(own) ? looksUntil(looked) : undefined;
    return { ...asked, until: end?.lt(whole) ? end : whole };
  }
}

/** What can change in a case with a failure: which checks, and whether any rating of another part. */
function touched(
  failure: Failure,
  one: Design,
  influence: Influence,
): { readonly checks: readonly CheckSpec[]; readonly ratings: boolean } {
  if (!failure.on(one)) return { checks: [], ratings: false };
  const failed = one.parts.findIndex((p) => p.name === failure.name);
  const moves = (look: Pick<CheckSpec, "target" | "each">) => influence.of(look, failed)?.has(failed) ?? true;
  const others = one.parts.filter((p) => (p.ratings ?? []).length > 0 && p.name !== failure.name);
  return {
    checks: one.checks.filter(moves),
    ratings: others.some(({ name }) => moves({ target: `${name}.current` })),
  };
}

/** What a run finds. @param specs what is measured, out of `all` */
function found(
  design: Design,
  specs: readonly CheckSpec[],
  all: readonly CheckSpec[],
  failed: string | undefined,
  options: SimulateOptions,
): Found {
  const name = design.caseName;
  // Nothing is known of an invalid circuit.
  const without = (reason: string): Found => {
    const checks = all.map((spec) => unmeasured(spec, name, reason));
    return { case: name, status: "refused", reason, checks, exceeded: [] };
  };
  const refused = structureFault(design);
  if (refused !== undefined) return without(refused);
  try {
    const whole = failed === undefined || rated(design) || options.start !== undefined;
    const run = simulate(whole ? design : excerpt(design, specs, failed), options);
    const over: Excess[] = rated(design) ? exceeded(stress(run)) : [];
    return {
      case: name,
      status: run.status,
      reason: run.reason,
      checks: measureChecks(run, specs),
      exceeded: over.filter(({ part }) => part !== failed),
    };
  } catch (error) {
    return without(refusalOf(error));
  }
}

// What the graph alone can tell; the design as drawn and its cases were checked when they were compiled.
function structureFault(design: Design): string | undefined {
  const report = new Report();
  checkStructure({ names: [...design.places] }, design.parts, report);
  return report.diagnostics.find((d) => d.severity === "error")?.message;
}
