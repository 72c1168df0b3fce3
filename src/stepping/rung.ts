// One step size in one combination of modes: the matrices of a trapezoidal step and of a TR-BDF2 step, both as
// increments (Δx = M x + ...), so that a step much shorter than any time constant loses nothing.
//
//   trapezoid   S = (I − hA/2)⁻¹       Δx = S [ hA x0 + hB (u0 + u1)/2 + D (u1 − u0) ]
//   TR-BDF2     R = (I − γ/2·hA)⁻¹     γ = 2 − √2 gives both stages this one matrix
//               (Bank et al., IEEE Trans. CAD 4(4), 1985; Hosea & Shampine, Appl. Numer. Math. 20, 1996)
//               xγ − x0 = R [ γhA x0 + γhB (u0 + uγ)/2 + D (uγ − u0) ]
//               x1 − x0 = R [ c1 (xγ − x0) + D (u1 − u0) − c1 D (uγ − u0) + c2 h (A x0 + B u1) ]
//               c1 = 1/(γ(2−γ)), c2 = (1−γ)/(2−γ) = γ/2
//
// The local error of the trapezoid is h³/12·x‴. Stiff states that have died out leave rounding in x‴ which A²
// blows up, so it is filtered with S² as Hosea & Shampine do: what the step damps does not count.
import { LuDecomposition, Matrix } from "ml-matrix";
import type { Condensed } from "../equations/condense.js";

/** First stage of a TR-BDF2 step as a share of it. */
export const gamma = 2 - Math.sqrt(2);
const c1 = 1 / (gamma * (2 - gamma));
const c2 = gamma / 2;

/** Weights of one method: Δx = M x0 + c + Σ over active sources (early u0 + middle uγ + late u1). */
export interface Weights {
  readonly M: Float64Array;
  readonly c: Float64Array;
  /** Source by source in the order of `Condensed.active`, nx numbers each. */
  readonly early: Float64Array;
  readonly middle: Float64Array;
  readonly late: Float64Array;
}

/** The matrices of one step size. */
export class Rung {
  readonly trapezoid: Weights;
  /** h³/12 · S²: takes x‴ to the filtered local error. */
  readonly error: Float64Array;
  /** ((I − hA/8)⁻¹)⁸: how much of an error is left this much later. */
  readonly fade: Float64Array;
  private damping: Weights | undefined;

  /** @param h step in seconds */
  constructor(
    private readonly eq: Condensed,
    readonly h: number,
  ) {
    const { A, B, D } = this.parts();
    const n = eq.nx;
    const S = inverse(A, -h / 2, n);
    const hA = Matrix.mul(A, h);
    this.trapezoid = weights(eq, S.mmul(hA), S.mmul(Matrix.mul(B[0]!, h)), (s) => {
      const half = S.mmul(Matrix.mul(B[s]!, h / 2));
      const jump = S.mmul(D[s]!);
      return [Matrix.sub(half, jump), undefined, Matrix.add(half, jump)];
    });
    this.error = flat(S.mmul(S).mul((h * h * h) / 12));
    let fade = inverse(A, -h / 8, n);
    for (let doubling = 0; doubling < 3; doubling++) fade = fade.mmul(fade);
    this.fade = flat(fade);
  }

  /** The same step by TR-BDF2, made when first asked for. */
  get damped(): Weights {
    if (this.damping) return this.damping;
    const { A, B, D } = this.parts();
    const { h } = this;
    const R = inverse(A, (-gamma * h) / 2, this.eq.nx);
    const stage = (vector: Matrix) => R.mmul(vector);
    const hA = Matrix.mul(A, h);
    const M = stage(Matrix.add(R.mmul(Matrix.mul(hA, gamma * c1)), Matrix.mul(hA, c2)));
    const constant = B[0]!;
    const c = stage(Matrix.add(stage(Matrix.mul(constant, gamma * h * c1)), Matrix.mul(constant, c2 * h)));
    this.damping = weights(this.eq, M, c, (s) => {
      const b = B[s]!;
      const d = D[s]!;
      const half = Matrix.mul(b, (gamma * h) / 2);
      const early = Matrix.add(stage(Matrix.sub(half, d)).mul(c1), Matrix.mul(d, c1 - 1));
      const middle = Matrix.sub(stage(Matrix.add(half, d)).mul(c1), Matrix.mul(d, c1));
      const late = Matrix.add(d, Matrix.mul(b, c2 * h));
      return [stage(early), stage(middle), stage(late)];
    });
    return this.damping;
  }

  private parts(): { A: Matrix; B: Matrix[]; D: Matrix[] } {
    const { nx, nu, A, B, D } = this.eq;
    const column = (from: Float64Array, s: number) =>
      Matrix.columnVector(Array.from({ length: nx }, (_, k) => from[k * nu + s]!));
    const square = new Matrix(nx, nx);
    for (let i = 0; i < nx; i++) for (let j = 0; j < nx; j++) square.set(i, j, A[i * nx + j]!);
    return {
      A: square,
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

function weights(
  eq: Condensed,
  M: Matrix,
  c: Matrix,
  of: (source: number) => [Matrix, Matrix | undefined, Matrix],
): Weights {
  const { nx, active } = eq;
  const made = {
    M: flat(M),
    c: flat(c),
    early: new Float64Array(active.length * nx),
    middle: new Float64Array(active.length * nx),
    late: new Float64Array(active.length * nx),
  };
  active.forEach((source, i) => {
    const [early, middle, late] = of(source);
    made.early.set(flat(early), i * nx);
    if (middle) made.middle.set(flat(middle), i * nx);
    made.late.set(flat(late), i * nx);
  });
  return made;
}

function flat(m: Matrix): Float64Array {
  return Float64Array.from(m.to1DArray());
}
