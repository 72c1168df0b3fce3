// Results of checks, and figures that are shown, in words for both the terminal and the page. A share is shown in per cent; a
// value negligible beside its limit is shown as 0.
import { engineering } from "../base/quantity.js";
import { type CheckHeading, shownUnit } from "../design/heading.js";
import type { PeriodMeasurement } from "../judging/measuring.js";
import type { ShownFigure } from "../judging/shownfigures.js";
import type { CheckResult } from "../judging/verify.js";
import { judge } from "../measures/verdict.js";

/** The case's name as a heading; without a case it is `As drawn`. */
export function caseTitle(name: string): string {
  return name === "" ? "As drawn" : `Case "${name}"`;
}

/** What was measured, e.g. `3.976 V`; `none` if it did not occur. */
export function measuredText(check: CheckHeading, measured: number): string {
  const { low = 0, high = 0 } = check.limit;
  // Rounding leaves picovolts where there is nothing; beside a limit in volts they only distract.
  const dust = 1e-9 * Math.max(Math.abs(low), Math.abs(high));
  const value = Math.abs(measured) < dust ? 0 : measured;
  return engineering(value, shownUnit(check), figuresFor(value, check.limit));
}

/** So many figures that a value stands where it is in its limits: more than four in a narrow band, and close to a bound. */
function figuresFor(value: number, limit: CheckHeading["limit"]): number {
  const { low = Number.NEGATIVE_INFINITY, high = Number.POSITIVE_INFINITY } = limit;
  const band = high - low;
  const within = band > 0 && value > low - band && value < high + band;
  for (let figures = 4; figures < 10; figures++) {
    const shown = Number(value.toPrecision(figures));
    const seen = !within || Math.abs(shown - value) <= band / 100;
    if (seen && judge(shown, limit).pass === judge(value, limit).pass) return figures;
  }
  return 10;
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

// Enough figures to tell both bounds apart: a band of a thousandth needs more than four.
function bandText(low: number, high: number, unit: string): string {
  for (const figures of [4, 6, 8, 10]) {
    const [from, to] = [engineering(low, unit, figures), engineering(high, unit, figures)];
    const apart = Math.abs(high - low) > 10 ** (1 - figures) * Math.abs(high);
    if (from !== to && apart) return `${from} to ${to}`;
  }
  return `${low} ${unit} to ${high} ${unit}`;
}

/** Distance to the limit, e.g. `39 %`; empty if nothing was measured, or if an exact value was asked for and met. */
export function marginText(result: CheckResult): string {
  const { margin, limit } = result;
  if (!Number.isFinite(margin) || (margin === 0 && limit.low === limit.high)) return "";
  const percent = margin * 100;
  // A failure by a thousandth must not read `0 %`, nor may a pass.
  const text = Math.abs(percent) >= 10 ? percent.toFixed(0) : String(Number(percent.toPrecision(2)));
  return `${text} %`;
}

/** Which period was the worst of how many, what was left out at the start, or why there is no value; empty if none applies. */
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

// A first period that is only negligibly worse is not mentioned.
function decisive({ pass, margin, limit, left }: CheckResult): boolean {
  const verdict = judge(left!.measured, limit);
  return verdict.pass !== pass || !(verdict.margin > margin - 0.01);
}

function leftText(result: CheckResult): string {
  const { period, measured } = result.left!;
  const what = Number.isNaN(measured) ? "with no value" : `with ${measuredText(result, measured)}`;
  return `${what} from ${engineering(period, "s", 5)}`;
}

/** Of how many periods a figure is the highest, and the lowest of them; or why there is none. */
export function figureNote(figure: ShownFigure): string {
  const { periods = [], reason = "" } = figure;
  if (periods.length === 0 || Number.isNaN(figure.value)) return reason;
  const lowest = engineering(lowestOf(periods), shownUnit(figure));
  const which =
    periods.length === 1 ? "the only period" : `highest of ${periods.length} periods, the lowest ${lowest}`;
  return reason === "" ? which : `${which}; ${reason}`;
}

/** The lowest value of any period; NaN if it occurred in none. */
export function lowestOf(periods: readonly PeriodMeasurement[]): number {
  const least = (low: number, { value }: PeriodMeasurement) => (value >= low ? low : value);
  return periods.filter(({ value }) => !Number.isNaN(value)).reduce(least, Number.NaN);
}

/** How many passed, in one line. */
export function summaryText(results: readonly CheckResult[]): string {
  const failed = results.filter((r) => !r.pass);
  if (results.length === 0) return "The design has no checks.";
  const all = results.length === 1 ? "The one check" : `All ${results.length} checks`;
  if (failed.length === 0) {
    // A count that must be met exactly has no margin, but is not tight for that.
    const ranges = results.filter((r) => r.limit.low === undefined || r.limit.low !== r.limit.high);
    if (ranges.length === 0) return `${all} passed.`;
    const tight = ranges.reduce((a, b) => (b.margin < a.margin ? b : a));
    return `${all} passed. The tightest is "${tight.name}", with a margin of ${marginText(tight) || "0 %"}.`;
  }
  const count = `${failed.length} of ${results.length} checks`;
  const which =
    results.length === 1 ? "The one check fails" : `${count} ${failed.length === 1 ? "fails" : "fail"}`;
  return `${which}: ${failed.map((r) => `"${r.name}"`).join(", ")}.`;
}

/** Results by case, in the order they came. */
export function byCase<T extends { readonly case: string }>(results: readonly T[]): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const result of results) groups.set(result.case, [...(groups.get(result.case) ?? []), result]);
  return groups;
}
