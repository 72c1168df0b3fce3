// Finds pivots and factors: R A with its rows and columns permuted = L U. Every pivot is at least `threshold` of the largest
// entry left in its column and stands above the rounding of the column.
//
// Method: left-looking, one column at a time; a depth-first search first finds which entries of the column will be
// reached, so the work is proportional to the arithmetic. J. Gilbert, T. Peierls, Sparse partial pivoting in
// time proportional to arithmetic operations, SIAM J. Sci. Stat. Comput. 9(5), 1988.
//
// Notation: i row as given, j column as given, k step of elimination; x the current column, by row; at[i] the step
// at which row i was the pivot row (−1: not yet); R the row scales, powers of two, so scaling rounds nothing.
import { Singular, type SparseColumns } from "./sparsecolumns.js";

/** Prefer the given row while its entry is this share of the largest, so that multipliers stay below ten. */
const threshold = 0.1;

/** The factors and their permutations. */
export interface Factors {
  /** Below the diagonal, which is all ones; rows by step of elimination, in no order. */
  readonly L: SparseColumns;
  /** Above the diagonal; the entries of each column in an order in which they can be substituted. */
  readonly U: SparseColumns;
  /** Diagonal of U: the pivots. */
  readonly d: Float64Array;
  /**
   * The smallest ratio of a pivot to the largest number met in its column (with scaled rows); 1 at best. Anything less
   * has cancelled: at 1e-12 four of sixteen digits are left of that pivot. It does not change with the units of rows or
   * columns. A cheap indication, not a proof: a matrix may be worse than it says.
   */
  readonly pivotRatio: number;
  /** Step at which each row was the pivot row. */
  readonly at: Int32Array;
  /** Column eliminated at each step. */
  readonly order: Int32Array;
}

/**
 * Powers of two that bring the largest entry of each row to 1 … 2 (as far as doubles reach).
 * @throws Singular (`not-finite`) at the first column with an entry that is not a finite number
 */
export function rowScales(a: SparseColumns): Float64Array {
  const { n, start, row, value } = a;
  const scale = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      const size = Math.abs(value[p]);
      if (!(size < Infinity)) throw new Singular("not-finite", j);
      if (size > scale[row[p]]) scale[row[p]] = size;
    }
  }
  // The exponent of a double is the eleven bits after its sign, 1023 too high (IEEE 754): that of 2^−e is 2046 minus that of 2^e.
  const bits = new DataView(new ArrayBuffer(8));
  for (let i = 0; i < n; i++) {
    bits.setFloat64(0, scale[i]);
    const exponent = bits.getUint16(0) >>> 4;
    bits.setFloat64(0, 0);
    bits.setUint16(0, Math.max(1, 2046 - exponent) << 4);
    scale[i] = bits.getFloat64(0);
  }
  return scale;
}

/**
 * Factorises, choosing the pivots.
 * @param scale row scales, see `rowScales`
 * @param order columns in order of elimination, see `minimumDegree`
 * @param rowOf the row preferred for each column, see `matching`
 * @throws Singular (`rounding` or `not-finite`) at the column where no pivot is left
 */
export function factorise(
  a: SparseColumns,
  scale: Float64Array,
  order: Int32Array,
  rowOf: Int32Array,
): Factors {
  const work = new Elimination(a, scale);
  for (let k = 0; k < a.n; k++) work.eliminate(k, order[k], rowOf[order[k]]);
  const { lower, upper, d, pivotRatio, at } = work;
  const L = lower.matrix();
  for (let p = 0; p < L.row.length; p++) L.row[p] = at[L.row[p]];
  return { L, U: upper.matrix(), d, pivotRatio, at, order };
}

/** The factorisation in progress. */
class Elimination {
  readonly lower: Triangle;
  readonly upper: Triangle;
  readonly d: Float64Array;
  readonly at: Int32Array;
  pivotRatio = 1;
  private readonly x: Float64Array;
  /**
   * The share of a column's size that n roundings can amount to: a pivot below it means nothing. Every sum in the
   * elimination may err by half of 2^−52 of its terms, and the last pivot collects the errors of all n columns.
   */
  private readonly rounding: number;
  /** Rows of the current column, from `top` on, each before those that it affects. */
  private readonly reached: Int32Array;
  private top = 0;
  /** The last step that reached each row. */
  private readonly mark: Int32Array;
  private readonly path: Int32Array;
  private readonly cursor: Int32Array;
  /** Largest number met in the current column: the scale for its pivot. */
  private size = 0;

  constructor(
    private readonly a: SparseColumns,
    private readonly scale: Float64Array,
  ) {
    const { n, row } = a;
    this.lower = new Triangle(n, row.length);
    this.upper = new Triangle(n, row.length);
    this.d = new Float64Array(n);
    this.at = new Int32Array(n).fill(-1);
    this.x = new Float64Array(n);
    this.rounding = n * Number.EPSILON;
    this.reached = new Int32Array(n);
    this.mark = new Int32Array(n).fill(-1);
    this.path = new Int32Array(n);
    this.cursor = new Int32Array(n);
  }

  /** Step k: eliminates column j, with the row to prefer as its pivot. */
  eliminate(k: number, j: number, preferred: number): void {
    const { n, start, row } = this.a;
    const { lower, upper, mark, reached, x, at } = this;
    this.top = n;
    for (let p = start[j]; p < start[j + 1]; p++) if (mark[row[p]] !== k) this.search(row[p], k);
    lower.reserve(n - this.top);
    upper.reserve(n - this.top);
    this.load(j);
    const end = this.subtract();
    const best = this.pivot(k, j, preferred, end);
    const pivot = x[best];
    this.d[k] = pivot;
    this.pivotRatio = Math.min(this.pivotRatio, Math.abs(pivot) / this.size);
    at[best] = k;
    for (let t = this.top; t < end; t++) {
      const i = reached[t];
      if (i !== best) lower.push(i, x[i] / pivot);
      x[i] = 0;
    }
    lower.close(k);
    upper.close(k);
  }

  /** Puts every row that row i leads to into `reached`. */
  private search(i: number, k: number): void {
    const { at, mark, path, cursor, reached } = this;
    const { start: from, row: to } = this.lower;
    let depth = 0;
    path[0] = i;
    mark[i] = k;
    cursor[0] = at[i] < 0 ? 0 : from[at[i]];
    while (depth >= 0) {
      const step = at[path[depth]];
      const end = step < 0 ? 0 : from[step + 1];
      let p = cursor[depth];
      while (p < end && mark[to[p]] === k) p++;
      if (p >= end) {
        reached[--this.top] = path[depth--];
        continue;
      }
      cursor[depth] = p + 1;
      const next = to[p];
      mark[next] = k;
      path[++depth] = next;
      cursor[depth] = at[next] < 0 ? 0 : from[at[next]];
    }
  }

  /** Loads the scaled entries of column j into x. */
  private load(j: number): void {
    const { x, scale } = this;
    const { start, row, value } = this.a;
    let size = 0;
    for (let p = start[j]; p < start[j + 1]; p++) {
      const i = row[p];
      x[i] = scale[i] * value[p];
      size = Math.max(size, Math.abs(x[i]));
    }
    this.size = size;
  }

  /**
   * Subtracts the earlier columns from this one. Rows that were not yet pivots are candidates, and are gathered side by
   * side from `top` on.
   * @returns the end of the candidates
   */
  private subtract(): number {
    const { x, at, reached, top, upper } = this;
    const { row: li, value: lx, start: ls } = this.lower;
    let candidates = top;
    for (let t = top; t < reached.length; t++) {
      const i = reached[t];
      const step = at[i];
      if (step < 0) {
        reached[candidates++] = i;
        continue;
      }
      const u = x[i];
      x[i] = 0;
      upper.push(step, u);
      this.size = Math.max(this.size, Math.abs(u));
      if (u === 0) continue;
      for (let p = ls[step]; p < ls[step + 1]; p++) x[li[p]] -= lx[p] * u;
    }
    return candidates;
  }

  /** Chooses the pivot row among the candidates. */
  private pivot(k: number, j: number, preferred: number, end: number): number {
    const { x, reached, mark, at } = this;
    let largest = 0;
    let best = -1;
    for (let t = this.top; t < end; t++) {
      const i = reached[t];
      const candidate = Math.abs(x[i]);
      if (!(candidate < Infinity)) throw new Singular("not-finite", j);
      if (candidate > largest) {
        largest = candidate;
        best = i;
      }
    }
    if (!(largest > this.rounding * this.size)) throw new Singular("rounding", j);
    const free = mark[preferred] === k && at[preferred] < 0;
    return free && Math.abs(x[preferred]) >= threshold * largest ? preferred : best;
  }
}

/** A triangle that grows column by column. */
class Triangle {
  readonly start: Int32Array;
  row: Int32Array;
  value: Float64Array;
  private count = 0;

  constructor(
    private readonly n: number,
    room: number,
  ) {
    this.start = new Int32Array(n + 1);
    this.row = new Int32Array(room);
    this.value = new Float64Array(room);
  }

  /** Makes room for so many more entries. */
  reserve(more: number): void {
    if (this.count + more <= this.row.length) return;
    const room = Math.max(2 * this.row.length, this.count + more);
    const { row, value } = this;
    this.row = new Int32Array(room);
    this.row.set(row);
    this.value = new Float64Array(room);
    this.value.set(value);
  }

  push(row: number, value: number): void {
    this.row[this.count] = row;
    this.value[this.count++] = value;
  }

  /** Ends column k. */
  close(k: number): void {
    this.start[k + 1] = this.count;
  }

  matrix(): SparseColumns {
    const { n, start, count } = this;
    return { n, start, row: this.row.slice(0, count), value: this.value.slice(0, count) };
  }
}
