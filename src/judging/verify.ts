// Verdicts: the checks of a run, or of a design and each of its cases on runs of their own.

import { beatOf } from "../assembly/each.js";
import { asked, refuseOption } from "../base/asked.js";
import { DesignError } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import type { CheckSpec, Design, MeasureSpec } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { caseLength } from "../design/length.js";
import { judge, type Worst, worst } from "../measures/verdict.js";
import { measureOver } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import { plan, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import { CheckView } from "./checkview.js";
import { type Traces, tracesOf } from "./traces.js";

/** The result of a check. */
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
   * The first period and what it measures, where it is not counted: its remnant of a steady start is worse than everything later,
   * and nobody asked for that start.
   */
  readonly left?: {
    /** Its number, from 0. */
    readonly period: number;
    /** What was measured in it, in `unit`. */
    readonly measured: number;
  };
  /** Why there is no measured value. */
  readonly reason?: string;
  /** The capture that was measured in place of the run, where the check asks for one. */
  readonly capture?: string;
}

/** How to verify a design. */
export interface VerifyAllOptions {
  /** Options for every run. Its end is that of the design as drawn; a case may last longer, as it says or its checks need. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Called with each run as it ends. */
  readonly ran?: (run: Run) => void;
}

/**
 * Measures and judges every check of the case that was run.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const [first] = verify(run);
 * first.name; // "fills the tube"
 * first.pass; // true
 * ```
 * @returns one result per check, in the order of the text, as plain data
 * @throws DesignError `bad-option` if handed anything but a run
 */
export function verify(run: Run): CheckResult[] {
  handed("run", run);
  return measureChecks(run, run.design.checks);
}

/**
 * Simulates a design as drawn and under every case that has checks, and judges every check.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * verifyAll(design).filter((result) => !result.pass); // []
 * ```
 * @returns one result per check, those of the design as drawn first, then case by case in the order of the text, as plain data
 * @throws DesignError as `simulate`
 */
export function verifyAll(design: Design, options: VerifyAllOptions = {}): CheckResult[] {
  handed("design", design);
  asked(options, { simulate: "object", ran: "function" });
  for (const name of ["case", "stream"])
    if (Object.hasOwn(options.simulate ?? {}, name))
      refuseOption(`simulate.${name}`, "every case is run and judged", "leave it out");
  const { until } = plan(design, options.simulate ?? {});
  const results: CheckResult[] = [];
  for (const one of [design, ...design.cases]) {
    if (one !== design && one.checks.length === 0) continue;
    const length = one === design ? until : caseLength(one, until);
    const run = simulate(one, { ...options.simulate, until: length });
    options.ran?.(run);
    for (const result of measureChecks(run, one.checks)) results.push(result);
  }
  return results;
}

export function measureChecks(run: Run, checks: readonly CheckSpec[]): CheckResult[] {
  const taken = takeAll(run, checks);
  return checks.map((check, i) => judgeTaken(run, check, taken[i]));
}

/** The result of a check that has no measured value. */
export function unmeasured(check: CheckSpec, caseName: string, reason: string): CheckResult {
  return {
    ...headingOf(check, caseName),
    measured: Number.NaN,
    pass: false,
    margin: Number.NaN,
    reason,
  };
}

/**
 * What a check measures, not yet judged: one value, those of periods with the start of each (s), or why there is none. Periods
 * that repeat earlier ones have no value here.
 */
export type Taken =
  | { readonly measured: number }
  | { readonly periods: number; readonly begins: readonly number[]; readonly values: readonly number[] }
  | { readonly reason: string };

/** What checks measure in a run. Their traces are drawn together: a long run is played once, not once per check. */
export function takeAll(run: Run, checks: readonly MeasureSpec[]): Taken[] {
  if (run.recording.count === 0) return checks.map(() => ({ reason: run.reason || "nothing was recorded" }));
  const views = checks.map((check) => new CheckView(run, check));
  // A run that was stopped gives no verdict on what it has not reached, nor on each period of a signal.
  const open = views.filter(
    (view) => !view.beyond && (view.check.each === undefined || run.status !== "stopped"),
  );
  const taken = takeTogether(run, open) ?? open.map((view) => takeTogether(run, [view], true)![0]);
  return views.map((view) => taken[open.indexOf(view)] ?? { reason: run.reason });
}

/** What views measure; undefined where they need more room than there is. @param said return the reason instead of undefined */
function takeTogether(run: Run, views: readonly CheckView[], said = false): Taken[] | undefined {
  try {
    const traces = tracesOf(run, views);
    return views.map((view) => take(view, traces));
  } catch (error) {
    const [found] = error instanceof DesignError ? error.diagnostics : [];
    if (found?.code !== "waveform-too-long" && found?.code !== "bad-option") throw error;
    // A check that asks for too much must not cost the others their verdict.
    return said ? [{ reason: run.reason || `${found.message} (${found.hint})` }] : undefined;
  }
}

/** Measures and judges checks on other traces than the run's own: those that were captured. Periods and times are the run's. */
export function judgeElsewhere(run: Run, checks: readonly CheckSpec[], traces: Traces): CheckResult[] {
  return checks.map((check) => judgeTaken(run, check, take(new CheckView(run, check, true), traces)));
}

function take(view: CheckView, traces: Traces): Taken {
  const { check, measure, output: beside, windows } = view;
  const { through } = check;
  const over = (from?: number, to?: number) => ({
    trace: traces(check.target, from, to),
    output: beside === undefined ? undefined : traces(beside, from, to),
    through,
  });
  if (!windows) return { measured: measureOver(measure, view.whole(over)) };
  const begins: number[] = [];
  const values: number[] = [];
  for (const { from, to, first, end } of windows.batches) {
    const seen = over(from, to);
    for (let i = first; i < end; i++) {
      const window = windows.window(i);
      begins.push(window.begin);
      values.push(measure.take({ ...seen, ...window }));
    }
  }
  return { periods: windows.count, begins, values };
}

export function judgeTaken(run: Run, check: CheckSpec, taken: Taken): CheckResult {
  const heading = headingOf(check, run.design.caseName);
  const none = (reason: string) => unmeasured(check, run.design.caseName, reason);
  if ("reason" in taken) return none(taken.reason);
  if ("measured" in taken) {
    const { measured } = taken;
    if (Number.isNaN(measured)) return none(run.reason || "it does not occur in the span");
    return { ...heading, measured, ...judge(measured, check.limit) };
  }
  const { periods: count, begins, values } = taken;
  const each = check.each!;
  if (run.status === "stopped") return none(run.reason);
  if (values.length === 0) return none(`no whole period of ${each} lies in the span`);
  const all = worst(values, check.limit);
  // A start that nobody asked for does not decide the verdict where later periods can.
  const later = all.index === 0 && values.length > 1 ? worst(values.slice(1), check.limit) : undefined;
  const first = later !== undefined && unlike(all, later);
  const left = first && startShows(run, check, each);
  const found = left ? { ...later, index: later.index + 1 } : all;
  const periods: Pick<CheckResult, "period" | "periods" | "first" | "left"> = {
    period: begins[found.index],
    periods: count - Number(left),
    first: first && !left ? true : undefined,
    left: left ? { period: begins[0], measured: values[0] } : undefined,
  };
  if (Number.isNaN(found.measured)) return { ...none("it does not occur in some period"), ...periods };
  const { measured, pass, margin } = found;
  return { ...heading, measured, pass, margin, ...periods };
}

/**
 * Whether the start may show in the first period: the run starts from a steady state that no signal's past has led to, and
 * neither the check nor a late signal says from when to look.
 */
function startShows({ design, start }: Run, { after }: CheckSpec, each: string): boolean {
  const counted = beatOf(design, each)?.signal.wave;
  const since = counted?.starts;
  return start === "steady" && after === undefined && !(since && since.s * since.n > 0n);
}

// Unlike by more than rounding, as `worst` has it.
function unlike(a: Worst, b: Worst): boolean {
  return (
    Number.isNaN(a.measured) !== Number.isNaN(b.measured) || a.margin < b.margin - 1e-6 * Math.abs(b.margin)
  );
}
