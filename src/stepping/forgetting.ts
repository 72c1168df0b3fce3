// How quickly a motion forgets what its states were, and with it the rounding that is left of that: what has been amperes is no
// measure of a current that has since followed its neighbours through a terohm.
import { bitLength, powerOfTwo } from "./binary.js";
import type { Doubling } from "./doubling.js";
import type { Motion } from "./motion.js";

/** A state has forgotten itself once less than this share of it is left. */
const left = 1 / 16;
/** Rounding that shrinks to this share within a leap is judged anew once it has. */
const much = 1 / 4;

/** What one motion forgets, by powers of two ticks. */
export class Forgetting {
  /** By exponent, the states that have forgotten themselves by then. */
  private readonly gone: Int32Array[] = [];
  private readonly sizes: Float64Array;

  constructor(
    private readonly motion: Motion,
    private readonly doubling: Doubling,
  ) {
    this.sizes = new Float64Array(motion.width);
  }

  /**
   * Sizes of z after a leap. A state that has forgotten itself is as large as what the others have made of it: |x| after a time t
   * is at most |e^(At)| times the sizes of z before, entry by entry.
   */
  fade(sizes: Float64Array, ticks: number): void {
    const exponent = bitLength(ticks) - 1;
    const gone = this.by(exponent);
    for (let k = 0; k < gone.length; k++) this.sizes[gone[k]] = this.after(gone[k], exponent, sizes);
    for (let k = 0; k < gone.length; k++) sizes[gone[k]] = this.sizes[gone[k]];
  }

  /** After how many ticks of a leap the rounding of guard g has shrunk so much that it is to be judged anew; else all of them. */
  settles(g: number, sizes: Float64Array, ticks: number): number {
    const top = bitLength(ticks - 1) - 1;
    if (!this.shrinks(g, sizes, top)) return ticks;
    for (let exponent = this.doubling.least; exponent < top; exponent++)
      if (this.shrinks(g, sizes, exponent)) return powerOfTwo(exponent);
    return powerOfTwo(top);
  }

  private shrinks(g: number, sizes: Float64Array, exponent: number): boolean {
    const gone = this.by(exponent);
    if (gone.length === 0) return false;
    const { start, column, value } = this.motion.guards;
    let [before, after] = [0, 0];
    for (let p = start[g]; p < start[g + 1]; p++) {
      const j = column[p];
      const weight = Math.abs(value[p]);
      before += weight * sizes[j];
      after += weight * (gone.includes(j) ? this.after(j, exponent, sizes) : sizes[j]);
    }
    return after <= much * before;
  }

  private after(state: number, exponent: number, sizes: Float64Array): number {
    const { E } = this.doubling.power(exponent);
    const { width } = this.motion;
    let sum = 0;
    for (let j = 0, p = state * width; j < width; j++, p++)
      sum += Math.abs(j === state ? 1 + E[p] : E[p]) * sizes[j];
    return Math.min(sum, sizes[state]);
  }

  private by(exponent: number): Int32Array {
    const { gone, doubling, motion } = this;
    if (exponent < doubling.least) return none;
    if (!gone[exponent]) {
      const { E } = doubling.power(exponent);
      const found: number[] = [];
      for (let i = 0; i < motion.group.states.length; i++)
        if (Math.abs(1 + E[i * motion.width + i]) < left) found.push(i);
      gone[exponent] = Int32Array.from(found);
    }
    return gone[exponent];
  }
}

const none = new Int32Array(0);
