// Sparse LU for the equations of larger circuits. Takes a matrix in compressed columns, gives its factors, ready to
// solve in place without taking memory. What always holds: equal input gives equal bits; the pattern of the factors
// is found once and used again for other values of the same pattern (`refactor`), as long as the pivots stay good;
// factors of a matrix that is singular to rounding are never handed out.
//
// Steps: pivots that cost nothing (peel.ts), a row for each other column (matching.ts), an order that keeps fill low
// (order.ts), row scaling by powers of two and the first factorisation (pivot.ts); here the factors are used and renewed.
//
// Notation: R A = Pᵀ L U Qᵀ, with L unit lower, U upper, d the diagonal of U, R the row scales; k step of elimination,
// order[k] its column, at[i] the step of row i; x, y work by step; li, lx, ui, ux rows and values of L and U.
import type { SparseColumns } from "./columns.js";
import { matching } from "./matching.js";
import { minimumDegree } from "./order.js";
import { type Factors, factorise, roundingOf, scaleRows } from "./pivot.js";
import { singletonsOf } from "./singletons.js";

export { compress, multiply, Singular, type SparseColumns } from "./columns.js";

// Pivots taken over from other values may fall this far behind the largest entry of their column before they are
// chosen anew: at worst three of sixteen digits, for a small part of the work. It leaves room below `threshold`, so
// that values that wander a little do not choose anew each time.
const keep = 1e-3;

/** The factors of a sparse matrix. */
export class SparseLu {
  readonly n: number;
  private readonly scale: Float64Array;
  private readonly work: Float64Array;
  private readonly bits = new DataView(new ArrayBuffer(8));
  private factors: Factors | undefined;

  /**
   * Finds order, pivots and factors.
   * @param a kept for its pattern only; its values may change afterwards
   * @throws Singular where there are no factors
   */
  constructor(private readonly a: SparseColumns) {
    this.n = a.n;
    this.scale = new Float64Array(a.n);
    this.work = new Float64Array(a.n);
    scaleRows(a, this.scale, this.bits);
    this.choose(a);
  }

  /** Numbers held in L below its diagonal and in U with its diagonal. */
  get entries(): number {
    const { L, U, d } = this.held();
    return L.row.length + U.row.length + d.length;
  }

  /**
   * The smallest share that a pivot is of the largest number met in its column (rows being scaled); 1 at best.
   * What it is below 1 has cancelled: at 1e-12 four of sixteen digits are left of that pivot. It does not change
   * with the units of rows or columns. Cheap, a sign and no proof: a matrix may be worse than it says.
   */
  get pivotRatio(): number {
    const { d, size } = this.held();
    let least = 1;
    for (let k = 0; k < d.length; k++) least = Math.min(least, Math.abs(d[k]) / size[k]);
    return least;
  }

  /**
   * Factors of other values in the same pattern.
   * @param a the same pattern as the matrix before, zeros included
   * @returns true when the pivots were kept; false when one of them had become too small (or was lost before, in a
   *   refactorisation that threw) and everything was found anew, exactly as the constructor would
   * @throws Singular where there are no factors; the next `refactor` may mend it, until then `solve` throws too
   * @throws RangeError where the pattern is another
   */
  refactor(a: SparseColumns): boolean {
    if (!samePattern(this.a, a)) throw new RangeError("refactor needs a matrix of the same pattern");
    const before = this.factors;
    // Whatever throws below leaves none: half-renewed factors must not be used.
    this.factors = undefined;
    scaleRows(a, this.scale, this.bits);
    if (before !== undefined && this.renew(a, before)) {
      this.factors = before;
      return true;
    }
    this.choose(a);
    return false;
  }

  /**
   * Solves A x = b in place, without taking memory.
   * @param b n numbers; afterwards x
   */
  solve(b: Float64Array): void {
    const { L, U, d, at, order } = this.held();
    const { n, scale, work: y } = this;
    const { start: ls, row: li, value: lx } = L;
    const { start: us, row: ui, value: ux } = U;
    for (let i = 0; i < n; i++) y[at[i]] = scale[i] * b[i];
    for (let k = 0; k < n; k++) {
      const yk = y[k];
      if (yk === 0) continue;
      for (let p = ls[k]; p < ls[k + 1]; p++) y[li[p]] -= lx[p] * yk;
    }
    for (let k = n - 1; k >= 0; k--) {
      const xk = y[k] / d[k];
      b[order[k]] = xk;
      if (xk === 0) continue;
      for (let p = us[k]; p < us[k + 1]; p++) y[ui[p]] -= ux[p] * xk;
    }
  }

  /**
   * Solves Aᵀ x = b in place, without taking memory.
   * @param b n numbers; afterwards x
   */
  solveTransposed(b: Float64Array): void {
    const { L, U, d, at, order } = this.held();
    const { n, scale, work: y } = this;
    const { start: ls, row: li, value: lx } = L;
    const { start: us, row: ui, value: ux } = U;
    for (let k = 0; k < n; k++) {
      let sum = b[order[k]];
      for (let p = us[k]; p < us[k + 1]; p++) sum -= ux[p] * y[ui[p]];
      y[k] = sum / d[k];
    }
    for (let k = n - 1; k >= 0; k--) {
      let sum = y[k];
      for (let p = ls[k]; p < ls[k + 1]; p++) sum -= lx[p] * y[li[p]];
      y[k] = sum;
    }
    for (let i = 0; i < n; i++) b[i] = scale[i] * y[at[i]];
  }

  /**
   * Solves A x = b in place and refines once with the residual; takes no memory. With row scaling one step makes
   * the residual small row by row: R. D. Skeel, Iterative refinement implies numerical stability for Gaussian
   * elimination, Math. Comp. 35, 1980.
   * @param a the matrix whose factors these are; or one near to it, then the error of that is squared
   * @param b n numbers; afterwards x
   * @param scratch n numbers, overwritten (with the correction)
   * @returns the largest correction as a share of the largest unknown: about the error of `solve` alone;
   *   not a number where the answer is not finite
   */
  solveRefined(a: SparseColumns, b: Float64Array, scratch: Float64Array): number {
    const { n } = this;
    const { start, row, value } = a;
    for (let i = 0; i < n; i++) scratch[i] = b[i];
    this.solve(b);
    for (let j = 0; j < n; j++) {
      const xj = b[j];
      for (let p = start[j]; p < start[j + 1]; p++) scratch[row[p]] -= value[p] * xj;
    }
    this.solve(scratch);
    let change = 0;
    let largest = 0;
    for (let i = 0; i < n; i++) {
      b[i] += scratch[i];
      change = Math.max(change, Math.abs(scratch[i]));
      largest = Math.max(largest, Math.abs(b[i]));
    }
    return change === 0 ? 0 : change / largest;
  }

  private held(): Factors {
    if (this.factors === undefined) throw new Error("no factors: the last refactorisation failed");
    return this.factors;
  }

  /** Row scales known, finds everything else. */
  private choose(a: SparseColumns): void {
    const first = singletonsOf(a);
    const rowOf = matching(a, first);
    this.factors = factorise(a, this.scale, minimumDegree(a, rowOf, first), rowOf);
  }

  /** New values in the old pattern, in the same order of sums as `factorise`; false where a pivot is no longer good. */
  private renew(a: SparseColumns, { L, U, d, size: sizes, at, order }: Factors): boolean {
    const { n, scale, work: x } = this;
    const { start, row, value } = a;
    const { start: ls, row: li, value: lx } = L;
    const { start: us, row: ui, value: ux } = U;
    const rounding = roundingOf(n);
    x.fill(0);
    for (let k = 0; k < n; k++) {
      const j = order[k];
      let size = 0;
      for (let p = start[j]; p < start[j + 1]; p++) {
        const i = row[p];
        const scaled = scale[i] * value[p];
        x[at[i]] = scaled;
        size = Math.max(size, Math.abs(scaled));
      }
      for (let p = us[k]; p < us[k + 1]; p++) {
        const step = ui[p];
        const u = x[step];
        x[step] = 0;
        ux[p] = u;
        size = Math.max(size, Math.abs(u));
        if (u === 0) continue;
        for (let q = ls[step]; q < ls[step + 1]; q++) x[li[q]] -= lx[q] * u;
      }
      const pivot = x[k];
      x[k] = 0;
      let largest = Math.abs(pivot);
      for (let p = ls[k]; p < ls[k + 1]; p++) {
        const candidate = x[li[p]];
        largest = Math.max(largest, Math.abs(candidate));
        lx[p] = candidate / pivot;
        x[li[p]] = 0;
      }
      // Math.max hands on what is not a number, so these comparisons refuse it.
      const good =
        largest < Infinity && Math.abs(pivot) >= keep * largest && Math.abs(pivot) > rounding * size;
      if (!good) return false;
      d[k] = pivot;
      sizes[k] = size;
    }
    return true;
  }
}

function samePattern(a: SparseColumns, b: SparseColumns): boolean {
  if (a.start === b.start && a.row === b.row) return true;
  if (a.n !== b.n || a.row.length !== b.row.length) return false;
  for (let j = 0; j <= a.n; j++) if (a.start[j] !== b.start[j]) return false;
  for (let p = 0; p < a.row.length; p++) if (a.row[p] !== b.row[p]) return false;
  return true;
}
