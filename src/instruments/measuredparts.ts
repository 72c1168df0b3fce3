// Parts that were measured one by one, a reel or a bag of them: a table of the user's own, one row for a part or a set of parts,
// one column for each sort. The first row may name the columns, with a unit in brackets after the name: `line (nF)`; if it does
// not, each cell has its unit: `14.93 nF`. A column headed `part` has the label of each. Cells are separated by commas,
// semicolons or tabs; an empty cell is a missing part, and lines that begin with # are comments.
import { DesignError, Report, refusal } from "../base/diagnostic.js";
import { unitOf } from "../base/dimension.js";
import { handed, handedText } from "../base/handed.js";
import { didYouMeanOneOf } from "../base/nearest.js";
import { readQuantity, si } from "../base/quantity.js";
import { cellPlace, cellsOf, isBlank, numberIn, type Separator, separatorLine } from "./dialect.js";
import { type Label, labelOf } from "./labels.js";

/** Parts of one sort. */
export interface MeasuredColumn {
  /** The name of its column, or its number if that has none. */
  readonly name: string;
  /** SI unit. */
  readonly unit: string;
  /** The measured values, SI, by row; NaN where the row has no such part. */
  readonly values: readonly number[];
}

/** A table of measured parts. */
export interface MeasuredParts {
  /** Its name in messages. */
  readonly name: string;
  /** The label of each row; its number, from 1, where no column gives one. */
  readonly labels: readonly string[];
  /** In the order of the table. */
  readonly columns: readonly MeasuredColumn[];
}

/** The most rows: a reel has some thousand. */
const mostRows = 10_000;
const labelled = /^(?:parts?|no\.?|nr\.?|number|label|#)$/i;
/** A line of one number with its unit. */
const sizedLine = /^\s*\d+(?:,\d+)?\s*[^\s\d,;]+\s*$/;
/** Whether a line has a decimal comma; between quotes a comma before three digits may part thousands. */
const inDecimals = (line: string) => /\d,\d/.test(line) && !/^\s*"[1-9]\d{0,2},\d{3}"\s*$/.test(line);
const hint = "a number with its unit, '14.93 nF', or the unit in the head: 'line (nF)'";

/**
 * Reads a table of measured parts.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const reel = readMeasured("part,timing (nF)\n1,14.93\n2,15.21\n");
 * reel.columns[0].unit; // "F"
 * ```
 * @param name its name in messages
 * @throws DesignError with every mistake, by row and column: `no-number`, `extra-cell`, `missing-unit`, `mixed-units`,
 * `no-measured-parts`, `too-many-rows`
 */
export function readMeasured(text: string, name = "parts"): MeasuredParts {
  handedText(text, "text");
  handedText(name, "name");
  const report = new Report();
  const found = new MeasuredReader(text, name, report).read();
  if (report.failed) throw new DesignError(report.diagnostics);
  if (found.columns.length === 0)
    throw refusal("no-measured-parts", `${name}: no measured parts are found in it`, hint);
  return found;
}

/**
 * The column of a number, from 1, or a name.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const reel = readMeasured("part,timing (nF)\n1,14.93\n2,15.21\n");
 * measuredColumn(reel, "timing").values.map((value) => engineering(value, "F")); // ["14.93 nF", "15.21 nF"]
 * ```
 * @throws DesignError `unknown-column`; `bad-option` for anything but such a table
 */
export function measuredColumn(measured: MeasuredParts, asked: number | string): MeasuredColumn {
  handed("measuredParts", measured, "measured");
  if (typeof asked !== "number") handedText(asked, "asked");
  const { name, columns } = measured;
  const found = typeof asked === "number" ? columns[asked - 1] : columns.find((c) => c.name === asked);
  if (found) return found;
  const names = columns.map((c) => c.name);
  const mend = typeof asked === "string" ? didYouMeanOneOf(asked, names) : `it has ${names.join(", ")}`;
  throw refusal("unknown-column", `${name} has no column ${asked} of measured parts`, mend);
}

class MeasuredReader {
  private readonly lines: readonly string[];
  private separator: Separator = ",";
  private heads: readonly Label[] = [];

  constructor(
    text: string,
    private readonly name: string,
    private readonly report: Report,
  ) {
    this.lines = text.replace(/^\uFEFF/, "").split(/\r\n|\n|\r/);
  }

  read(): MeasuredParts {
    const { name, lines } = this;
    const filled = [...lines.keys()].filter(
      (i) => !isBlank(lines[i]) && !/^\s*#/.test(lines[i]) && !separatorLine.test(lines[i]),
    );
    const rows = filled.slice(this.head(filled) ? 1 : 0);
    if (rows.length > mostRows) {
      const span = { line: rows[mostRows] + 1, column: 1, length: 0 };
      this.report.error("too-many-rows", `${name} has more than ${mostRows} parts`, span);
      return { name, labels: [], columns: [] };
    }
    const { heads } = this;
    const label = heads.findIndex((head) => labelled.test(head.name));
    const cells = rows.map((line) => this.cells(line));
    const columns = heads.flatMap((head, k): MeasuredColumn[] => {
      if (k === label) return [];
      const { unit, values } = this.column(k, rows, cells);
      return values.every(Number.isNaN) ? [] : [{ name: head.name || `${k + 1}`, unit, values }];
    });
    return { name, labels: cells.map((row, i) => row[label] || `${i + 1}`), columns };
  }

  /** Finds the separator and the heads of the columns; true if the first row is a head. */
  private head(filled: readonly number[]): boolean {
    const text = this.lines[filled[0]] ?? "";
    const all = filled.map((i) => this.lines[i]);
    // One column with decimal commas has no separator.
    const headed = all.length > 1 && !text.includes(",") && all.slice(1).some(inDecimals);
    const lone = headed || (all.some(inDecimals) && all.every((line) => sizedLine.test(line)));
    this.separator = all.some((l) => l.includes("\t"))
      ? "\t"
      : lone || all.some((l) => l.includes(";"))
        ? ";"
        : ",";
    const cells = cellsOf(text, this.separator);
    const head = cells.every((cell) => cell === "" || this.sized(cell) === undefined);
    this.heads = head ? cells.map(labelOf) : cells.map(() => ({ name: "" }));
    return head;
  }

  private cells(line: number): readonly string[] {
    const cells = cellsOf(this.lines[line], this.separator);
    for (let k = this.heads.length; k < cells.length; k++)
      if (cells[k] !== "")
        this.say("extra-cell", line, k, `the first row has ${this.heads.length} cells`, "name every column");
    return cells;
  }

  private column(k: number, rows: readonly number[], cells: readonly (readonly string[])[]) {
    let unit = this.heads[k].unit?.unit;
    const factor = this.heads[k].unit?.factor ?? 1;
    const values = rows.map((line, i) => {
      const cell = cells[i][k] ?? "";
      if (cell === "") return Number.NaN;
      const read = this.sized(cell);
      if (read === undefined) {
        this.say("no-number", line, k, `'${cell.slice(0, 24)}' is no measured value`, hint);
        return Number.NaN;
      }
      const own = read.unit ?? this.heads[k].unit?.unit;
      if (own === undefined) this.say("missing-unit", line, k, `'${cell}' has no unit`, hint);
      else if (unit !== undefined && own !== unit)
        this.say("mixed-units", line, k, `'${cell}' is in ${own}, what stands above it in ${unit}`);
      else unit = own;
      return read.unit === undefined ? read.value * factor : read.value;
    });
    return { unit: unit ?? "", values };
  }

  /** The value in a cell: a number, or a number with its unit. */
  private sized(cell: string): { value: number; unit?: string } | undefined {
    const commas = this.separator !== "," && cell.includes(",") && !cell.includes(".");
    const plain = numberIn(cell, commas ? "," : ".");
    if (Number.isFinite(plain)) return { value: plain };
    const read = readQuantity(commas ? cell.replace(",", ".") : cell);
    return read.ok ? { value: si(read.value), unit: unitOf(read.value.dimension) } : undefined;
  }

  private say(code: string, line: number, cell: number, what: string, mend?: string): void {
    const at = this.report.full ? 0 : cell;
    const { column, length } = cellPlace(this.lines[line], this.separator, at);
    const message = `${this.name}, row ${line + 1}, column ${cell + 1}: ${what}`;
    this.report.error(code, message, { line: line + 1, column, length }, { hint: mend });
  }
}
