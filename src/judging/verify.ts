// Verdicts: every check of every case, measured on runs of their own.

import { beatOf } from "../assembly/each.js";
import { asked } from "../base/asked.js";
import type { CheckSpec } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { judge, type Worst, worst } from "../measures/verdict.js";
import type { Run } from "../reading/result.js";
import { caseLength } from "../simulation/length.js";
import type { SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import { outputOf, type Traces, tracesOf } from "./traces.js";
import { Windows } from "./windows.js";

/** What a check found. */
export interface CheckResult extends CheckHeading {
  /** SI units; of many periods the one closest to its limit, or farthest beyond. NaN when it did not occur. */
  readonly measured: number;
  /** True within the limit, bounds included. */
  readonly pass: boolean;
  /** Distance to the nearest bound as a share of the allowed band or bound; negative beyond it. */
  readonly margin: number;
  /** Start of the period measured, s, where a check is asked of each period. */
  readonly period?: number;
  /** How many periods were measured. */
  readonly periods?: number;
  /** True where the period that decides is the first, and worse than all that come later. */
  readonly first?: true;
  /**
   * The first period of all and what it measures, where it is not counted: what a steady start leaves in it is worse than
   * all that comes later, and nobody asked for that start.
   */
  readonly left?: {
    /** Its number, from 0. */
    readonly period: number;
    /** What was measured in it, in `unit`. */
    readonly measured: number;
  };
  /** Why there is no measured value. */
  readonly reason?: string;
}

/** How to verify. */
export interface VerifyOptions {
  /** False: only the checks of the run's own case. Default: all cases, each simulated with the options given. */
  readonly cases?: boolean;
  /** Options for the runs of the cases. */
  readonly simulate?: SimulateOptions;
  /** Told of each further run as it ends. */
  readonly ran?: (run: Run) => void;
}

/** Measures and judges every check of a run, then simulates every case of its design and does the same there. */
export function verify(run: Run, options: VerifyOptions = {}): CheckResult[] {
  asked(options, { cases: "flag", simulate: "object", ran: "function" });
  const results = measureAll(run);
  if (options.cases === false) return results;
  for (const design of run.design.cases) {
    if (design.checks.length === 0) continue;
    const other = simulate(design, { until: caseLength(design, run.assembly.until), ...options.simulate });
    options.ran?.(other);
    results.push(...measureAll(other));
  }
  return results;
}

function measureAll(run: Run): CheckResult[] {
  return measureChecks(run, run.design.checks);
}

/** Measures and judges checks on a run, their traces in one go: a long run is played once, not once a check. */
export function measureChecks(run: Run, checks: readonly CheckSpec[]): CheckResult[] {
  const traces = tracesOf(run, checks);
  return checks.map((check) => judgeTaken(run, check, take(run, check, traces)));
}

/** Measures and judges one check on a run. */
export function measureCheck(run: Run, check: CheckSpec): CheckResult {
  return measureChecks(run, [check])[0];
}

/**
 * What a check measures, not yet judged: one value, those of periods with the start of each (s), or why there is none. Of
 * periods that show what others before them have shown there is no value.
 */
export type Taken =
  | { readonly measured: number }
  | { readonly periods: number; readonly begins: readonly number[]; readonly values: readonly number[] }
  | { readonly reason: string };

/** Measures a check. @param traces gives the traces that it looks at, as `tracesOf` has them */
export function take(run: Run, check: CheckSpec, traces: Traces): Taken {
  if (run.recording.count === 0) return { reason: run.reason || "nothing was recorded" };
  const beside = outputOf(run, check);
  const { measure, through, each } = check;
  if (each !== undefined)
    return eachPeriod(run, check, each, (from, to) => {
      const trace = traces(check.target, from, to);
      const output = beside === undefined ? undefined : traces(beside, from, to);
      return (window) =>
        measure.take({ trace, ...(through && { through }), ...(output && { output }), ...window });
    });
  const trace = traces(check.target);
  const output = beside === undefined ? undefined : traces(beside);
  const measured = measure.take({
    trace,
    from: check.after ?? trace.from,
    to: check.before ?? run.until,
    ...(through && { through }),
    ...(output && { output }),
    ...(check.at !== undefined && { at: check.at }),
  });
  return { measured };
}

/** Judges what a check measured. */
export function judgeTaken(run: Run, check: CheckSpec, taken: Taken): CheckResult {
  const head = headingOf(check, run.design.caseName);
  const none = (reason: string): CheckResult => ({
    ...head,
    measured: Number.NaN,
    pass: false,
    margin: Number.NaN,
    reason,
  });
  if ("reason" in taken) return none(taken.reason);
  if ("measured" in taken) {
    const { measured } = taken;
    if (Number.isNaN(measured)) return none(run.reason || "it does not occur in the span");
    return { ...head, measured, ...judge(measured, check.limit) };
  }
  const { periods: count, begins, values } = taken;
  const each = check.each!;
  if (run.status === "stopped") return none(run.reason);
  if (values.length === 0) return none(`no whole period of ${each} lies in the span`);
  const all = worst(values, check.limit);
  // A start that nobody asked for decides no verdict where later periods can.
  const later = all.index === 0 && values.length > 1 ? worst(values.slice(1), check.limit) : undefined;
  const first = later !== undefined && unlike(all, later);
  const left = first && startShows(run, check, each);
  const found = left ? { ...later, index: later.index + 1 } : all;
  const periods: Pick<CheckResult, "period" | "periods" | "first" | "left"> = {
    period: begins[found.index],
    periods: count - Number(left),
    ...(first && !left && { first: true }),
    ...(left && { left: { period: begins[0], measured: values[0] } }),
  };
  if (Number.isNaN(found.measured)) return { ...none("it does not occur in some period"), ...periods };
  const { measured, pass, margin } = found;
  return { ...head, measured, pass, margin, ...periods };
}

/**
 * The measure of whole periods in the check's span, with the start of each, s.
 * @param over gives what measures the windows between two instants
 */
function eachPeriod(
  run: Run,
  check: CheckSpec,
  each: string,
  over: (from: number, to: number) => (window: { from: number; to: number; at?: number }) => number,
): Taken {
  const windows = new Windows(run, check, each);
  const begins: number[] = [];
  const values: number[] = [];
  for (const row of windows.rows) {
    const measure = over(row.from, row.to);
    for (let i = row.first; i < row.end; i++) {
      const { begin, ...window } = windows.window(i);
      begins.push(begin);
      values.push(measure(window));
    }
  }
  return { periods: windows.count, begins, values };
}

/**
 * Whether what stands at the beginning of the first period may be left from the start: the run starts from a steady state
 * that no signal's past has led to, and neither the check nor a signal that starts later says from when on to look.
 */
function startShows({ design, start }: Run, { after }: CheckSpec, each: string): boolean {
  const counted = beatOf(design, each)?.signal.wave;
  const since = counted?.starts;
  return start === "steady" && after === undefined && !(since && since.s * since.n > 0n);
}

// The same but for rounding, as `worst` has it.
function unlike(a: Worst, b: Worst): boolean {
  return (
    Number.isNaN(a.measured) !== Number.isNaN(b.measured) || a.margin < b.margin - 1e-6 * Math.abs(b.margin)
  );
}
