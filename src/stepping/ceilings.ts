// The most that the guards of a group rise by while its z' stays below sizes that it has not exceeded so far: coarser than the
// bounds for z' as it is, and at hand for most leaps.
import type { GuardBounds } from "./guardbounds.js";
import type { Motion } from "./motion.js";

/** The most that any guard can rise by while z' stays within `sizes`. */
interface Ceiling {
  /** By entry, the largest size of z' for which it holds. */
  readonly sizes: Float64Array;
  /** By guard. */
  readonly rises: Float64Array;
}

/** Margin over the present z', so that a ceiling is not raised each time; and for rounding of a sum. */
const spare = 1.125;
const doubt = 1 + 1e-12;

/** Ceilings of one group in one march. */
export class Ceilings {
  /** By exponent. */
  private readonly ceilings: Ceiling[] = [];

  constructor(
    private readonly bounds: GuardBounds,
    private readonly motion: Motion,
  ) {}

  /** The most that each guard rises by within a leap of up to 2^exponent ticks. @param d z' at its start */
  of(exponent: number, d: Float64Array): Ceiling {
    let ceiling = this.ceilings[exponent];
    // Where a bound exceeds every number nothing is kept from zero, not even what stands still.
    let grown = !ceiling;
    if (!ceiling) {
      const count = this.motion.guards.start.length - 1;
      ceiling = { sizes: new Float64Array(d.length), rises: new Float64Array(count) };
      this.ceilings[exponent] = ceiling;
    }
    const { sizes } = ceiling;
    for (let j = 0; j < d.length; j++) {
      const size = Math.abs(d[j]);
      if (size <= sizes[j]) continue;
      sizes[j] = spare * size;
      grown = true;
    }
    if (grown) this.raise(ceiling, exponent);
    return ceiling;
  }

  private raise({ sizes, rises }: Ceiling, exponent: number): void {
    const { start, column, ends, share } = this.bounds.within(exponent);
    for (let g = 0; g < rises.length; g++) {
      let sum = 0;
      for (let p = start[g]; p < start[g + 1]; p++)
        sum += sizes[column[p]] * Math.max(-ends[2 * p], ends[2 * p + 1]);
      rises[g] = sum * share * doubt;
    }
  }
}
