// What guards can rise by within some sixteenths of a leap, each of them bounded by itself. Where bounds are doubled
// (guardbounds.ts) they are those of what is bounded already, and wider each time: what would cancel is lost. Here ρ is exact
// wherever a sixteenth begins, and only what it does within that is bounded.
// Always: the bounds hold, and over more sixteenths are no narrower.
import type { Doubling, LeapMatrix } from "./doubling.js";
import type { Motion } from "./motion.js";
import { type Rises, type RisesUpTo, rhoBehind, risesBehind, risesOfBoth } from "./rises.js";

/** Sixteenths of a leap, one behind the other from its start. */
export class Sixteenths {
  /** What holds in one of them, in two and so on. */
  private readonly bounds: Rises[];
  /** ρ where these end, and the matrix from the start to there. */
  private rho: Float64Array;
  private all: LeapMatrix;

  /** @param first what holds in the first of them @param once its matrix */
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

  /** What guards can rise by within so many of them. */
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
