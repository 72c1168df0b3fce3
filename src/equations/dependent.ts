// The states that follow others in one combination of modes, as readers see them.
import type { Follower } from "./mass.js";
import type { Vector } from "./vector.js";

/** A dependent state: y = T x + S u. */
export class DependentState implements Follower {
  private full: { readonly T: Float64Array; readonly S: Float64Array } | undefined;
  constructor(
    readonly state: number,
    /** T and S side by side, without their zeros. */
    readonly row: Vector,
    private readonly nx: number,
    private readonly nu: number,
  ) {}

  get T(): Float64Array {
    return this.filled.T;
  }

  get S(): Float64Array {
    return this.filled.S;
  }

  /** T x + S u. */
  value(x: Float64Array, u: Float64Array): number {
    const { at, of } = this.row;
    let sum = 0;
    for (let p = 0; p < at.length; p++) sum += of[p] * (at[p] < this.nx ? x[at[p]] : u[at[p] - this.nx]);
    return sum;
  }

  private get filled() {
    if (!this.full) {
      const { at, of } = this.row;
      this.full = { T: new Float64Array(this.nx), S: new Float64Array(this.nu) };
      for (let p = 0; p < at.length; p++) {
        if (at[p] < this.nx) this.full.T[at[p]] = of[p];
        else this.full.S[at[p] - this.nx] = of[p];
      }
    }
    return this.full;
  }
}
