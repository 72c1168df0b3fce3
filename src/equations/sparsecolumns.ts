// Sparse matrices in compressed columns: column j is at start[j] … start[j + 1] of `row` and `value`. Rows within a column
// ascend, without duplicates; entries of value zero stay. Values for the same position are added in the order in which they
// came, so equal input gives equal bits.
//
// Notation: n order of the matrix, i row, j column, p position of an entry.

/** A square matrix in compressed columns. */
export interface SparseColumns {
  readonly n: number;
  /** Where each column starts, n + 1 numbers; the last is the number of entries. */
  readonly start: Int32Array;
  readonly row: Int32Array;
  readonly value: Float64Array;
}

/**
 * Why a matrix has no factors.
 * - `structure`: however the values are chosen, these nonzero entries leave some column without a pivot of its own;
 * - `rounding`: what is left of the column is no larger than the rounding of the sums that made it;
 * - `not-finite`: an entry, or a result of one, is infinite or not a number.
 */
export class Singular extends Error {
  override readonly name = "Singular";
  constructor(
    readonly reason: "structure" | "rounding" | "not-finite",
    /** The first column where it shows, counted from 0 in the order of the matrix as given. */
    readonly column: number,
  ) {
    super(`matrix is singular (${reason}) at column ${column}`);
  }
}

/** An entry of a matrix; entries at the same position add up. */
export type Entry = readonly [row: number, column: number, value: number];

/**
 * Makes a matrix from entries in any order.
 * @param n order of the matrix, a whole number from 0
 * @throws RangeError where a row or column lies outside 0 … n − 1
 */
export function compress(n: number, entries: Iterable<Entry>): SparseColumns {
  const rows: number[] = [];
  const columns: number[] = [];
  const values: number[] = [];
  const inside = (i: number) => Number.isInteger(i) && i >= 0 && i < n;
  for (const [i, j, value] of entries) {
    if (!(inside(i) && inside(j))) throw new RangeError(`entry at ${i}, ${j} outside a matrix of order ${n}`);
    rows.push(i);
    columns.push(j);
    values.push(value);
  }
  // Two counting sorts, by row and then by column: both keep the order of equals, so duplicates stay as they came.
  const byRow = sorted(n, rows, Int32Array.from(rows.keys()));
  const place = sorted(n, columns, byRow);
  const start = new Int32Array(n + 1);
  const row = new Int32Array(place.length);
  const value = new Float64Array(place.length);
  let count = 0;
  let last = -1;
  for (const p of place) {
    const repeated = last >= 0 && rows[last] === rows[p] && columns[last] === columns[p];
    if (repeated) {
      value[count - 1] += values[p];
    } else {
      row[count] = rows[p];
      value[count++] = values[p];
      start[columns[p] + 1] = count;
    }
    last = p;
  }
  // A column without entries ends where the one before it does.
  for (let j = 0; j < n; j++) start[j + 1] = Math.max(start[j], start[j + 1]);
  return { n, start, row: row.slice(0, count), value: value.slice(0, count) };
}

/**
 * y = A x.
 * @param x n numbers, not changed
 * @param y n numbers, overwritten; not the same array as x
 */
export function multiply(a: SparseColumns, x: Float64Array, y: Float64Array): void {
  const { n, start, row, value } = a;
  y.fill(0, 0, n);
  for (let j = 0; j < n; j++) {
    const xj = x[j];
    for (let p = start[j]; p < start[j + 1]; p++) y[row[p]] += value[p] * xj;
  }
}

/** The positions in the order of their keys (0 … n − 1); equal keys keep their order. */
function sorted(n: number, keys: readonly number[], places: Int32Array): Int32Array {
  const next = new Int32Array(n + 1);
  for (const key of keys) next[key + 1]++;
  for (let key = 0; key < n; key++) next[key + 1] += next[key];
  const out = new Int32Array(places.length);
  for (const p of places) out[next[keys[p]]++] = p;
  return out;
}
