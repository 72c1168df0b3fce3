/**
 * Tests that explain themselves, for any runner: each function says whether something holds and, in words, what was measured,
 * what it must be, by what margin, when, and how the trace runs there. `rampwright/vitest` offers the same as matchers.
 *
 * @module rampwright/testing
 */

import { exactly, type Given, refuseOption } from "../base/asked.js";
import { type Dimension, dimension, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed, handedText } from "../base/handed.js";
import { readOnce } from "../base/legible.js";
import { didYouMean } from "../base/nearest.js";
import { engineering, readQuantity } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import { headingOf } from "../design/heading.js";
import { measureOf, measureSpec } from "../judging/measuring.js";
import { type CheckResult, verify, verifyAll } from "../judging/verify.js";
import { judge, worst } from "../measures/verdict.js";
import { Run } from "../reading/result.js";
import { limitText, marginText, measuredText, noteText } from "../report/verdicts.js";
import { type Decisive, shownAt } from "./shown.js";

/** Whether something holds, with words that say why not, or what was measured if it does. */
export interface Finding {
  /** Whether it holds. */
  readonly pass: boolean;
  /** What was measured, and what it must be. */
  readonly message: string;
}

/**
 * Whether every check passes: all checks of a run, or of a design and all its cases.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const { pass, message } = allPass(design);
 * pass; // true
 * ```
 * @throws DesignError as `simulate`
 */
export function allPass(subject: Design | Run): Finding {
  const { results, runs } = judged(subject);
  if (results.length === 0) return { pass: false, message: "there is no check, so that nothing is proved" };
  const failed = results.filter((r) => !r.pass);
  if (failed.length === 0) return { pass: true, message: results.map(line).join("\n") };
  const which = results.length === 1 ? "The one check" : `${failed.length} of ${results.length} checks`;
  const head = `${which} ${failed.length === 1 ? "fails" : "fail"}`;
  return { pass: false, message: [head, ...failed.map((r) => explained(r, runs))].join("\n\n") };
}

/**
 * Whether a check passes wherever it applies: in a run, or in a design and all its cases.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const { pass, message } = checkPasses(run, "fills the tube");
 * pass; // true
 * ```
 * @throws DesignError `bad-option` for a name that no check has; otherwise as `simulate`
 */
export function checkPasses(subject: Design | Run, name: string): Finding {
  handedText(name, "name");
  const { results, runs } = judged(subject);
  const own = results.filter((r) => r.name === name);
  const names = results.map((r) => r.name);
  if (own.length === 0) refuseOption("name", `no check is called "${name}"`, didYouMean(name, names, '"'));
  const failed = own.filter((r) => !r.pass);
  const told = failed.length > 0 ? failed.map((r) => explained(r, runs)) : own.map(line);
  return { pass: failed.length === 0, message: told.join("\n\n") };
}

/**
 * Whether the value that a phrase measures lies between two others, both included; with `each`, in every period.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const { pass, message } = measuresWithin(run, "peak of ramp each gate", "3.83 V", "4.07 V");
 * pass; // true
 * ```
 * @param low text with a unit, or a number in SI units; likewise `high`
 * @throws DesignError for a phrase that makes no sense, `bad-option` for bounds of another dimension
 */
export function measuresWithin(run: Run, phrase: string, low: Given, high: Given): Finding {
  handed("run", run);
  handedText(phrase, "phrase");
  const spec = measureSpec(run, phrase);
  const limit = { low: inUnit(low, spec.unit, "low"), high: inUnit(high, spec.unit, "high") };
  if (limit.low > limit.high) refuseOption("low", "it lies above 'high'");
  const { value, instant, periods, reason } = measureOf(run, spec);
  const check = { ...spec, name: phrase, limit };
  const most =
    periods &&
    worst(
      periods.map((p) => p.value),
      limit,
    );
  const decides = most && periods[most.index];
  const measured = decides?.value ?? value;
  // A run that stopped early has shown only some of its periods.
  const verdict = periods && run.status === "stopped" ? judge(Number.NaN, limit) : judge(measured, limit);
  const result: CheckResult = {
    ...headingOf(check, run.design.caseName),
    measured,
    ...verdict,
    ...(decides && { period: decides.begin, periods: periods.length }),
    ...(!verdict.pass && reason && { reason }),
  };
  if (verdict.pass) return { pass: true, message: line(result) };
  const at: Decisive = { spec, limit, instant: decides?.instant ?? instant, period: decides?.begin, periods };
  return { pass: false, message: [line(result), ...shownAt(run, at)].join("\n") };
}

/** The results of the checks, and the runs by their case. */
interface Judged {
  readonly results: readonly CheckResult[];
  readonly runs: ReadonlyMap<string, Run>;
}

function judged(subject: Design | Run): Judged {
  readOnce("subject", subject);
  if (subject instanceof Run)
    return { results: verify(subject), runs: new Map([[subject.design.caseName, subject]]) };
  if (typeof subject?.remake !== "function") refuseOption("subject", "expected a design or a run");
  const runs = new Map<string, Run>();
  const results = verifyAll(subject, { ran: (run) => runs.set(run.design.caseName, run) });
  return { results, runs };
}

/** A result in one line. */
function line(result: CheckResult): string {
  const { name, what, pass } = result;
  const where = result.case === "" ? "" : ` in case "${result.case}"`;
  const margin = marginText(result);
  const notes = [margin && `margin ${margin}`, noteText(result)].filter((note) => note);
  const told = notes.length > 0 ? ` (${notes.join("; ")})` : "";
  const measured = measuredText(result, result.measured);
  return `${pass ? "pass" : "FAIL"} "${name}"${where}: ${what} is ${measured}, must be ${limitText(result)}${told}`;
}

/** A failed result, with a plot of where it fails. */
function explained(result: CheckResult, runs: Judged["runs"]): string {
  const run = runs.get(result.case);
  const spec = run?.design.checks.find((c) => c.name === result.name);
  if (!run || !spec || run.recording.count === 0) return line(result);
  const { instant, periods } = measureOf(run, spec);
  const { period } = result;
  const own = periods?.find((p) => p.begin === period);
  const at = { spec, limit: result.limit, instant: own?.instant ?? instant, period, periods };
  return [line(result), ...shownAt(run, at)].join("\n");
}

/** A bound in the unit of the measured value. */
function inUnit(given: Given, unit: string, option: string): number {
  if (typeof given !== "string") return toNumber(exactly(given, dimension.number, option));
  const read = readQuantity(given);
  if (!read.ok) return refuseOption(option, read.message, read.hint);
  const own: Dimension = read.value.dimension;
  if (unitOf(own) === unit) return toNumber(read.value.value);
  const wanted = unit === "" ? "a plain number or a share in %" : `in ${unit}`;
  return refuseOption(
    option,
    `what is measured is ${wanted}, but it is ${engineering(toNumber(read.value.value), unitOf(own))}`,
  );
}
