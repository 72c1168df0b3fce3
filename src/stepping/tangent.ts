// How the end of a march depends on its start: the matrix of derivatives ∂x/∂x₀, carried along step by step. A step
// multiplies it by (I + M); a jump that the sources bring by the matrix that shares charge and flux; an event whose
// instant depends on the state by the saltation matrix
//
//     X − (X f⁻ + U u′ − f⁺) ∇g / ġ        (M. A. Aizerman, F. R. Gantmacher, Quart. J. Mech. Appl. Math. 11(4), 1958)
//
// with f the motion before and after, g the guard that crossed, and x⁺ = X x⁻ + U u the sharing: a state that is tied to
// a source from the event on forgets when it came there.
import { Matrix } from "ml-matrix";

/** An instant at which a guard crosses. */
export interface GuardCrossing {
  /** x' just before. */
  readonly motion: Float64Array;
  /** Derivatives of the guard by the states. */
  readonly gradient: Float64Array;
  /** Slope of the guard per second, just before. */
  readonly rate: number;
}

/** Charge and flux shared: x⁺ = X x⁻ + U u. */
export interface Sharing {
  readonly X: Float64Array;
  readonly U: Float64Array;
}

/** The matrix of derivatives of a march. */
export class Tangent {
  private matrix: Matrix;

  /** @param nx number of states */
  constructor(private readonly nx: number) {
    this.matrix = Matrix.eye(nx, nx);
  }

  /** A leap or step, which moves each column as it moved the state. */
  step(carry: (column: Float64Array) => void): void {
    for (let j = 0; j < this.nx; j++) {
      const column = Float64Array.from(this.matrix.getColumn(j));
      carry(column);
      this.matrix.setColumn(j, column);
    }
  }

  /** A jump at an instant that does not depend on the state. */
  jump(X: Float64Array): void {
    this.matrix = square(X, this.nx).mmul(this.matrix);
  }

  /**
   * An event at an instant that does.
   * @param sharings charge and flux shared at it, in order
   * @param slopes u' at the event
   * @param after x' just after
   */
  event(
    sharings: readonly Sharing[],
    { motion, gradient, rate }: GuardCrossing,
    slopes: Float64Array,
    after: Float64Array,
  ): void {
    let S = Matrix.eye(this.nx, this.nx);
    for (const { X } of sharings) S = square(X, this.nx).mmul(S);
    const moved = sharings.reduce((before, sharing) => shared(sharing, before, slopes), motion);
    const change = Matrix.columnVector(moved).sub(Matrix.columnVector(after));
    if (rate > 0) S.sub(change.mmul(Matrix.rowVector(gradient)).div(rate));
    this.matrix = S.mmul(this.matrix);
  }

  /** ∂x/∂x₀, row by row. */
  get derivatives(): Matrix {
    return this.matrix.clone();
  }
}

function square(flat: Float64Array, n: number): Matrix {
  const m = new Matrix(n, n);
  for (let i = 0, at = 0; i < n; i++) for (let j = 0; j < n; j++) m.set(i, j, flat[at++]);
  return m;
}

/** A motion x' as it is after charge and flux have been shared: X x' + U u'. */
function shared({ X, U }: Sharing, motion: Float64Array, slopes: Float64Array): Float64Array {
  const [n, nu] = [motion.length, slopes.length];
  return motion.map((_, k) => {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += X[k * n + j] * motion[j];
    for (let j = 0; j < nu; j++) sum += U[k * nu + j] * slopes[j];
    return sum;
  });
}
