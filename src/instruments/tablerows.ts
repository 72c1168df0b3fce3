// The rows of a table of samples, read one by one into columns of numbers, with every mistake in a cell.
import { Report, refusal } from "../base/diagnostic.js";
import { cellPlace, cellsOf, type Dialect, isBlank, numberIn } from "./dialect.js";
import { NumberList } from "./numberlist.js";

/** The most numbers that are kept: 400 MB. */
const mostNumbers = 5e7;
/** A row that may be a number with a decimal comma, or two whole numbers. */
const pair = /^\s*[+\u2212-]?\d+,\d+\s*$/;

/** A number of three digits behind a comma: decimals, or a thousand and more in groups. */
const grouped = /^[+\u2212-]?[1-9]\d{0,2},\d{3}$/;

/** Mistakes in a cell, with what to do about each. */
const cellFaults = {
  "extra-cell": "every row has as many cells as the first one",
  "no-number": "leave the cell of a gap empty",
};

/** Numbers in a block; fewer for many columns, since each column begins one. */
const blockOf = (columns: number) => (columns > 16 ? 1 << 10 : 1 << 16);

/** The columns of a table while it is being read. */
export class TableRows {
  readonly columns: NumberList[];
  /** The rows before which lines were skipped, and their lines. */
  private readonly jumps = { row: new NumberList(1 << 10), line: new NumberList(1 << 10) };
  readonly report = new Report();
  count = 0;
  /** Whether all rows so far could be numbers with a decimal comma as well as pairs of whole numbers. */
  paired: boolean;
  /** The first line with a number that may be in groups of thousands, if all numbers with a comma may be. */
  groupedFrom: number | undefined;
  private plain: boolean;

  constructor(
    readonly dialect: Dialect,
    readonly widest: number,
    private readonly name: string,
  ) {
    this.columns = Array.from({ length: widest }, () => new NumberList(blockOf(widest)));
    this.paired = dialect.separator === "," && widest === 2;
    this.plain = dialect.separator !== "," || dialect.decimal !== ",";
  }

  read(text: string, line: number): void {
    if (isBlank(text)) return;
    const { separator, decimal, beside } = this.dialect;
    const cells = cellsOf(text, separator);
    if (this.count * this.widest >= mostNumbers)
      throw refusal(
        "too-many-samples",
        `${this.name} holds more than ${mostNumbers} numbers`,
        "take fewer samples, or fewer channels",
      );
    if (this.count === 0 || line !== this.lineOf(this.count - 1) + 1) {
      this.jumps.row.add(this.count);
      this.jumps.line.add(line);
    }
    this.paired &&= pair.test(text);
    if (!this.plain && text.includes('"')) this.groups(cells, line);
    for (let k = this.widest; k < cells.length; k++)
      if (cells[k] !== "") this.say(line, text, k, "extra-cell", `the first row has ${this.widest} cells`);
    for (let k = 0; k < this.widest; k++) {
      const cell = k < beside ? "" : (cells[k] ?? "");
      const value = cell === "" ? Number.NaN : numberIn(cell, decimal);
      if (cell !== "" && Number.isNaN(value))
        this.say(line, text, k, "no-number", `'${cell.slice(0, 24)}' is no number`);
      this.columns[k].add(value);
    }
    this.count++;
  }

  /** Looks for numbers whose comma is none that parts groups. */
  private groups(cells: readonly string[], line: number): void {
    const commas = cells.filter((cell) => cell.includes(","));
    this.plain = commas.some((cell) => !grouped.test(cell));
    this.groupedFrom = this.plain ? undefined : (this.groupedFrom ?? (commas.length > 0 ? line : undefined));
  }

  /**
   * How many samples after the first each row is, if a blank line is a sample that is missing; undefined if there are no such lines.
   * Where as many stand between any two rows, they are a manner of writing.
   */
  after(): Float64Array | undefined {
    const { row, line } = this.jumps;
    if (row.count < 2) return undefined;
    const found = new Float64Array(this.count);
    for (let k = 0, i = 0; k < row.count; k++)
      for (const from = row.at(k); i < (row.at(k + 1) || this.count); i++)
        found[i] = line.at(k) + i - from - line.at(0);
    const apart = found.reduce(
      (least, v, i) => (i === 0 ? least : Math.min(least, v - found[i - 1])),
      Infinity,
    );
    const rows = found.map((v) => Math.round(v / apart));
    return rows[this.count - 1] > this.count - 1 ? rows : undefined;
  }

  /** The line of a row, from 1. */
  lineOf(row: number): number {
    const { row: rows, line } = this.jumps;
    let k = rows.count - 1;
    while (rows.at(k) > row) k--;
    return line.at(k) + row - rows.at(k);
  }

  private say(line: number, text: string, cell: number, code: keyof typeof cellFaults, what: string): void {
    const place = cellPlace(text, this.dialect.separator, cell);
    const message = `${this.name}, row ${line}, column ${cell + 1}: ${what}`;
    this.report.error(code, message, { line, ...place }, { hint: cellFaults[code] });
  }
}
