// Matrices without their zeros, row by row: the march multiplies by the same few in every step, and most states of a circuit
// do not affect most others. Entries are in the order of their columns, so a product has the same bits as one with the
// zeros.
import type { Vector } from "./vector.js";

/** Rows without their zeros: row i is at start[i] … start[i + 1]. */
export interface SparseRows {
  readonly start: Int32Array;
  readonly column: Int32Array;
  readonly value: Float64Array;
}

/** Leaves out the zeros of `count` rows, each `nx` wide. */
export function sparseRows(X: Float64Array, count: number, nx: number): SparseRows {
  const start = new Int32Array(count + 1);
  const column: number[] = [];
  const value: number[] = [];
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < nx; j++) {
      if (X[i * nx + j] === 0) continue;
      column.push(j);
      value.push(X[i * nx + j]);
    }
    start[i + 1] = column.length;
  }
  return { start, column: Int32Array.from(column), value: Float64Array.from(value) };
}

/** The entries of some rows in columns below nx. */
export function sparseRowsOf(rows: readonly Vector[], nx: number): SparseRows {
  const start = new Int32Array(rows.length + 1);
  const column: number[] = [];
  const value: number[] = [];
  for (const [i, { at, of }] of rows.entries()) {
    for (let p = 0; p < at.length && at[p] < nx; p++) {
      column.push(at[p]);
      value.push(of[p]);
    }
    start[i + 1] = column.length;
  }
  return { start, column: Int32Array.from(column), value: Float64Array.from(value) };
}

/** The same rows with their zeros, each `nx` wide. */
export function fullRows({ start, column, value }: SparseRows, nx: number): Float64Array {
  const X = new Float64Array((start.length - 1) * nx);
  for (let i = 0; i < start.length - 1; i++)
    for (let p = start[i]; p < start[i + 1]; p++) X[i * nx + column[p]] = value[p];
  return X;
}

/** `width` columns from `first` on, in full, row by row. */
export function blockOf(rows: readonly Vector[], first: number, width: number): Float64Array {
  const out = new Float64Array(rows.length * width);
  for (const [k, { at, of }] of rows.entries())
    for (let p = 0; p < at.length; p++)
      if (at[p] >= first && at[p] < first + width) out[k * width + at[p] - first] = of[p];
  return out;
}

/** The effect of one source on the states, in the rows where it has any. */
export interface Drive {
  readonly source: number;
  readonly row: Int32Array;
  readonly B: Float64Array;
  readonly D: Float64Array;
}

/** The drives of the sources listed; B and D have `nu` columns. */
export function drivesOf(active: readonly number[], B: Float64Array, D: Float64Array, nu: number): Drive[] {
  return active.map((source) => {
    const rows: number[] = [];
    for (let k = 0; k * nu < B.length; k++)
      if (B[k * nu + source] !== 0 || D[k * nu + source] !== 0) rows.push(k);
    const pick = (from: Float64Array) => Float64Array.from(rows, (k) => from[k * nu + source]);
    return { source, row: Int32Array.from(rows), B: pick(B), D: pick(D) };
  });
}

/** Sources (1…) that appear in any row; B and D have `nu` columns. */
export function activeOf(B: Float64Array, D: Float64Array, nu: number): number[] {
  const moves = new Uint8Array(nu);
  for (let p = 0; p < B.length; p++) if (B[p] !== 0 || D[p] !== 0) moves[p % nu] = 1;
  return Array.from(moves.keys()).filter((s) => s > 0 && moves[s] === 1);
}

/** Every entry of A, and its whole diagonal. */
export function* entriesOf({ start, column, value }: SparseRows): Generator<[number, number, number]> {
  for (let k = 0; k < start.length - 1; k++) {
    yield [k, k, 0];
    for (let p = start[k]; p < start[k + 1]; p++) yield [k, column[p], value[p]];
  }
}
