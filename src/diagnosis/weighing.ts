// Products of vectors with the inverse of C = D + S Sᵀ, D diagonal: readings with scatter of their own, D, and scatter from
// shared values, S. By Cholesky factors of C itself, or, where fewer values are shared than there are readings, of I + Sᵀ D⁻¹ S:
// by the formula of J. Sherman, W. J. Morrison, Ann. Math. Stat. 21, 1950, and M. A. Woodbury (the same year), with
// |C| = |D| |I + Sᵀ D⁻¹ S|.
import { logarithm } from "../base/powers.js";

/** yᵀC⁻¹y, yᵀC⁻¹g, gᵀC⁻¹g, and half of ln |C|. */
export interface Weighed {
  readonly yy: number;
  readonly yg: number;
  readonly gg: number;
  readonly size: number;
}

/** @param shared rows of S; @param own the diagonal of D, all above zero */
export function weighed(
  y: readonly number[],
  g: readonly number[],
  shared: readonly (readonly number[])[],
  own: readonly number[],
): Weighed {
  const values = shared.reduce((most, row) => Math.max(most, row.length), 0);
  return values < y.length ? byValues(y, g, { shared, own, values }) : byReadings(y, g, shared, own);
}

function byReadings(
  y: readonly number[],
  g: readonly number[],
  shared: readonly (readonly number[])[],
  own: readonly number[],
): Weighed {
  const n = y.length;
  const C = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) C[i * n + j] = scalarProduct(shared[i], shared[j]) + (i === j ? own[i] : 0);
  const size = factorised(C, n);
  const [p, q] = [solved(C, y), solved(C, g)];
  return { yy: scalarProduct(p, p), yg: scalarProduct(p, q), gg: scalarProduct(q, q), size };
}

function byValues(
  y: readonly number[],
  g: readonly number[],
  { shared, own, values }: { shared: readonly (readonly number[])[]; own: readonly number[]; values: number },
): Weighed {
  const M = new Float64Array(values * values);
  const [a, b] = [new Float64Array(values), new Float64Array(values)];
  for (let k = 0; k < values; k++) M[k * values + k] = 1;
  let [yy, yg, gg, size] = [0, 0, 0, 0];
  for (const [i, row] of shared.entries()) {
    const w = 1 / own[i];
    yy += w * y[i] * y[i];
    yg += w * y[i] * g[i];
    gg += w * g[i] * g[i];
    size += 0.5 * logarithm(own[i]);
    for (let k = 0; k < row.length; k++) {
      const s = w * row[k];
      a[k] += s * y[i];
      b[k] += s * g[i];
      for (let l = 0; l <= k; l++) M[k * values + l] += s * row[l];
    }
  }
  size += factorised(M, values);
  const [p, q] = [solved(M, a), solved(M, b)];
  return { yy: yy - scalarProduct(p, p), yg: yg - scalarProduct(p, q), gg: gg - scalarProduct(q, q), size };
}

/** Replaces a matrix by its Cholesky factor, from its lower half; returns half of ln of its determinant. */
export function factorised(C: Float64Array, n: number): number {
  let size = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let sum = C[i * n + j];
      for (let k = 0; k < j; k++) sum -= C[i * n + k] * C[j * n + k];
      C[i * n + j] = i === j ? Math.sqrt(sum) : sum / C[j * n + j];
      if (i === j) size += logarithm(C[i * n + i]);
    }
  return size;
}

/** Solves L x = d for x. */
export function solved(L: Float64Array, d: ArrayLike<number>, x = new Float64Array(d.length)): Float64Array {
  const n = d.length;
  for (let i = 0; i < n; i++) {
    let sum = d[i];
    for (let k = 0; k < i; k++) sum -= L[i * n + k] * x[k];
    x[i] = sum / L[i * n + i];
  }
  return x;
}

/** aᵀ b, over the shorter of the two. */
export function scalarProduct(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < Math.min(a.length, b.length); i++) sum += a[i] * b[i];
  return sum;
}
