// A step size for a large circuit: the motion without its zeros, and sparse factors in place of inverses, so that
// the cost of a step grows with the number of parts and not with its square. Notation as in rung.ts.
import type { Condensed } from "../equations/condense.js";
import { multiply, type Sparse, SparseLu } from "../equations/sparse.js";
import { c1, c2, gamma, type Levels, type Rung } from "./rung.js";

/** The factors of one step size. */
export class ThinRung implements Rung {
  private readonly A: Sparse;
  private readonly S: SparseLu;
  private R: SparseLu | undefined;
  private eighth: SparseLu | undefined;
  private readonly flow: Float64Array;
  private readonly first: Float64Array;

  /** @param h step in seconds */
  constructor(
    private readonly eq: Condensed,
    private readonly h: number,
  ) {
    this.A = eq.thin!;
    this.S = this.factors(-h / 2);
    this.flow = new Float64Array(eq.nx);
    this.first = new Float64Array(eq.nx);
  }

  step(x: Float64Array, levels: Levels, damped: boolean, x1: Float64Array): void {
    const { eq, h, flow, first } = this;
    const { nx, nu, B, D, active } = eq;
    const { early, middle, late } = levels;
    // flow = h (A x + B u) for the constants; what the other sources add depends on the method.
    multiply(this.A, x, flow);
    for (let i = 0; i < nx; i++) flow[i] = h * (flow[i]! + B[i * nu]!);
    if (!damped) {
      x1.set(flow);
      for (const s of active) {
        const mean = (h * (early[s]! + late[s]!)) / 2;
        const rise = late[s]! - early[s]!;
        for (let i = 0, k = s; i < nx; i++, k += nu) x1[i]! += B[k]! * mean + D[k]! * rise;
      }
      this.S.solve(x1);
    } else {
      for (let i = 0; i < nx; i++) first[i] = gamma * flow[i]!;
      for (const s of active) {
        const mean = (gamma * h * (early[s]! + middle[s]!)) / 2;
        const rise = middle[s]! - early[s]!;
        for (let i = 0, k = s; i < nx; i++, k += nu) first[i]! += B[k]! * mean + D[k]! * rise;
      }
      const R = this.second;
      R.solve(first);
      for (let i = 0; i < nx; i++) x1[i] = c1 * first[i]! + c2 * flow[i]!;
      for (const s of active) {
        const end = c2 * h * late[s]!;
        const rise = late[s]! - early[s]! - c1 * (middle[s]! - early[s]!);
        for (let i = 0, k = s; i < nx; i++, k += nu) x1[i]! += B[k]! * end + D[k]! * rise;
      }
      R.solve(x1);
    }
    for (let i = 0; i < nx; i++) x1[i]! += x[i]!;
  }

  linear(x: Float64Array, damped: boolean, out: Float64Array): void {
    const { h, flow, first } = this;
    multiply(this.A, x, flow);
    if (!damped) {
      for (let i = 0; i < flow.length; i++) flow[i] = h * flow[i]!;
      this.S.solve(flow);
    } else {
      for (let i = 0; i < flow.length; i++) first[i] = gamma * h * flow[i]!;
      this.second.solve(first);
      for (let i = 0; i < flow.length; i++) flow[i] = c1 * first[i]! + c2 * h * flow[i]!;
      this.second.solve(flow);
    }
    for (let i = 0; i < flow.length; i++) out[i]! += flow[i]!;
  }

  error(third: Float64Array, out: Float64Array): void {
    const share = (this.h * this.h * this.h) / 12;
    for (let i = 0; i < third.length; i++) out[i] = share * third[i]!;
    this.S.solve(out);
    this.S.solve(out);
  }

  fade(e: Float64Array, out: Float64Array): void {
    this.eighth ??= this.factors(-this.h / 8);
    out.set(e);
    for (let part = 0; part < 8; part++) this.eighth.solve(out);
  }

  private get second(): SparseLu {
    this.R ??= this.factors((-gamma * this.h) / 2);
    return this.R;
  }

  /** Factors of I + factor·A. */
  private factors(factor: number): SparseLu {
    const { n, start, row, value } = this.A;
    const shifted = new Float64Array(value.length);
    for (let j = 0; j < n; j++) {
      // The pattern holds every diagonal place.
      for (let p = start[j]!; p < start[j + 1]!; p++)
        shifted[p] = factor * value[p]! + (row[p] === j ? 1 : 0);
    }
    return new SparseLu({ n, start, row, value: shifted });
  }
}
