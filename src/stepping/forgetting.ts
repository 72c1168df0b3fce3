// How quickly a motion forgets what its states were, and with it the rounding that is left of that: what has been amperes is no
// measure of a current that has since followed its neighbours through a terohm.
import { bitLength, powerOfTwo } from "./binary.js";
import type { Doubling } from "./doubling.js";
import type { Motion } from "./motion.js";

/** A state has forgotten itself once less than this share of it is left. */
const left = 1 / 16;
/** Rounding that shrinks to this share within a leap is judged anew once it has. */
const much = 1 / 4;

/** The states that have forgotten themselves by some time, and for each of them a row: what of the sizes before is left in it. */
interface Forgotten {
  readonly states: Int32Array;
  readonly rows: Float64Array;
}

/** What one motion forgets, by powers of two ticks. */
export class Forgetting {
  private readonly known: Forgotten[] = [];
  private readonly sizes: Float64Array;

  /** @param elder of the same motion and tick, of which what it knows is taken over */
  constructor(
    private readonly motion: Motion,
    private readonly doubling: Doubling,
    private readonly elder: Forgetting | undefined,
  ) {
    this.sizes = new Float64Array(motion.width);
  }

  /**
   * Sizes of z after a leap. A state that has forgotten itself is as large as what the others have made of it: |x| after a time t
   * is at most |e^(At)| times the sizes of z before, entry by entry, but no smaller than it is.
   */
  fade(sizes: Float64Array, ticks: number, z: Float64Array): void {
    const gone = this.by(bitLength(ticks) - 1);
    const { states } = gone;
    for (let k = 0; k < states.length; k++) this.sizes[k] = after(gone, k, sizes);
    for (let k = 0; k < states.length; k++)
      sizes[states[k]] = Math.max(this.sizes[k], Math.abs(z[states[k]]));
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
    if (gone.states.length === 0) return false;
    const { start, column, value } = this.motion.guards;
    let [before, later] = [0, 0];
    for (let p = start[g]; p < start[g + 1]; p++) {
      const j = column[p];
      const weight = Math.abs(value[p]);
      const k = gone.states.indexOf(j);
      before += weight * sizes[j];
      later += weight * (k < 0 ? sizes[j] : after(gone, k, sizes));
    }
    return later <= much * before;
  }

  private by(exponent: number): Forgotten {
    this.known[exponent] ??= this.made(exponent);
    return this.known[exponent];
  }

  private made(exponent: number): Forgotten {
    const { doubling, motion, elder } = this;
    const { width, group } = motion;
    if (exponent < doubling.least) return none;
    const { E } = doubling.power(exponent);
    const before = doubling.shares(exponent) ? elder?.known[exponent] : undefined;
    if (before) return before;
    const states = group.states.map((_, i) => i).filter((i) => Math.abs(1 + E[i * width + i]) < left);
    const rows = states.flatMap((i) =>
      Array.from({ length: width }, (_, j) => Math.abs(Number(i === j) + E[i * width + j])),
    );
    return { states: Int32Array.from(states), rows: Float64Array.from(rows) };
  }
}

const none: Forgotten = { states: new Int32Array(0), rows: new Float64Array(0) };

/** The size of the k-th state that is forgotten, by those before; it is no larger than it was. */
function after({ states, rows }: Forgotten, k: number, sizes: Float64Array): number {
  let sum = 0;
  for (let j = 0, p = k * sizes.length; j < sizes.length; j++, p++) sum += rows[p] * sizes[j];
  return Math.min(sum, sizes[states[k]]);
}
