// What can be bought, or is in the drawer: a table of the user's own, one row per offer, its columns in any order and named in
// its first row. Cells are separated by commas, semicolons or tabs; unless by commas, a decimal comma is read as well.
//
//   kind        as a design says it: resistor, capacitor, diode; needed
//   name        full name of the one part that it is for, where kind and value do not say it
//   value       with its unit: 15 nF; empty where the kind has none
//   tolerance   with %: 5 %
//   voltage, power, current   what it is rated for, with unit: 63 V, 0.25 W, 1 A
//   price       of one, a plain number; the word after it in the head is the currency: price EUR
//   stock       how many there are, a whole number
//   order       what to order it by, any words

import { DesignError, Report } from "../base/diagnostic.js";
import { type Dimension, dimension, sameDimension, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handedText } from "../base/handed.js";
import { nearest } from "../base/nearest.js";
import { type Quantity, readQuantity } from "../base/quantity.js";
import type { Span } from "../base/span.js";
import { cellPlace, cellsOf, numberIn, type Separator, separatorLine } from "../instruments/dialect.js";
import { kinds } from "../parts/kinds.js";

/** One row of a file of prices and stock. SI units. */
export interface StockItem {
  /** As a design says it. */
  readonly kind: string;
  /** The one part that it is for. */
  readonly name?: string;
  /** SI unit of its kind. */
  readonly value?: number;
  /** As a share. */
  readonly tolerance?: number;
  /** Voltage rating, V. */
  readonly voltage?: number;
  /** Power rating, W. */
  readonly power?: number;
  /** Current rating, A. */
  readonly current?: number;
  /** Price of one. */
  readonly price?: number;
  /** How many there are. */
  readonly stock?: number;
  /** What to order it by. */
  readonly order?: string;
  /** Row of the file, from 1. */
  readonly row: number;
}

/** A file of prices and stock, read. */
export interface StockList {
  /** The word after `price` in the head, empty where there is none. */
  readonly currency: string;
  /** In the order of the file. */
  readonly items: readonly StockItem[];
}

/** The columns that are known. */
const heads = [
  "kind",
  "name",
  "value",
  "tolerance",
  "voltage",
  "power",
  "current",
  "price",
  "stock",
  "order",
] as const;
type Head = (typeof heads)[number];
/** The most rows; a catalogue has fewer, and anything longer is something else. */
const most = 100_000;

/**
 * Reads a file of prices and stock.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const stock = readStock("kind,value,price EUR,stock\ncapacitor,15 nF,0.08,120\n");
 * partsList(design, { stock }).rows.find(({ kind }) => kind === "capacitor")?.cost; // 0.08
 * ```
 * @throws DesignError with every mistake, by row and column: `unknown-column`, `missing-column`, `unknown-kind`, `no-number`,
 * `extra-cell`, `too-many-rows`
 */
export function readStock(text: string): StockList {
  handedText(text, "text");
  const report = new Report();
  const found = new StockReader(text, report).read();
  if (report.failed) throw new DesignError(report.diagnostics);
  return found;
}

class StockReader {
  private readonly lines: readonly string[];
  private separator: Separator = ",";
  private columns: readonly (Head | undefined)[] = [];

  constructor(
    text: string,
    private readonly report: Report,
  ) {
    this.lines = text.replace(/^\uFEFF/, "").split(/\r\n|\n|\r/);
  }

  read(): StockList {
    const { lines, report } = this;
    const first = lines.findIndex((line) => line.trim() !== "" && !separatorLine.test(line));
    if (first < 0) {
      report.error(
        "missing-column",
        "the table is empty",
        { line: 1, column: 1, length: 0 },
        { hint: columnHint },
      );
      return { currency: "", items: [] };
    }
    const currency = this.head(first);
    const filled = [...lines.keys()].slice(first + 1).filter((i) => /[^\s,;"]/.test(lines[i]));
    if (filled.length > most) {
      const span = { line: filled[most] + 1, column: 1, length: 0 };
      report.error("too-many-rows", `more than ${most} rows`, span);
      return { currency, items: [] };
    }
    const items: StockItem[] = [];
    if (this.columns.includes("kind"))
      for (const i of filled) {
        const offer = this.row(i);
        if (offer) items.push(offer);
      }
    return { currency, items };
  }

  /** Reads the head; returns the currency. */
  private head(line: number): string {
    const text = this.lines[line];
    this.separator = text.includes("\t") ? "\t" : text.includes(";") ? ";" : ",";
    let currency = "";
    const seen = new Set<string>();
    this.columns = cellsOf(text, this.separator).map((cell, k) => {
      const [, word, more] = /^(\S*)\s*(.*)$/.exec(cell)!;
      const head = heads.find((h) => h === word.toLowerCase());
      if (head === undefined || seen.has(head)) {
        const message = head ? `'${head}' heads two columns` : `'${cell}' heads no column that is known`;
        const like = nearest(word.toLowerCase(), heads);
        return this.report.error("unknown-column", message, this.at(line, k), {
          hint: like && !head ? `did you mean '${like}'?` : columnHint,
        });
      }
      seen.add(head);
      if (head === "price") currency = more.replace(/^[([]|[)\]]$/g, "");
      return head;
    });
    if (!seen.has("kind"))
      this.report.error("missing-column", "no column is headed 'kind'", this.at(line, 0), {
        hint: columnHint,
      });
    return currency;
  }

  private row(line: number): StockItem | undefined {
    const cells = cellsOf(this.lines[line], this.separator);
    // A decimal comma between commas makes two cells of a number, and moves all behind it.
    const extra = cells.findIndex((one, k) => k >= this.columns.length && one !== "");
    if (extra >= 0)
      return this.report.error(
        "extra-cell",
        `the first row names ${this.columns.length} columns`,
        this.at(line, extra),
        {
          hint: "name every column; where numbers have a decimal comma, semicolons part the cells",
        },
      );
    const place = (head: Head) => this.columns.indexOf(head);
    const cell = (head: Head) => (place(head) < 0 ? "" : (cells[place(head)] ?? ""));
    const at = (head: Head) => this.at(line, place(head));
    const word = cell("kind").toLowerCase();
    const kind = kinds.find((k) => k.word === word);
    if (!kind) {
      const like = nearest(
        word,
        kinds.map((k) => k.word),
      );
      const hint = like ? `did you mean '${like}'?` : "a kind as a design says it, 'resistor' for one";
      return this.report.error("unknown-kind", `'${cell("kind")}' is no kind of part`, at("kind"), { hint });
    }
    const sized = (head: Head, dim: Dimension) => this.quantity(cell(head), dim, () => at(head));
    const plain = (head: "price" | "stock") => this.plain(head, cell(head), () => at(head));
    return {
      kind: word,
      name: cell("name") || undefined,
      value: kind.value && sized("value", kind.value.dimension),
      tolerance: sized("tolerance", dimension.number),
      voltage: sized("voltage", dimension.voltage),
      power: sized("power", dimension.power),
      current: sized("current", dimension.current),
      price: plain("price"),
      stock: plain("stock"),
      order: cell("order") || undefined,
      row: line + 1,
    };
  }

  private quantity(cell: string, dim: Dimension, at: () => Span): number | undefined {
    if (cell === "") return undefined;
    const text = this.separator === "," ? cell : cell.replace(",", ".");
    const read = readQuantity(text);
    const value: Quantity | undefined = read.ok ? read.value : undefined;
    const unit = unitOf(dim) || "%";
    // A tolerance of 5 is 500 %, and was meant to be 5 %.
    const below = dim === dimension.number ? 1 : Number.POSITIVE_INFINITY;
    const size = value && sameDimension(value.dimension, dim) ? toNumber(value.value) : 0;
    if (size > 0 && size < below) return size;
    const sort = read.ok ? `above zero${below === 1 ? " and below 100 %" : ""}, in ${unit}` : read.message;
    return this.report.error("no-number", `'${cell}' is no such value: ${sort}`, at(), {
      hint: `a number with its unit, ${unit}`,
    });
  }

  private plain(head: "price" | "stock", cell: string, at: () => Span): number | undefined {
    if (cell === "") return undefined;
    const commas = this.separator !== "," && !cell.includes(".");
    const value = numberIn(cell, commas && cell.includes(",") ? "," : ".");
    const whole = head === "stock";
    // Of 1.000 or 1,000 pieces it is not known whether one or a thousand are meant.
    const counts = /^\d+$/.test(cell) && Number.isSafeInteger(value);
    if (value >= 0 && Number.isFinite(value) && (!whole || counts)) return value;
    return this.report.error("no-number", `'${cell}' is no ${head}`, at(), {
      hint: whole
        ? "a whole number from 0 on, digits alone"
        : "a plain number from 0 on; the currency stands in the head: price EUR",
    });
  }

  private at(line: number, cell: number): Span {
    const { column, length } = cellPlace(
      this.lines[line],
      this.separator,
      this.report.full ? 0 : Math.max(0, cell),
    );
    return { line: line + 1, column, length };
  }
}

const columnHint = `the first row names the columns: ${heads.join(", ")}`;
