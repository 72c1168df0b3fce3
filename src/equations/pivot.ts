// The first factorisation: finds pivots and the pattern of the factors, R A with its rows and columns permuted = L U.
// Takes the matrix, its row scales, the order of elimination and the rows to prefer; gives the factors and the
// permutations. What always holds: every pivot is at least `threshold` of the largest entry left in its column and
// stands above the rounding of the column; entries that happen to be zero stay in the pattern, so that the pattern
// serves any values with the same pivots.
//
// Method: left-looking, one column at a time; a depth-first search finds beforehand which entries of the column
// will be met, so the work goes in proportion to the arithmetic. J. Gilbert, T. Peierls, Sparse partial pivoting in
// time proportional to arithmetic operations, SIAM J. Sci. Stat. Comput. 9(5), 1988.
//
// Notation: i row as given, j column as given, k step of elimination; x the column under way, by row; at[i] the step
// at which row i was the pivot row (−1: not yet); R the row scales, powers of two, so scaling rounds nothing.
import { Singular, type SparseColumns } from "./columns.js";

/** Prefer the given row while its entry is this share of the largest, so that multipliers stay below ten. */
export const threshold = 0.1;

/** The factors and how they stand to the matrix. */
export interface Factors {
  /** Below the diagonal, which is all ones; rows by step of elimination, in no order. */
  readonly L: SparseColumns;
  /** Above the diagonal; each column in an order in which it can be worked off. */
  readonly U: SparseColumns;
  /** Diagonal of U: the pivots. */
  readonly d: Float64Array;
  /** Largest number met in each column while it was eliminated: what its pivot is to be seen against. */
  readonly size: Float64Array;
  /** Step at which each row was the pivot row. */
  readonly at: Int32Array;
  /** Column eliminated at each step. */
  readonly order: Int32Array;
}

/**
 * Powers of two that bring the largest entry of each row to 1 … 2 (as far as doubles reach).
 * @throws Singular (`not-finite`) at the first column with an entry that is not a finite number
 */
export function scaleRows(a: SparseColumns, scale: Float64Array, bits: DataView): void {
  const { n, start, row, value } = a;
  scale.fill(0);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      const size = Math.abs(value[p]);
      if (!(size < Infinity)) throw new Singular("not-finite", j);
      if (size > scale[row[p]]) scale[row[p]] = size;
    }
  }
  // The exponent of a double is the eleven bits after its sign, 1023 too high (IEEE 754): 2^e to 2^−e is 2046 less it.
  for (let i = 0; i < n; i++) {
    bits.setFloat64(0, scale[i]);
    const exponent = bits.getUint16(0) >>> 4;
    bits.setFloat64(0, 0);
    bits.setUint16(0, Math.max(1, 2046 - exponent) << 4);
    scale[i] = bits.getFloat64(0);
  }
}

/**
 * The part of a column's size that n roundings can make up: a pivot below it says nothing. Every sum in the
 * elimination may err by half of 2^−52 of its terms, and the last pivot gathers the errors of all n columns.
 */
export function roundingOf(n: number): number {
  return n * Number.EPSILON;
}

/**
 * Factorises, choosing the pivots.
 * @param scale row scales, see `scaleRows`
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
  const { n, start, row, value } = a;
  const lower = new Store(n, a.row.length);
  const upper = new Store(n, a.row.length);
  const d = new Float64Array(n);
  const sizes = new Float64Array(n);
  const at = new Int32Array(n).fill(-1);
  const x = new Float64Array(n);
  const reached = new Int32Array(n);
  const mark = new Int32Array(n).fill(-1);
  const path = new Int32Array(n);
  const cursor = new Int32Array(n);
  let top = n;

  /** Puts every row that row i leads to into `reached`, each before those it has an effect on. */
  function search(i: number, k: number): void {
    const { start: from, row: to } = lower;
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
        reached[--top] = path[depth--];
        continue;
      }
      cursor[depth] = p + 1;
      const next = to[p];
      mark[next] = k;
      path[++depth] = next;
      cursor[depth] = at[next] < 0 ? 0 : from[at[next]];
    }
  }

  const rounding = roundingOf(n);
  for (let k = 0; k < n; k++) {
    const j = order[k];
    top = n;
    let size = 0;
    for (let p = start[j]; p < start[j + 1]; p++) if (mark[row[p]] !== k) search(row[p], k);
    for (let p = start[j]; p < start[j + 1]; p++) {
      const i = row[p];
      x[i] = scale[i] * value[p];
      size = Math.max(size, Math.abs(x[i]));
    }
    lower.reserve(n - top);
    upper.reserve(n - top);
    const { row: li, value: lx, start: ls } = lower;

    // What the columns before do to this one; rows that were not yet pivots are candidates.
    let largest = 0;
    let best = -1;
    let candidates = top;
    for (let t = top; t < n; t++) {
      const i = reached[t];
      const step = at[i];
      if (step < 0) {
        reached[candidates++] = i;
        continue;
      }
      const u = x[i];
      x[i] = 0;
      upper.push(step, u);
      size = Math.max(size, Math.abs(u));
      if (u === 0) continue;
      for (let p = ls[step]; p < ls[step + 1]; p++) x[li[p]] -= lx[p] * u;
    }
    for (let t = top; t < candidates; t++) {
      const i = reached[t];
      const candidate = Math.abs(x[i]);
      if (!(candidate < Infinity)) throw new Singular("not-finite", j);
      if (candidate > largest) {
        largest = candidate;
        best = i;
      }
    }
    if (!(largest > rounding * size)) throw new Singular("rounding", j);
    const preferred = rowOf[j];
    if (mark[preferred] === k && at[preferred] < 0 && Math.abs(x[preferred]) >= threshold * largest) {
      best = preferred;
    }
    const pivot = x[best];
    d[k] = pivot;
    sizes[k] = size;
    at[best] = k;
    for (let t = top; t < candidates; t++) {
      const i = reached[t];
      if (i !== best) lower.push(i, x[i] / pivot);
      x[i] = 0;
    }
    lower.close(k);
    upper.close(k);
  }
  const L = lower.matrix();
  for (let p = 0; p < L.row.length; p++) L.row[p] = at[L.row[p]];
  return { L, U: upper.matrix(), d, size: sizes, at, order };
}

/** A triangle that grows column by column. */
class Store {
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
