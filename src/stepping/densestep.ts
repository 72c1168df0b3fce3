// One step size for the usual small circuit: everything is multiplied out in advance, so that a step is one small product.
// Matrices are full while they are made, and stored without zeros. Notation as in stepmatrices.ts:
// Δx = M x0 + c + Σ over the sources that move a state (early u0 + middle uγ + late u1).
import { LuDecomposition, Matrix } from "ml-matrix";
import type { Condensed } from "../equations/condense.js";
import { type SparseRows, sparseRows } from "../equations/sparserows.js";
import { addRows, multiplyRows } from "./products.js";
import { bend, c1, c2, gamma, type StepLevels, type StepMatrices, still, third } from "./stepmatrices.js";

interface Weights {
  readonly M: SparseRows;
  readonly c: Float64Array;
  /** What each source adds, in the rows to which it adds anything. */
  readonly shares: readonly Share[];
}

interface Share {
  readonly source: number;
  readonly row: Int32Array;
  readonly early: Float64Array;
  readonly middle: Float64Array;
  readonly late: Float64Array;
}

/** R of TR-BDF2, and the matrices made from it. */
interface Damper {
  readonly R: SparseRows;
  readonly slips: SparseRows;
  readonly mends: SparseRows;
  readonly rests: SparseRows;
}

/** The matrices of one step size. */
export class DenseStep implements StepMatrices {
  private readonly nx: number;
  private plain: Weights | undefined = undefined;
  private damping: Weights | undefined = undefined;
  private slips: SparseRows | undefined = undefined;
  private dampers: Damper | undefined = undefined;
  private readonly scratch: Float64Array;

  /** @param h step in seconds */
  constructor(
    private readonly eq: Condensed,
    private readonly h: number,
  ) {
    this.nx = eq.nx;
    this.scratch = new Float64Array(eq.nx);
  }

  step(x: Float64Array, { early, middle, late }: StepLevels, damped: boolean, x1: Float64Array): void {
    const { nx } = this;
    const { M, c, shares } = damped ? this.damped : this.trapezoid;
    const { start, column, value } = M;
    for (let i = 0, p = 0; i < nx; i++) {
      let sum = c[i];
      for (const end = start[i + 1]; p < end; p++) sum += value[p] * x[column[p]];
      x1[i] = sum;
    }
    for (let a = 0; a < shares.length; a++) {
      const share = shares[a];
      const { source, row } = share;
      const [u0, um, u1] = [early[source], damped ? middle[source] : 0, late[source]];
      for (let p = 0; p < row.length; p++)
        x1[row[p]] += share.early[p] * u0 + share.middle[p] * um + share.late[p] * u1;
    }
    for (let i = 0; i < nx; i++) x1[i] += x[i];
  }

  linear(x: Float64Array, damped: boolean, out: Float64Array): void {
    addRows((damped ? this.damped : this.trapezoid).M, x, out);
  }

  error(rate: Float64Array, damped: boolean, out: Float64Array): void {
    multiplyRows(damped ? this.damper.slips : this.slip, rate, out);
  }

  mend(e: Float64Array, out: Float64Array): void {
    multiplyRows(this.damper.mends, e, out);
  }

  rest(e: Float64Array, out: Float64Array): void {
    multiplyRows(this.damper.rests, e, out);
  }

  damp(v: Float64Array): void {
    this.scratch.set(v);
    multiplyRows(this.damper.R, this.scratch, v);
  }

  // What follows is made on first use.

  private get slip(): SparseRows {
    if (this.slips) return this.slips;
    const { h } = this;
    const S = inverse(this.square, -h / 2, this.nx);
    this.slips = packed(S.mmul(S).mul((h * h * h) / 12));
    return this.slips;
  }

  private get damper(): Damper {
    if (this.dampers) return this.dampers;
    const { h, nx } = this;
    const A = this.square;
    const R = inverse(A, (-gamma * h) / 2, nx);
    const R2 = R.mmul(R);
    const move = R.mmul(Matrix.mul(A, h));
    this.dampers = {
      R: packed(R),
      slips: packed(Matrix.mul(R2, third * (h * h * h))),
      mends: packed(R2.mmul(Matrix.add(R, Matrix.mul(move, bend)))),
      rests: packed(move.mmul(move).mul(still)),
    };
    return this.dampers;
  }

  private get trapezoid(): Weights {
    if (this.plain) return this.plain;
    const { A, B, D } = this.parts();
    const { h } = this;
    const S = inverse(A, -h / 2, this.nx);
    this.plain = this.weights(S.mmul(Matrix.mul(A, h)), S.mmul(Matrix.mul(B[0], h)), (s) => {
      const half = S.mmul(Matrix.mul(B[s], h / 2));
      const jump = S.mmul(D[s]);
      return [Matrix.sub(half, jump), undefined, Matrix.add(half, jump)];
    });
    return this.plain;
  }

  private get damped(): Weights {
    if (this.damping) return this.damping;
    const { A, B, D } = this.parts();
    const { h } = this;
    const R = inverse(A, (-gamma * h) / 2, this.nx);
    const stage = (vector: Matrix) => R.mmul(vector);
    const hA = Matrix.mul(A, h);
    const M = stage(Matrix.add(R.mmul(Matrix.mul(hA, gamma * c1)), Matrix.mul(hA, c2)));
    const constant = B[0];
    const c = stage(Matrix.add(stage(Matrix.mul(constant, gamma * h * c1)), Matrix.mul(constant, c2 * h)));
    this.damping = this.weights(M, c, (s) => {
      const b = B[s];
      const d = D[s];
      const half = Matrix.mul(b, (gamma * h) / 2);
      const early = Matrix.add(stage(Matrix.sub(half, d)).mul(c1), Matrix.mul(d, c1 - 1));
      const middle = Matrix.sub(stage(Matrix.add(half, d)).mul(c1), Matrix.mul(d, c1));
      const late = Matrix.add(d, Matrix.mul(b, c2 * h));
      return [stage(early), stage(middle), stage(late)];
    });
    return this.damping;
  }

  private weights(
    M: Matrix,
    c: Matrix,
    of: (source: number) => [Matrix, Matrix | undefined, Matrix],
  ): Weights {
    const { nx } = this;
    const shares = this.eq.active.map((source): Share => {
      const [early, middle, late] = of(source).map((m) =>
        m ? flat(m) : new Float64Array(nx),
      ) as Float64Array[];
      const all = [early, middle, late];
      const row = Int32Array.from([...early.keys()].filter((i) => all.some((column) => column[i] !== 0)));
      const pick = (from: Float64Array) => Float64Array.from(row, (i) => from[i]);
      return { source, row, early: pick(early), middle: pick(middle), late: pick(late) };
    });
    return { M: packed(M), c: flat(c), shares };
  }

  private get square(): Matrix {
    const { nx, A } = this.eq;
    const square = new Matrix(nx, nx);
    for (let i = 0; i < nx; i++) for (let j = 0; j < nx; j++) square.set(i, j, A[i * nx + j]);
    return square;
  }

  private parts(): { A: Matrix; B: Matrix[]; D: Matrix[] } {
    const { nx, nu, B, D } = this.eq;
    const column = (from: Float64Array, s: number) =>
      Matrix.columnVector(Array.from({ length: nx }, (_, k) => from[k * nu + s]));
    return {
      A: this.square,
      B: Array.from({ length: nu }, (_, s) => column(B, s)),
      D: Array.from({ length: nu }, (_, s) => column(D, s)),
    };
  }
}

/** (I + factor·A)⁻¹ */
function inverse(A: Matrix, factor: number, n: number): Matrix {
  if (n === 0) return new Matrix(0, 0);
  return new LuDecomposition(Matrix.add(Matrix.eye(n, n), Matrix.mul(A, factor))).solve(Matrix.eye(n, n));
}

function packed(m: Matrix): SparseRows {
  return sparseRows(flat(m), m.rows, m.columns);
}

function flat(m: Matrix): Float64Array {
  return Float64Array.from(m.to1DArray());
}
