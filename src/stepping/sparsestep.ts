// One step size for a large circuit: the motion without its zeros, and sparse factors instead of inverses, so that the
// cost of a step grows with the number of parts and not with its square. Notation as in stepmatrices.ts.
import type { Condensed } from "../equations/condense.js";
import { SparseLu } from "../equations/lu.js";
import { multiply, type SparseColumns } from "../equations/sparsecolumns.js";
import { bend, c1, c2, gamma, type StepLevels, type StepMatrices, still, third } from "./stepmatrices.js";

/** The factors of one step size. */
export class SparseStep implements StepMatrices {
  private readonly A: SparseColumns;
  private S: SparseLu | undefined = undefined;
  private R: SparseLu | undefined = undefined;
  private readonly flow: Float64Array;
  private readonly first: Float64Array;

  /** @param h step in seconds */
  constructor(
    private readonly eq: Condensed,
    private readonly h: number,
  ) {
    this.A = eq.columnsOfA!;
    this.flow = new Float64Array(eq.nx);
    this.first = new Float64Array(eq.nx);
  }

  step(x: Float64Array, levels: StepLevels, damped: boolean, x1: Float64Array): void {
    const { eq, h, flow, first } = this;
    const { nx, nu, B, D, active } = eq;
    const { early, middle, late } = levels;
    // flow = h (A x + B u) for the constants; what the other sources add depends on the method.
    multiply(this.A, x, flow);
    for (let i = 0; i < nx; i++) flow[i] = h * (flow[i] + B[i * nu]);
    if (!damped) {
      x1.set(flow);
      for (const s of active) {
        const mean = (h * (early[s] + late[s])) / 2;
        const rise = late[s] - early[s];
        for (let i = 0, k = s; i < nx; i++, k += nu) x1[i] += B[k] * mean + D[k] * rise;
      }
      this.half.solve(x1);
    } else {
      for (let i = 0; i < nx; i++) first[i] = gamma * flow[i];
      for (const s of active) {
        const mean = (gamma * h * (early[s] + middle[s])) / 2;
        const rise = middle[s] - early[s];
        for (let i = 0, k = s; i < nx; i++, k += nu) first[i] += B[k] * mean + D[k] * rise;
      }
      const R = this.second;
      R.solve(first);
      for (let i = 0; i < nx; i++) x1[i] = c1 * first[i] + c2 * flow[i];
      for (const s of active) {
        const end = c2 * h * late[s];
        const rise = late[s] - early[s] - c1 * (middle[s] - early[s]);
        for (let i = 0, k = s; i < nx; i++, k += nu) x1[i] += B[k] * end + D[k] * rise;
      }
      R.solve(x1);
    }
    for (let i = 0; i < nx; i++) x1[i] += x[i];
  }

  linear(x: Float64Array, damped: boolean, out: Float64Array): void {
    const { h, flow, first } = this;
    multiply(this.A, x, flow);
    if (!damped) {
      for (let i = 0; i < flow.length; i++) flow[i] = h * flow[i];
      this.half.solve(flow);
    } else {
      for (let i = 0; i < flow.length; i++) first[i] = gamma * h * flow[i];
      this.second.solve(first);
      for (let i = 0; i < flow.length; i++) flow[i] = c1 * first[i] + c2 * h * flow[i];
      this.second.solve(flow);
    }
    for (let i = 0; i < flow.length; i++) out[i] += flow[i];
  }

  error(rate: Float64Array, damped: boolean, out: Float64Array): void {
    const cube = this.h * this.h * this.h;
    const share = damped ? third * cube : cube / 12;
    const solver = damped ? this.second : this.half;
    for (let i = 0; i < out.length; i++) out[i] = share * rate[i];
    solver.solve(out);
    solver.solve(out);
  }

  mend(e: Float64Array, out: Float64Array): void {
    const { h, flow } = this;
    multiply(this.A, e, flow);
    for (let i = 0; i < out.length; i++) out[i] = e[i] + bend * h * flow[i];
    for (let k = 0; k < 3; k++) this.second.solve(out);
  }

  rest(e: Float64Array, out: Float64Array): void {
    const { h, flow } = this;
    multiply(this.A, e, flow);
    this.second.solve(flow);
    multiply(this.A, flow, out);
    for (let i = 0; i < out.length; i++) out[i] *= still * h * h;
    this.second.solve(out);
  }

  damp(v: Float64Array): void {
    this.second.solve(v);
  }

  private get half(): SparseLu {
    this.S ??= this.factors(-this.h / 2);
    return this.S;
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
      // The pattern includes the whole diagonal.
      for (let p = start[j]; p < start[j + 1]; p++) shifted[p] = factor * value[p] + (row[p] === j ? 1 : 0);
    }
    return new SparseLu({ n, start, row, value: shifted });
  }
}
