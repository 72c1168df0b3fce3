// A state that follows others in one combination of modes: a capacitor in a loop of capacitors and held voltages, an inductor
// in a cut of inductors and pushed currents.
import type { Vector } from "./vector.js";

/** A dependent state: y = T x + S u. */
export class DependentState {
  constructor(
    readonly state: number,
    /** T and S side by side, in columns of x and then u, without their zeros. */
    readonly row: Vector,
    private readonly nx: number,
  ) {}

  /** T x + S u. */
  value(x: Float64Array, u: Float64Array): number {
    const { at, of } = this.row;
    let sum = 0;
    for (let p = 0; p < at.length; p++) sum += of[p] * (at[p] < this.nx ? x[at[p]] : u[at[p] - this.nx]);
    return sum;
  }
}
