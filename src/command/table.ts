// Rows of words in columns, for a terminal.
// Columns line up whatever script the words are in, no line ends in a blank, and colour only repeats what a word says.
import { width } from "../syntax/width.js";

/** A cell with a colour: the parameter of ECMA-48, 8.3.117 (SGR). */
export interface Painted {
  readonly text: string;
  readonly colour?: string;
}

/** The rows as lines, two blanks between columns. @param right columns that are right-aligned */
export function columns(
  rows: readonly (readonly (string | Painted)[])[],
  right: ReadonlySet<number>,
): string[] {
  const cells = rows.map((row) => row.map((cell) => (typeof cell === "string" ? { text: cell } : cell)));
  const widths: number[] = [];
  for (const row of cells)
    row.forEach(({ text }, c) => {
      widths[c] = Math.max(widths[c] ?? 0, width(text));
    });
  return cells.map((row) =>
    row
      .map(({ text, colour }: Painted, c) => {
        const gap = " ".repeat(widths[c] - width(text));
        const shown = paint(text, colour);
        return right.has(c) ? gap + shown : shown + gap;
      })
      .join("  ")
      .trimEnd(),
  );
}

/** A text in a colour; unchanged if there is none. */
export function paint(text: string, colour: string | undefined): string {
  return colour ? `\u001b[${colour}m${text}\u001b[0m` : text;
}
