// Small products on flat arrays: the kernels of the march. Nothing is allocated.

import type { Rows } from "../equations/condense.js";
import type { SparseRows } from "../equations/sparserows.js";

/** The sources at an instant: levels, slopes, and the amplitude of each that is a single sine. */
export interface Sources {
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly crest: Float64Array;
}

/** One instant of a march: states, sources, x'. */
export interface Instant extends Sources {
  readonly x: Float64Array;
  readonly f: Float64Array;
}

/** y = x; for so few entries faster than a bulk copy. */
export function copyEntries(x: Float64Array, y: Float64Array): void {
  for (let j = 0; j < x.length; j++) y[j] = x[j];
}

/** y += A x */
export function addRows({ start, column, value }: SparseRows, x: Float64Array, y: Float64Array): void {
  for (let i = 0; i < y.length; i++) {
    let sum = 0;
    for (let p = start[i]; p < start[i + 1]; p++) sum += value[p] * x[column[p]];
    y[i] += sum;
  }
}

/** y = A x; y may be longer than A has rows. */
export function multiplyRows({ start, column, value }: SparseRows, x: Float64Array, y: Float64Array): void {
  const count = start.length - 1;
  for (let i = 0, p = 0; i < count; i++) {
    let sum = 0;
    for (const end = start[i + 1]; p < end; p++) sum += value[p] * x[column[p]];
    y[i] = sum;
  }
}

/**
 * y = E x for flat rows as wide as x, three at a time, so that their sums do not wait for each other; y may be longer.
 * The bits equal those of the rows without zeros, as long as x is finite.
 */
export function multiplyFull(E: Float64Array, x: Float64Array, y: Float64Array): void {
  const width = x.length;
  let at = 0;
  let i = 0;
  for (const end = E.length - 2 * width; at < end; at += 3 * width) {
    let one = 0;
    let two = 0;
    let three = 0;
    for (let j = 0, p = at, q = at + width, r = at + 2 * width; j < width; j++, p++, q++, r++) {
      const v = x[j];
      one += E[p] * v;
      two += E[q] * v;
      three += E[r] * v;
    }
    y[i++] = one;
    y[i++] = two;
    y[i++] = three;
  }
  for (; at < E.length; at += width) {
    let sum = 0;
    for (let j = 0, p = at; j < width; j++, p++) sum += E[p] * x[j];
    y[i++] = sum;
  }
}

/** The same for two rows. */
export function multiplyPair(E: Float64Array, x: Float64Array, y: Float64Array): void {
  const width = x.length;
  let one = 0;
  let two = 0;
  for (let j = 0, q = width; j < width; j++, q++) {
    const v = x[j];
    one += E[j] * v;
    two += E[q] * v;
  }
  y[0] = one;
  y[1] = two;
}

/** A X for an X of so many columns; columns of A beyond the rows of X are ignored. */
export function multiplyColumns(
  { start, column, value }: SparseRows,
  X: Float64Array,
  columns: number,
): Float64Array {
  const out = new Float64Array(X.length);
  const count = X.length / columns;
  for (let i = 0; i < count; i++) {
    for (let p = start[i], end = start[i + 1]; p < end && column[p] < count; p++) {
      const v = value[p];
      for (let j = 0, at = i * columns, from = column[p] * columns; j < columns; j++)
        out[at + j] += v * X[from + j];
    }
  }
  return out;
}

/** y = A x in some rows alone; the rest of y is unchanged. */
export function multiplySome(
  { start, column, value }: SparseRows,
  rows: Int32Array,
  x: Float64Array,
  y: Float64Array,
): void {
  for (let k = 0; k < rows.length; k++) {
    const i = rows[k];
    let sum = 0;
    for (let p = start[i], end = start[i + 1]; p < end; p++) sum += value[p] * x[column[p]];
    y[i] = sum;
  }
}

/** Row i · (x, u, u'). */
export function evaluateRow(
  { sparse, U, D }: Rows,
  i: number,
  x: Float64Array,
  u: Float64Array,
  du: Float64Array,
): number {
  const { start, column, value, from, source } = sparse;
  const first = i * u.length;
  let sum = 0;
  for (let p = start[i], end = start[i + 1]; p < end; p++) sum += value[p] * x[column[p]];
  sum += U[first] * u[0];
  for (let q = from[i], end = from[i + 1]; q < end; q++) {
    const s = source[q];
    sum += U[first + s] * u[s] + D[first + s] * du[s];
  }
  return sum;
}

/** y = rows · (x, u, u'). */
export function evaluate(
  rows: Rows,
  x: Float64Array,
  u: Float64Array,
  du: Float64Array,
  y: Float64Array,
): void {
  for (let i = 0; i < rows.count; i++) y[i] = evaluateRow(rows, i, x, u, du);
}

/** The same, and y' a second: rows · (f, u', 0) with f = x'; bends of the sources are left out. */
export function evaluateMoving(
  { count, sparse, U, D }: Rows,
  { x, f, u, du }: Omit<Instant, "crest">,
  y: Float64Array,
  rates: Float64Array,
): void {
  const { start, column, value, from, source } = sparse;
  const nu = u.length;
  for (let i = 0, p = 0, q = 0; i < count; i++) {
    let sum = 0;
    let rate = 0;
    for (const end = start[i + 1]; p < end; p++) {
      const k = column[p];
      sum += value[p] * x[k];
      rate += value[p] * f[k];
    }
    // u[0] is 1 and never changes.
    sum += U[i * nu];
    for (const end = from[i + 1]; q < end; q++) {
      const s = source[q];
      const j = i * nu + s;
      sum += U[j] * u[s] + D[j] * du[s];
      rate += U[j] * du[s];
    }
    y[i] = sum;
    rates[i] = rate;
  }
}
