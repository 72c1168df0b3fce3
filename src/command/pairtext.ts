// Pairs of measured parts as tables, for people and for other programs.
import { engineering } from "../base/quantity.js";
import type { MeasuredColumn, MeasuredParts } from "../instruments/measuredparts.js";
import { csvRows } from "../workshop/csvrows.js";
import type { Pairing } from "../workshop/pairing.js";
import { columns } from "./table.js";

/** A column of a table, from which one side of each pair comes. */
export interface PairSide {
  readonly table: MeasuredParts;
  readonly column: MeasuredColumn;
}

/** Pairs, and the columns that they come from. */
export interface PairsFound {
  readonly first: PairSide;
  readonly second: PairSide;
  /** Whether both sides come from the same column. */
  readonly lone: boolean;
  readonly found: Pairing;
}

/** The pairs for people, line by line. */
export function pairLines({ first, second, lone, found }: PairsFound): string[] {
  const { by, aim, pairs, left } = found;
  const [unit, missUnit] = by === "ratio" ? ["", "%"] : [first.column.unit, first.column.unit];
  const heads = ["part", first.column.name, "part", lone ? "with" : second.column.name, by, "off by"];
  const side = ({ table, column }: PairSide, k: number) => [
    table.labels[k],
    engineering(column.values[k], column.unit, 6),
  ];
  const rows = pairs.map((one) => [
    ...side(first, one.first),
    ...side(second, one.second),
    engineering(one.makes, unit, 6),
    engineering(one.miss, missUnit, 3),
  ]);
  const sides = lone ? first.column.name : `${first.column.name} with ${second.column.name}`;
  const lines = [
    `${pairs.length} ${pairs.length === 1 ? "pair" : "pairs"} of ${sides}; ${by} to be ${engineering(aim, unit, 6)}`,
    "",
  ];
  if (pairs.length > 0)
    lines.push(...columns([heads, ...rows], new Set([0, 1, 2, 3, 4, 5])).map((line) => `  ${line}`));
  for (const [k, one] of [first, second].entries())
    if (left[k].length > 0)
      lines.push(
        "",
        `  without a partner, of ${one.column.name}: ${left[k].map((i) => one.table.labels[i]).join(", ")}`,
      );
  return lines;
}

/** The pairs for other programs and for trials that draw from them: SI units, the parts' own labels in the first column. */
export function pairsCsv({ first, second, lone, found }: PairsFound): string {
  const head = ({ column }: PairSide, name = column.name) =>
    column.unit ? `${name} (${column.unit})` : name;
  const other =
    lone || second.column.name === first.column.name ? `${second.column.name} 2` : second.column.name;
  const miss = found.by === "ratio" ? "off by (%)" : `off by (${first.column.unit})`;
  const rows = found.pairs.map((one) => [
    `${first.table.labels[one.first]} with ${second.table.labels[one.second]}`,
    first.column.values[one.first],
    second.column.values[one.second],
    found.by === "ratio" ? Number((one.miss * 100).toPrecision(4)) : one.miss,
  ]);
  return csvRows([["part", head(first), head(second, other), miss], ...rows]);
}
