// Rows of cells as a table that other programs read: RFC 4180, comma between cells, a line end behind every row.
// A cell with a comma, a quote or a line end stands between quotes, a quote in it twice.

/** A cell: a number is written in full with a decimal point, what is not finite or not there as an empty cell. */
export type Cell = string | number | undefined;

/** The rows as text, each with CR LF behind it. */
export function csvRows(rows: readonly (readonly Cell[])[]): string {
  return rows.map((row) => `${row.map(written).join(",")}\r\n`).join("");
}

function written(cell: Cell): string {
  if (cell === undefined) return "";
  if (typeof cell === "number") return Number.isFinite(cell) ? String(cell) : "";
  return /[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;
}
