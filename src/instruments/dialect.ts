// How a table of samples is written: its separator, its decimal sign, and the line in which the samples begin. This is found out
// from its first lines, since no two instruments write alike. A line of samples holds only numbers, gaps and words for "no
// number", and the next lines have as many cells.

/** What separates cells; a blank stands for any number of blanks. */
export type Separator = "," | ";" | "\t" | " ";

/** How a table is written. */
export interface Dialect {
  readonly separator: Separator;
  readonly decimal: "." | ",";
  /** The first line of samples, from 0; the number of lines if there is none. */
  readonly first: number;
  /** How many lines from the first on say something above the samples or beside them. */
  readonly head: number;
  /** How many columns to the left hold no samples, only what stands beside them in the first lines. */
  readonly beside: number;
}

/** The samples begin where this many successive lines have equally many cells. */
const inRow = 3;
/** Some programs write a minus sign (U+2212) in place of a hyphen. */
const number = {
  ".": /^[+\u2212-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+\u2212-]?\d+)?$/,
  ",": /^[+\u2212-]?(?:\d+,?\d*|,\d+)(?:[eE][+\u2212-]?\d+)?$/,
};
/** What instruments write if they have no number. */
const none = /^(?:[+-]?nan|[+-]?inf(?:inity)?|-{2,}|n\/?a|null|ol|over(?:load|flow|range)?|\?+|\*+)$/i;

/** What spreadsheets write above a table. */
export const separatorLine = /^\uFEFF?sep=.$/i;

/** The cells of a line, without blanks and quotes around them; a quoted cell may hold separators (RFC 4180). */
export function cellsOf(line: string, separator: Separator): string[] {
  if (separator === " ") return line.trim().split(/\s+/);
  if (!line.includes('"')) return line.split(separator).map((cell) => cell.trim());
  const cells: string[] = [];
  for (let from = 0; from <= line.length; ) {
    const to = endOfCell(line, separator, from);
    const cell = line.slice(from, to).trim();
    cells.push(/^".*"$/.test(cell) ? cell.slice(1, -1).replaceAll('""', '"').trim() : cell);
    from = to + 1;
  }
  return cells;
}

/** Whether a line holds nothing, or only what some programs end a file with: a mark of its end, or zeros. */
export function isBlank(line: string): boolean {
  const plain = line < " " ? line.replaceAll("\0", "").replaceAll("\x1a", "") : line;
  return plain.trim() === "";
}

/** The place of a cell in its line: its column, from 1, and its length. */
export function cellPlace(
  line: string,
  separator: Separator,
  cell: number,
): { column: number; length: number } {
  let from = separator === " " ? line.length - line.trimStart().length : 0;
  for (let k = 0; k < cell; k++) {
    const to = endOfCell(line, separator, from);
    if (to >= line.length) return { column: line.length + 1, length: 0 };
    from = to + 1;
    while (separator === " " && /\s/.test(line[from] ?? "")) from++;
  }
  const whole = line.slice(from, endOfCell(line, separator, from));
  return { column: from + whole.length - whole.trimStart().length + 1, length: whole.trim().length };
}

/** Where a cell ends that begins at `from`: at its separator, or the line's end. Only a quote that begins a cell is more than a sign. */
function endOfCell(line: string, separator: Separator, from: number): number {
  let [begun, quoted] = [false, false];
  for (let at = from; at < line.length; at++) {
    if (separator === " " ? /\s/.test(line[at]) : line[at] === separator && !quoted) return at;
    if (quoted && line[at] === '"' && line[at + 1] === '"') at++;
    else if (line[at] === '"' && (quoted || !begun)) quoted = !quoted;
    else if (line[at] !== " ") begun = true;
  }
  return line.length;
}

/** The number that a cell holds; NaN if it holds none, or one too large for any instrument. */
export function numberIn(cell: string, decimal: "." | ","): number {
  if (!number[decimal].test(cell)) return Number.NaN;
  const plain = decimal === "," ? cell.replace(",", ".") : cell;
  const value = Number(plain.includes("\u2212") ? plain.replaceAll("\u2212", "-") : plain);
  return Number.isFinite(value) ? value : Number.NaN;
}

/** How a table is written, by its first lines; what `given` says is taken as it is. */
export function dialectOf(
  lines: readonly string[],
  given: Partial<Pick<Dialect, "separator" | "decimal">>,
): Dialect {
  const separators: Separator[] = given.separator ? [given.separator] : ["\t", ";", ",", " "];
  const decimals: ("." | ",")[] = given.decimal ? [given.decimal] : [".", ","];
  let best: Dialect & { rows: number; wide: boolean } = {
    separator: separators[0],
    decimal: decimals[0],
    ...noSamples(lines),
  };
  // Between quotes a decimal comma may stand beside commas that separate.
  const quoted = lines.some((line) => line.includes('"'));
  for (const decimal of decimals)
    for (const separator of separators) {
      if (decimal === separator && !quoted) continue;
      const found = { separator, decimal, ...samplesIn(lines, separator, decimal) };
      const wider = found.wide && !best.wide;
      if (found.rows > best.rows || (found.rows === best.rows && wider)) best = found;
      else if (separator === ";" && found.rows === best.rows && inDecimals(lines.slice(0, found.head)))
        best = found;
    }
  const { separator, decimal, first, head, beside } = best;
  return { separator, decimal, first, head, beside };
}

/**
 * Whether the lines above the samples part their cells by semicolons and have commas within numbers only: `1,5` is then one number,
 * and not two.
 */
function inDecimals(head: readonly string[]): boolean {
  return (
    head.some((line) => line.includes(";")) && !head.some((line) => line.replace(/\d,\d/g, "").includes(","))
  );
}

// The first line of samples, how many lines of them there are, and whether these have more than one cell.
function samplesIn(lines: readonly string[], separator: Separator, decimal: "." | ",") {
  const widths = lines.map((line) => widthOf(cellsOf(line, separator), decimal));
  const written = lines.flatMap((line, i) => (isBlank(line) ? [] : [i]));
  const begin = written.findIndex(
    (line, k) =>
      widths[line] > 0 &&
      !isGap(cellsOf(lines[line], separator)) &&
      written.slice(k, k + inRow).every((other) => widths[other] === widths[line]),
  );
  if (begin < 0) return noSamples(lines);
  const head = written[begin];
  const width = widths[head];
  const rows = widths.filter((w, i) => i >= head && w === width).length;
  const above = written.slice(0, begin).reverse();
  const cells = (line: number) => cellsOf(lines[line], separator);
  // What the first lines say may stand beside their samples.
  const beside = emptyColumns(
    written
      .slice(begin)
      .map(cells)
      .filter((row) => !isGap(row)),
  );
  if (beside > 0) {
    const other = above.findIndex((line) => widthOf(cells(line).slice(beside), decimal) + beside !== width);
    return { first: above[other - 1] ?? (other === 0 ? head : written[0]), head, beside, rows, wide: true };
  }
  // A line that begins with a number below that of the next is one of samples, though another cell of it is no number.
  let [first, next] = [head, numberIn(cells(head)[0], decimal)];
  for (const line of above) {
    if (/^\s*[#%]/.test(lines[line])) continue;
    const own = cells(line);
    const begins = numberIn(own[0], decimal);
    const numberless = own.every((cell) => none.test(cell));
    if (width < 2 || own.length !== width || !(numberless || begins < next)) break;
    first = line;
    if (!numberless) next = begins;
  }
  return { first, head: first, beside: 0, rows, wide: width > 1 };
}

function noSamples(lines: readonly string[]) {
  return { first: lines.length, head: lines.length, beside: 0, rows: 0, wide: false };
}

/** How many columns to the left are empty in all rows. */
function emptyColumns(rows: readonly (readonly string[])[]): number {
  return Math.min(
    ...rows.map((row) =>
      Math.max(
        row.findIndex((cell) => cell !== ""),
        0,
      ),
    ),
  );
}

/** Whether a row holds a gap in each column. */
function isGap(cells: readonly string[]): boolean {
  return cells.every((cell) => cell === "");
}

/** How many cells a line of samples has; 0 if it is no such line. */
function widthOf(cells: readonly string[], decimal: "." | ","): number {
  let numbers = 0;
  for (const cell of cells) {
    if (number[decimal].test(cell)) numbers++;
    else if (cell !== "" && !none.test(cell)) return 0;
  }
  return numbers > 0 || (cells.length > 1 && isGap(cells)) ? cells.length : 0;
}
