// Sparse LU for the equations of larger circuits: the factors of a matrix in compressed columns, ready to solve in place
// without allocating. Equal input gives equal bits, and a matrix that is singular to rounding gets no factors.
//
// Steps: pivots that cost nothing (singletons.ts), a row for each remaining column (matching.ts), an order with low fill
// (ordering.ts), row scaling by powers of two and the factorisation (factorise.ts).
//
// Notation: R A = Pᵀ L U Qᵀ, with L unit lower, U upper, d the diagonal of U, R the row scales; k step of elimination,
// order[k] its column, at[i] the step of row i; y work by step; li, lx, ui, ux rows and values of L and U.
import { type Factors, factorise, rowScales } from "./factorise.js";
import { matching } from "./matching.js";
import { minimumDegree } from "./ordering.js";
import { singletonsOf } from "./singletons.js";
import type { SparseColumns } from "./sparsecolumns.js";

/** The factors of a sparse matrix. */
export class SparseLu {
  readonly factors: Factors;
  private readonly scale: Float64Array;
  private readonly work: Float64Array;
  private readonly residual: Float64Array;

  /** @throws Singular where there are no factors */
  constructor(private readonly a: SparseColumns) {
    this.scale = rowScales(a);
    this.work = new Float64Array(a.n);
    this.residual = new Float64Array(a.n);
    const first = singletonsOf(a);
    const rowOf = matching(a, first);
    this.factors = factorise(a, this.scale, minimumDegree(a, rowOf, first), rowOf);
  }

  /**
   * Solves A x = b in place, without allocating.
   * @param b n numbers; afterwards x
   */
  solve(b: Float64Array): void {
    const { scale, work: y } = this;
    const { L, U, d, at, order } = this.factors;
    const { n, start: ls, row: li, value: lx } = L;
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
   * Solves A x = b in place and refines once with the residual; allocates nothing. With row scaling one step makes
   * the residual small row by row: R. D. Skeel, Iterative refinement implies numerical stability for Gaussian
   * elimination, Math. Comp. 35, 1980.
   * @param b n numbers; afterwards x
   */
  solveRefined(b: Float64Array): void {
    const { n, start, row, value } = this.a;
    const { residual } = this;
    residual.set(b);
    this.solve(b);
    for (let j = 0; j < n; j++) {
      const xj = b[j];
      for (let p = start[j]; p < start[j + 1]; p++) residual[row[p]] -= value[p] * xj;
    }
    this.solve(residual);
    for (let i = 0; i < n; i++) b[i] += residual[i];
  }
}
