// Small products on flat arrays: the kernels of the march. Nothing is allocated.
import type { Rows } from "../equations/condense.js";

/** y += A x, A of `count` rows by `width`. */
export function addProduct(
  A: Float64Array,
  x: Float64Array,
  count: number,
  width: number,
  y: Float64Array,
): void {
  let at = 0;
  for (let i = 0; i < count; i++) {
    let sum = 0;
    for (let j = 0; j < width; j++) sum += A[at++]! * x[j]!;
    y[i]! += sum;
  }
}

/** What the states have in row i: X[i] · x. */
export function stateShare({ X, thin }: Rows, i: number, x: Float64Array): number {
  let sum = 0;
  if (thin) {
    const { start, column, value } = thin;
    for (let p = start[i]!; p < start[i + 1]!; p++) sum += value[p]! * x[column[p]!]!;
    return sum;
  }
  for (let j = 0, at = i * x.length; j < x.length; j++) sum += X[at++]! * x[j]!;
  return sum;
}

/** Row i · (x, u, u'). */
export function evaluateRow(
  rows: Rows,
  i: number,
  x: Float64Array,
  u: Float64Array,
  du: Float64Array,
): number {
  let sum = stateShare(rows, i, x);
  for (let j = 0, at = i * u.length; j < u.length; j++, at++)
    sum += rows.U[at]! * u[j]! + rows.D[at]! * du[j]!;
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
