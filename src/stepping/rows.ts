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

/** y = rows · (x, u, u'). */
export function evaluate(
  rows: Rows,
  x: Float64Array,
  u: Float64Array,
  du: Float64Array,
  y: Float64Array,
): void {
  const { count, X, U, D } = rows;
  const nx = x.length;
  const nu = u.length;
  for (let i = 0; i < count; i++) {
    let sum = 0;
    for (let j = 0, at = i * nx; j < nx; j++) sum += X[at++]! * x[j]!;
    for (let j = 0, at = i * nu; j < nu; j++, at++) sum += U[at]! * u[j]! + D[at]! * du[j]!;
    y[i] = sum;
  }
}

/** One row · (x, u, u'). */
export function evaluateRow(
  rows: Rows,
  i: number,
  x: Float64Array,
  u: Float64Array,
  du: Float64Array,
): number {
  const nx = x.length;
  const nu = u.length;
  let sum = 0;
  for (let j = 0, at = i * nx; j < nx; j++) sum += rows.X[at++]! * x[j]!;
  for (let j = 0, at = i * nu; j < nu; j++, at++) sum += rows.U[at]! * u[j]! + rows.D[at]! * du[j]!;
  return sum;
}
