// Rows of cells as a table that other programs read: RFC 4180, commas between cells, a line end after every row.
import { csvCell } from "../waveforms/csvjson.js";

/** A cell: a number is written in full with a decimal point; one that is not finite or missing is left empty. */
export type Cell = string | number | undefined;

/** The rows as text, each ending in CR LF. */
export function csvRows(rows: readonly (readonly Cell[])[]): string {
  return rows.map((row) => `${row.map(written).join(",")}\r\n`).join("");
}

function written(cell: Cell): string {
  if (cell === undefined) return "";
  if (typeof cell === "number") return Number.isFinite(cell) ? String(cell) : "";
  return csvCell(cell);
}
