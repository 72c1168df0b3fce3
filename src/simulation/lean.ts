// Rows of a combination of modes as a trace reads them: what is zero is left out, once for each row.
// Always: the same value, to the bit, as the whole row gives (`stepping/rows.ts`).
import type { Rows } from "../equations/condense.js";

/** One row without its zeros. */
interface Lean {
  readonly column: Int32Array;
  readonly value: Float64Array;
  readonly source: Int32Array;
  readonly U: Float64Array;
  readonly D: Float64Array;
}

/** Reads one row after another, mostly the same ones. */
export class LeanRows {
  private readonly met = new Map<Rows, (Lean | undefined)[]>();
  private last: Rows | undefined;
  private list: (Lean | undefined)[] = [];

  constructor(
    private readonly nx: number,
    private readonly nu: number,
  ) {}

  /** Row i · (x, u, u'). */
  read(rows: Rows, i: number, x: Float64Array, u: Float64Array, du: Float64Array): number {
    const { column, value, source, U, D } = this.of(rows, i);
    let sum = 0;
    for (let p = 0; p < column.length; p++) sum += value[p]! * x[column[p]!]!;
    for (let p = 0; p < source.length; p++) sum += U[p]! * u[source[p]!]! + D[p]! * du[source[p]!]!;
    return sum;
  }

  private of(rows: Rows, i: number): Lean {
    if (rows !== this.last) {
      this.last = rows;
      const known = this.met.get(rows);
      this.list = known ?? new Array(rows.count);
      if (!known) this.met.set(rows, this.list);
    }
    const found = this.list[i] ?? this.make(rows, i);
    this.list[i] = found;
    return found;
  }

  private make({ X, U, D }: Rows, i: number): Lean {
    const { nx, nu } = this;
    const own = (A: Float64Array, width: number) => A.subarray(i * width, (i + 1) * width);
    const [x, u, d] = [own(X, nx), own(U, nu), own(D, nu)];
    const column = Int32Array.from([...x.keys()].filter((j) => x[j] !== 0));
    const source = Int32Array.from([...u.keys()].filter((j) => u[j] !== 0 || d[j] !== 0));
    const pick = (from: Float64Array, at: Int32Array) => Float64Array.from(at, (j) => from[j]!);
    return { column, value: pick(x, column), source, U: pick(u, source), D: pick(d, source) };
  }
}
