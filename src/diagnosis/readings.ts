// Readings: what an instrument showed, where, in which case, and how finely. A typed figure is known to half of its last place, a
// capture to half of a step; both are uniform within that (JCGM 100:2008, 4.3.7).

import { asked, refuseOption } from "../base/asked.js";
import { refusal } from "../base/diagnostic.js";
import { nameOf, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import { didYouMean } from "../base/nearest.js";
import { readQuantity } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import { caseNamed } from "../simulation/options.js";
import { phraseOf, type SymptomColumn, specOf } from "./columns.js";
import type { SymptomTable } from "./symptomtable.js";

/** What an instrument showed. */
export interface Reading {
  /** The phrase that was measured, as in a check: `peak of ramp`. */
  readonly what: string;
  /** What it showed: text with a unit, or a number in SI units. */
  readonly value: string | number;
  /** The case in which it was taken; default: the design as drawn. */
  readonly case?: string;
  /**
   * The step of the instrument, text with a unit or SI; default: one in the last place of a text, and for a number 1/250 of it.
   */
  readonly resolution?: string | number;
}

/** A reading with its words resolved: SI units. */
export interface TakenReading {
  /** Index of its column in the table. */
  readonly column: number;
  readonly value: number;
  readonly resolution: number;
}

/** More readings than these make no ranking surer, and would make it slow. */
const mostReadings = 200;
/** The largest value of any instrument, in SI units. */
const largest = 1e12;
/** Steps in a number without a resolution: those of 8 bits of its own size (common practice, no source). */
const usualSteps = 250;

/**
 * Looks up the columns of readings.
 * @throws DesignError `bad-option`, `wrong-dimension`, or `unknown-reading` for one without a column in the table
 */
export function takenReadings(table: SymptomTable, readings: readonly Reading[]): TakenReading[] {
  if (!Array.isArray(readings)) refuseOption("readings", "expected a list");
  if (readings.length > mostReadings)
    refuseOption("readings", `${readings.length} of them are more than the ${mostReadings} that are weighed`);
  return readings.map((reading, i) => {
    const option = `readings[${i}]`;
    asked(reading, { what: "text", value: "any", case: "text", resolution: "any" }, `${option}.`);
    if (typeof reading.what !== "string")
      refuseOption(`${option}.what`, "it says what was measured, and is needed");
    const column = columnNamed(table, reading);
    const of = table.columns[column];
    const value = amount(reading.value, of, `${option}.value`);
    const step =
      reading.resolution === undefined
        ? stepOf(reading.value)
        : amount(reading.resolution, of, `${option}.resolution`);
    if (!(step >= 0)) refuseOption(`${option}.resolution`, "a resolution is not below zero");
    return { column, value, resolution: step };
  });
}

/**
 * A reading with its phrase worded as in tables, for a known design.
 *
 * @category Faults
 * @example
 * ```ts
 * readingIn(design, { what: "peak   of ramp", value: "5.6 V" }).what; // "peak of ramp"
 * ```
 * @throws DesignError `bad-option` for a case that does not exist, or the errors of the phrase
 */
export function readingIn(design: Design, reading: Reading): Reading {
  handed("design", design);
  handed("reading", reading);
  return { ...reading, what: phraseOf(specOf(caseNamed(design, reading.case), reading.what)) };
}

/**
 * The readings in the text of a design, for `diagnose`.
 *
 * @category Faults
 * @example
 * ```ts
 * const bench = compile(text.replace("run for", 'reading "peak of ramp" 5.6 V\nrun for'));
 * readingsIn(bench); // [{ what: "peak of ramp", value: 5.6, resolution: 0.1, case: "" }]
 * ```
 */
export function readingsIn(design: Design): Reading[] {
  handed("design", design);
  return design.readings.map(({ measured, value, resolution, case: name }) => ({
    what: phraseOf(measured),
    value,
    resolution,
    case: name,
  }));
}

export function hasColumn(table: Pick<SymptomTable, "columns">, { what, case: name = "" }: Reading): boolean {
  const words = plainWords(what);
  return table.columns.some((c) => c.case === name && plainWords(c.what) === words);
}

function columnNamed(table: SymptomTable, { what, case: name = "" }: Reading): number {
  const words = plainWords(what);
  const found = table.columns.findIndex((c) => c.case === name && plainWords(c.what) === words);
  if (found >= 0) return found;
  const cases = [...new Set(table.columns.map((c) => c.case))];
  if (!cases.includes(name)) {
    const shown = table.left.includes(name)
      ? `the table leaves the case "${name}" out`
      : `no case is called "${name}"`;
    const hint = table.left.includes(name)
      ? "make the table with that case named"
      : didYouMean(name, cases, '"');
    throw refusal("unknown-reading", shown, hint);
  }
  const known = table.columns.flatMap((c) => (c.case === name ? [c.what] : []));
  throw refusal(
    "unknown-reading",
    `the table has nothing for '${what}'`,
    didYouMean(what, known) ?? "make the table with that phrase among its measures",
  );
}

/** A phrase with single blanks between its words, and micro written one way. */
function plainWords(text: string): string {
  return text
    .trim()
    .replace(/\s+/g, " ")
    .replace(/\bus\b/g, "µs")
    .replace(/μ/g, "µ");
}

function amount(given: string | number, { what, unit }: SymptomColumn, option: string): number {
  if (typeof given === "number") {
    if (!Number.isFinite(given)) refuseOption(option, `${given} is not a finite number`);
    return within(given, option);
  }
  if (typeof given !== "string") refuseOption(option, "neither a number nor a text");
  const read = readQuantity(given);
  if (!read.ok) return refuseOption(option, read.message, read.hint);
  if (unitOf(read.value.dimension) !== unit)
    throw refusal(
      "wrong-dimension",
      `${given} is ${nameOf(read.value.dimension)}, but '${what}' is ${unit === "" ? "a plain number or a share in %" : `in ${unit}`}`,
    );
  return within(toNumber(read.value.value), option);
}

function within(value: number, option: string): number {
  if (Math.abs(value) > largest) refuseOption(option, "no instrument shows as much");
  return value;
}

/** One in the last place as typed: 0.1 V for `5.6 V`; 1 V for `560 V`, since trailing zeros count as read. */
function stepOf(given: string | number): number {
  if (typeof given === "number") return Math.abs(given) / usualSteps;
  const [, whole, places = ""] = /(\d+)(?:\.(\d*))?/.exec(given) ?? [];
  if (whole === undefined) return 0;
  const one = readQuantity(given.replace(/-?\d+(?:\.\d*)?/, "1"));
  return one.ok ? Math.abs(toNumber(one.value.value)) * 10 ** -places.length : 0;
}
