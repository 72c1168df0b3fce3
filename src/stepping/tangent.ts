// How the end of a march depends on its start: the matrix of derivatives ∂x/∂x₀, carried along step by step. A step
// multiplies it by (I + M); a jump of the sources by the matrix that shares charge and flux; an event whose instant depends
// on the state by the saltation matrix
//
//     X − (X f⁻ + U u′ − f⁺) ∇g / ġ        (M. A. Aizerman, F. R. Gantmacher, Quart. J. Mech. Appl. Math. 11(4), 1958)
//
// with f the motion before and after, g the guard that crossed, and x⁺ = X x⁻ + U u the sharing: a state that is tied to a
// source from the event on forgets when it got there.
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
interface Sharing {
  readonly X: Float64Array;
  readonly U: Float64Array;
}

/** The matrix of derivatives of a march. */
export class Tangent {
  /** Row by row. */
  private readonly matrix: Float64Array;
  private readonly before: Float64Array;

  /** @param nx number of states */
  constructor(private readonly nx: number) {
    this.matrix = unit(nx);
    this.before = new Float64Array(nx * nx);
  }

  /** A leap or step: moves each column as it moved the state. */
  step(carry: CarryColumns): void {
    carry(this.matrix, this.nx);
  }

  /** A jump at an instant that does not depend on the state. */
  jump(X: Float64Array): void {
    this.apply(X);
  }

  /**
   * An event at an instant that depends on the state.
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
    const { nx } = this;
    const S = sharings.reduce((product, { X }) => times(X, product, nx), unit(nx));
    const moved = sharings.reduce((before, sharing) => shared(sharing, before, slopes), motion);
    if (rate > 0)
      for (let i = 0; i < nx; i++) {
        const change = moved[i] - after[i];
        for (let j = 0; j < nx; j++) S[i * nx + j] -= (change * gradient[j]) / rate;
      }
    this.apply(S);
  }

  /** ∂x/∂x₀. */
  get derivatives(): Matrix {
    const { matrix, nx } = this;
    return Matrix.from1DArray(nx, nx, matrix);
  }

  private apply(S: Float64Array): void {
    const { matrix, before, nx } = this;
    before.set(matrix);
    matrix.set(times(S, before, nx));
  }
}

/** Moves columns of derivatives over a leap or step, in place: one row of so many for each state. */
export type CarryColumns = (rows: Float64Array, columns: number) => void;

function unit(n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) out[i * n + i] = 1;
  return out;
}

/** P times Q, row by row; P is usually almost the unit matrix. */
function times(P: Float64Array, Q: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < n; k++) {
      const p = P[i * n + k];
      if (p === 0) continue;
      for (let j = 0; j < n; j++) out[i * n + j] += p * Q[k * n + j];
    }
  }
  return out;
}

/** The motion x' after charge and flux have been shared: X x' + U u'. */
function shared({ X, U }: Sharing, motion: Float64Array, slopes: Float64Array): Float64Array {
  const [n, nu] = [motion.length, slopes.length];
  return motion.map((_, k) => {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += X[k * n + j] * motion[j];
    for (let j = 0; j < nu; j++) sum += U[k * nu + j] * slopes[j];
    return sum;
  });
}
