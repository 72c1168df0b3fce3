// What every result of a check says of the check, whichever study it comes from: one shape, plain data, so that printing a
// result takes neither the design nor the list of measures.
import type { Limit } from "../measures/verdict.js";
import type { CheckSpec } from "./design.js";

/** A check as its results carry it. */
export interface CheckHeading {
  /** The check's name. */
  readonly name: string;
  /** The case it applies to; empty for the design as drawn. */
  readonly case: string;
  /** What is measured, e.g. `peak of ramp`. */
  readonly what: string;
  /** The words of its measure, e.g. `peak`. */
  readonly measure: string;
  /** SI unit of the measured value; empty for a share or a count. */
  readonly unit: string;
  /** How a measured value is shown: with its unit, in per cent, or as a whole number. */
  readonly shown: "value" | "share" | "count";
  /** What passes, in `unit`. */
  readonly limit: Limit;
}

/** The heading of a check's results. @param where the case it applies to */
export function headingOf(spec: CheckSpec, where: string): CheckHeading {
  const { name, measure, target, unit, limit } = spec;
  const what = `${measure.words} of ${target}`;
  return { name, case: where, what, measure: measure.words, unit, shown: measure.shown ?? "value", limit };
}

/** The unit to show a value in: a share has none, and is shown in per cent. */
export function shownUnit({ unit, shown }: Pick<CheckHeading, "unit" | "shown">): string {
  return shown === "share" ? "%" : unit;
}
