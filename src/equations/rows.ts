// Rows for readers to evaluate: over (x, u, u'), as flat arrays, made from sparse rows over x | u | u' side by side. Rows that
// only a reader needs are made on first use, singly where one is enough: most of a large circuit is never looked at.
import { fullRows, type SparseRows } from "./sparserows.js";
import type { Vector } from "./vector.js";

/** Rows over (x, u, u'), flat: row i of X starts at i·nx, of U and D at i·nu. */
export interface Rows {
  readonly count: number;
  readonly X: Float64Array;
  readonly U: Float64Array;
  readonly D: Float64Array;
  /** X again without its zeros, and the sources of each row without the constants: used to evaluate rows. */
  readonly sparse: SparseRows & { readonly from: Int32Array; readonly source: Int32Array };
}

/** Rows made from sparse ones; X in full only on request. */
export class RowTable implements Rows {
  readonly count: number;
  readonly U: Float64Array;
  readonly D: Float64Array;
  readonly sparse: Rows["sparse"];
  private full: Float64Array | undefined = undefined;

  constructor(
    rows: readonly Vector[],
    private readonly nx: number,
    nu: number,
  ) {
    this.count = rows.length;
    this.U = new Float64Array(rows.length * nu);
    this.D = new Float64Array(rows.length * nu);
    const start = new Int32Array(rows.length + 1);
    const from = new Int32Array(rows.length + 1);
    const column: number[] = [];
    const value: number[] = [];
    const source: number[] = [];
    for (const [i, { at, of }] of rows.entries()) {
      const first = source.length;
      for (let p = 0; p < at.length; p++) {
        const j = at[p] - nx;
        if (j < 0) {
          column.push(at[p]);
          value.push(of[p]);
          continue;
        }
        const s = j < nu ? j : j - nu;
        (j < nu ? this.U : this.D)[i * nu + s] = of[p];
        if (s > 0 && !source.includes(s, first)) source.push(s);
      }
      if (source.length - first > 1) source.push(...source.splice(first).sort((a, b) => a - b));
      start[i + 1] = column.length;
      from[i + 1] = source.length;
    }
    this.sparse = {
      start,
      column: Int32Array.from(column),
      value: Float64Array.from(value),
      from,
      source: Int32Array.from(source),
    };
  }

  get X(): Float64Array {
    this.full ??= fullRows(this.sparse, this.nx);
    return this.full;
  }
}

/** A row, and the parts whose voltage or current is not right to ten digits in it. */
interface Doubted {
  readonly rows: Rows;
  readonly doubts: ReadonlySet<number>;
}

/** Rows by index, each made on first use and shared by the circuits that have these equations. */
export class LazyRows {
  private readonly single = new Map<number, Doubted>();
  private whole: Doubted | undefined = undefined;

  /** @param at makes a row, and tells which parts it doubts */
  constructor(
    private readonly count: number,
    private readonly nx: number,
    private readonly nu: number,
    private readonly at: (i: number, doubts: Set<number>) => Vector,
  ) {}

  /** All of them. @param doubts takes the parts that they doubt */
  all(doubts: Set<number>): Rows {
    this.whole ??= this.made(Array.from({ length: this.count }, (_, i) => i));
    return told(this.whole, doubts);
  }

  /** One of them, as rows of count one. */
  one(i: number, doubts: Set<number>): Rows {
    let found = this.single.get(i);
    if (!found) {
      found = this.made([i]);
      this.single.set(i, found);
    }
    return told(found, doubts);
  }

  private made(which: readonly number[]): Doubted {
    const doubts = new Set<number>();
    const rows = which.map((i) => this.at(i, doubts));
    return { rows: new RowTable(rows, this.nx, this.nu), doubts };
  }
}

function told({ rows, doubts }: Doubted, into: Set<number>): Rows {
  for (const part of doubts) into.add(part);
  return rows;
}
