// Bounds on the rises of guards within some sixteenths of a leap, each sixteenth bounded by itself. Bounds made by doubling
// (guardbounds.ts) are bounds of bounds, and wider each time, since cancellation is lost. Here ρ is exact at the start of each
// sixteenth, and only its change within that is bounded.
// Always: the bounds hold, and over more sixteenths are no narrower.
import type { Doubling, LeapMatrix } from "./doubling.js";
import type { Motion } from "./motion.js";
import { type Rises, type RisesUpTo, rhoBehind, risesBehind, risesOfBoth } from "./rises.js";

/** Sixteenths of a leap, one after another from its start. */
export class Sixteenths {
  /** Bounds over one of them, over two, and so on. */
  private readonly bounds: Rises[];
  /** ρ at the end of these, and the matrix from the start to there. */
  private rho: Float64Array;
  private all: LeapMatrix;

  /** @param first bounds over the first of them @param once its matrix */
  constructor(
    private readonly motion: Motion,
    private readonly doubling: Doubling,
    private readonly first: RisesUpTo,
    private readonly once: LeapMatrix,
  ) {
    this.bounds = [first];
    this.rho = first.rho;
    this.all = once;
  }

  /** Bounds over so many of them. */
  upTo(count: number): Rises {
    const { motion, doubling, first, once, bounds } = this;
    while (bounds.length < count) {
      const { E } = this.all;
      const next = risesBehind(motion, this.rho, first, E);
      bounds.push(risesOfBoth(bounds[bounds.length - 1], next, motion.width));
      this.rho = rhoBehind(motion, this.rho, first.rho, E);
      this.all = doubling.after(this.all, once);
    }
    return bounds[count - 1];
  }
}
