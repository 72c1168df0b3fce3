// Rows of words in columns, for a terminal.
// Takes rows of plain cells and which columns are set to the right; gives lines. Always: columns line up whatever script the
// words are in, and no line ends in a blank.
import { width } from "../syntax/width.js";

/** The rows as lines, two blanks between columns. */
export function columns(rows: readonly (readonly string[])[], right: ReadonlySet<number>): string[] {
  const widths: number[] = [];
  for (const row of rows)
    row.forEach((text, c) => {
      widths[c] = Math.max(widths[c] ?? 0, width(text));
    });
  return rows.map((row) =>
    row
      .map((text, c) => {
        const gap = " ".repeat(widths[c] - width(text));
        return right.has(c) ? gap + text : text + gap;
      })
      .join("  ")
      .trimEnd(),
  );
}

/** Plain data as JSON text; JSON has no word for what is not finite, so that is null. */
export function plainJson(data: object): string {
  const number = (_: string, value: unknown) =>
    typeof value !== "number" ? value : Number.isFinite(value) ? value + 0 : null;
  return `${JSON.stringify(data, number, 2)}\n`;
}
