// Derivatives of the state at an instant, up to the third, from which a step estimates its error: products of the matrices
// with x and the sources; nothing but scratch is kept.
//
// Notation: x states, u levels of the sources, f = x', second = x″, third = x‴ (of x − D u, which has no corners).
import type { Condensed } from "../equations/condense.js";
import { multiply } from "../equations/sparsecolumns.js";
import type { Inputs } from "./inputs.js";
import { multiplyRows } from "./products.js";

/** One instant of a march by steps. */
export class StepInstant {
  readonly x: Float64Array;
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly f: Float64Array;
  readonly second: Float64Array;
  readonly third: Float64Array;
  guards = new Float64Array(0);
  /** Slopes of the guards a second, without the bends of their sources. */
  rates = new Float64Array(0);

  /** @param crest amplitude of each source that is a single sine */
  constructor(
    nx: number,
    nu: number,
    readonly crest: Float64Array,
  ) {
    this.x = new Float64Array(nx);
    this.u = new Float64Array(nu);
    this.du = new Float64Array(nu);
    this.f = new Float64Array(nx);
    this.second = new Float64Array(nx);
    this.third = new Float64Array(nx);
    this.u[0] = 1;
  }
}

/** The derivatives of one march. */
export class Derivatives {
  /** Whether the slope of a source changes between its corners. */
  readonly bent: boolean;
  private readonly bends: Float64Array;
  private readonly late: Float64Array;
  private readonly scratch: Float64Array;

  constructor(
    private readonly inputs: Inputs,
    nx: number,
  ) {
    this.bent = inputs.players.some((p) => p.smooth !== undefined);
    this.bends = new Float64Array(inputs.size);
    this.late = new Float64Array(inputs.size);
    this.scratch = new Float64Array(nx);
  }

  /** f = A x + B u + D u', second = A f + B u' + D u'', third = A second + B u'', arriving at tick n (0) or leaving it (1). */
  derive(equations: Condensed, at: StepInstant, n: number, side: 0 | 1): void {
    const { x, u, du, f, second, third } = at;
    const { nx, B, nu, drives, columnsOfA, rowsOfA } = equations;
    if (columnsOfA) {
      multiply(columnsOfA, x, f);
      for (let i = 0; i < nx; i++) f[i] += B[i * nu];
    } else {
      const { start, column, value } = rowsOfA;
      for (let i = 0, p = 0; i < nx; i++) {
        let sum = B[i * nu];
        for (const end = start[i + 1]; p < end; p++) sum += value[p] * x[column[p]];
        f[i] = sum;
      }
    }
    for (let a = 0; a < drives.length; a++) {
      const { source, row, B, D } = drives[a];
      const [level, slope] = [u[source], du[source]];
      for (let p = 0; p < row.length; p++) f[row[p]] += B[p] * level + D[p] * slope;
    }
    times(equations, f, second);
    lead(equations, du, second);
    const bent = this.bent && drives.length > 0;
    if (bent) {
      this.inputs.bends(n, side, this.bends);
      jumps(equations, this.bends, this.scratch);
      for (let i = 0; i < nx; i++) second[i] += this.scratch[i];
    }
    times(equations, second, third);
    if (bent) lead(equations, this.bends, third);
  }

  /**
   * out = A D v + B v, with v the change of u″ over h ticks times a factor: the sources' part of x⁗ of x − D u, since
   * x⁗ = A x‴ + C u‴ with C = A D + B.
   */
  turned(equations: Condensed, n: number, h: number, factor: number, out: Float64Array): void {
    const { bends, late, scratch, inputs } = this;
    inputs.bends(n, 1, bends);
    inputs.bends(n + h, 0, late);
    for (let s = 1; s < late.length; s++) late[s] = factor * (late[s] - bends[s]);
    jumps(equations, late, scratch);
    times(equations, scratch, out);
    lead(equations, late, out);
  }
}

/** out = A x */
export function times({ rowsOfA, columnsOfA }: Condensed, x: Float64Array, out: Float64Array): void {
  if (columnsOfA) multiply(columnsOfA, x, out);
  else multiplyRows(rowsOfA, x, out);
}

/** y = D u */
function jumps({ drives }: Condensed, u: Float64Array, y: Float64Array): void {
  y.fill(0);
  for (let a = 0; a < drives.length; a++) {
    const { source, row, D } = drives[a];
    for (let p = 0; p < row.length; p++) y[row[p]] += D[p] * u[source];
  }
}

/** y += B u, without the constants. */
function lead({ drives }: Condensed, u: Float64Array, y: Float64Array): void {
  for (let a = 0; a < drives.length; a++) {
    const { source, row, B } = drives[a];
    const level = u[source];
    for (let p = 0; p < row.length; p++) y[row[p]] += B[p] * level;
  }
}
