// Measured parts as given to `--measured`: `timing from reel.csv`, `line.c, field.c from bag.csv, column uF`,
// `line.c with field.c from pairs.csv`.
import { refuseOption } from "../base/asked.js";
import { type MeasuredParts, measuredColumn, readMeasured } from "../instruments/measuredparts.js";
import type { MeasuredStock } from "../spread/stock.js";
import { printable } from "./output.js";

import { ownTable } from "./tablefile.js";

/** One `--measured`. */
export interface MeasuredAsked {
  readonly values: readonly string[];
  /** Whether the values are drawn together, row by row. */
  readonly together: boolean;
  readonly file: string;
  /** Number, from 1, or name of the column with the measured values. */
  readonly column?: number | string;
}

const form = "write it like: timing from reel.csv";
const whole = /^\s*(\S.*?)\s+from\s+(\S.*?)(?:\s*,\s*column\s+(\S.*?))?\s*$/;

/** Reads one bag of parts. */
export function measuredFrom(text: string, name: string): MeasuredAsked {
  const [, words, file, column] = whole.exec(text) ?? [];
  if (file === undefined)
    return refuseOption(name, `'${text}' is no name of a value and a file that it comes from`, form);
  const together = /\swith\s/.test(words);
  const values = words.split(together ? /\s+with\s+/ : /\s*,\s*/).map((one) => one.trim());
  const bad = values.find((one) => one === "" || /[\s,]/.test(one));
  if (bad !== undefined) return refuseOption(name, `'${words}' are no names of values`, form);
  if (together && column !== undefined)
    return refuseOption(name, "what is drawn together has a column for each value", form);
  return {
    values,
    together,
    file,
    column: column !== undefined && /^\d+$/.test(column) ? Number(column) : column,
  };
}

/** Reads a file of measured parts. @throws EarlyEnd, TextError */
export function measuredIn(file: string): MeasuredParts {
  return ownTable(file, (text) => readMeasured(text, printable(file)));
}

/** Measured parts for the values of a design. @param unitOfValue the SI unit of a value of this name, if there is one */
export function stockFrom(
  asked: readonly MeasuredAsked[],
  unitOfValue: (name: string) => string | undefined,
): MeasuredStock[] {
  return asked.map(({ values, together, file, column }) => {
    const table = measuredIn(file);
    const chosen = together
      ? values.map((name, k) => table.columns.find((c) => c.name === name) ?? measuredColumn(table, k + 1))
      : [measuredColumn(table, column ?? 1)];
    if (!together && column === undefined && table.columns.length > 1)
      refuseOption(
        "--measured",
        `${table.name} has ${table.columns.length} columns, and which is meant is not said`,
        `write ', column ${table.columns[0].name}' behind it`,
      );
    values.forEach((name, k) => {
      const [unit, { name: own, unit: found }] = [unitOfValue(name), chosen[together ? k : 0]];
      if (unit !== undefined && unit !== found)
        refuseOption(
          "--measured",
          `'${name}' is in ${unit || "no unit"}, column ${own} of ${table.name} in ${found || "no unit"}`,
        );
    });
    if (!together) return { values, parts: chosen[0].values.filter((v) => !Number.isNaN(v)) };
    const rows = table.labels.map((_, i) => chosen.map((c) => c.values[i]));
    return { values, sets: rows.filter((set) => !set.some(Number.isNaN)) };
  });
}
