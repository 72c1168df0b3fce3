// Results of checks in words, for the terminal and the page alike. A share is shown in per cent; a value that is nothing beside its
// limit is shown as 0.
import { engineering } from "../base/quantity.js";
import { type CheckHeading, shownUnit } from "../design/heading.js";
import type { CheckResult } from "../judging/verify.js";
import { judge } from "../measures/verdict.js";

/** The case's name as a heading: the design without a case is `as drawn`. */
export function caseTitle(name: string): string {
  return name === "" ? "As drawn" : `Case "${name}"`;
}

/** What was measured, e.g. `3.976 V`; `none` where it did not occur. */
export function measuredText(check: CheckHeading, measured: number): string {
  const { low = 0, high = 0 } = check.limit;
  // Rounding leaves picovolts where there is nothing; beside a limit of volts they only distract.
  const dust = 1e-9 * Math.max(Math.abs(low), Math.abs(high));
  return engineering(Math.abs(measured) < dust ? 0 : measured, shownUnit(check));
}

/** What is allowed, e.g. `3.832 V to 4.069 V`, `below 20 mV`. */
export function limitText(check: CheckHeading): string {
  const { low, high } = check.limit;
  const unit = shownUnit(check);
  if (low !== undefined && low === high) return `exactly ${engineering(low, unit)}`;
  if (low !== undefined && high !== undefined) return bandText(low, high, unit);
  if (high !== undefined) return `below ${engineering(high, unit)}`;
  return low === undefined ? "no limit" : `above ${engineering(low, unit)}`;
}

// Figures enough to tell both bounds apart: a band of a thousandth needs more than four.
function bandText(low: number, high: number, unit: string): string {
  for (const figures of [4, 6, 8, 10]) {
    const [from, to] = [engineering(low, unit, figures), engineering(high, unit, figures)];
    const apart = Math.abs(high - low) > 10 ** (1 - figures) * Math.abs(high);
    if (from !== to && apart) return `${from} to ${to}`;
  }
  return `${low} ${unit} to ${high} ${unit}`;
}

/** Distance to the limit, e.g. `39 %`; empty where nothing was measured. */
export function marginText(result: CheckResult): string {
  const { margin, limit } = result;
  if (!Number.isFinite(margin) || (margin === 0 && limit.low === limit.high)) return "";
  const percent = margin * 100;
  // A failure by a thousandth must not read `0 %`, nor a pass by as little.
  const text = Math.abs(percent) >= 10 ? percent.toFixed(0) : String(Number(percent.toPrecision(2)));
  return `${text} %`;
}

/** Which period was the worst of how many, what was left out of them for the start, or why there is no value; empty where there is nothing to say. */
export function noteText(result: CheckResult): string {
  const { period, periods, first, left, reason, capture } = result;
  if (capture !== undefined) return reason ? `${capture}: ${reason}` : `in ${capture}`;
  const which =
    period === undefined || periods === undefined
      ? ""
      : periods === 1
        ? `the only period, from ${engineering(period, "s")}`
        : `worst of ${periods} periods, ${first ? "the first, " : ""}from ${engineering(period, "s", 5)}`;
  const start =
    left && decisive(result) ? `; left out: the first, where the start still shows, ${leftText(result)}` : "";
  if (!reason) return which + start;
  return which === "" ? reason : `${reason} (${which}${start})`;
}

// A first period that is worse by next to nothing needs no word.
function decisive({ pass, margin, limit, left }: CheckResult): boolean {
  const verdict = judge(left!.measured, limit);
  return verdict.pass !== pass || !(verdict.margin > margin - 0.01);
}

function leftText(result: CheckResult): string {
  const { period, measured } = result.left!;
  const what = Number.isNaN(measured) ? "with no value" : `with ${measuredText(result, measured)}`;
  return `${what} from ${engineering(period, "s", 5)}`;
}

/** How many passed, in one line. */
export function summaryText(results: readonly CheckResult[]): string {
  const failed = results.filter((r) => !r.pass);
  if (results.length === 0) return "The design has no checks.";
  const all = results.length === 1 ? "The one check" : `All ${results.length} checks`;
  if (failed.length === 0) {
    // A count that must be met exactly has no margin, and is not tight for that.
    const ranges = results.filter((r) => r.limit.low === undefined || r.limit.low !== r.limit.high);
    if (ranges.length === 0) return `${all} passed.`;
    const tight = ranges.reduce((a, b) => (b.margin < a.margin ? b : a));
    return `${all} passed. The tightest is "${tight.name}", with a margin of ${marginText(tight) || "0 %"}.`;
  }
  const be = failed.length === 1 ? "checks fails" : "checks fail";
  return `${failed.length} of ${results.length} ${be}: ${failed.map((r) => `"${r.name}"`).join(", ")}.`;
}

/** Results by case, in the order they came. */
export function byCase<T extends { readonly case: string }>(results: readonly T[]): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const result of results) groups.set(result.case, [...(groups.get(result.case) ?? []), result]);
  return groups;
}
