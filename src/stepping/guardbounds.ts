// Bounds on the guards of a combination over a leap, measured from its start. With d = z' at the start, a guard r is
//
//     r z(τ) = r z(0) + ρ(τ) d        ρ(τ) = r ∫₀^τ e^(As) ds
//
// so its reach follows from the largest and smallest entries of ρ over the leap. These are found by doubling, in
// intervals: ρ(h + s) = ρ(h) + ρ(s) e^(Ah), with s anywhere up to h. What has died out by h no longer widens the bounds,
// and an integrator counts by its slope; so the same bounds serve fast and slow states. The slope of a guard moves by
// ρ(τ) z'' in the same way.
// Always: the bounds hold, whatever the state; where they are too wide, the leap is halved.
import type { SparseRows } from "../equations/sparserows.js";
import { bitLength, powerOfTwo } from "./binary.js";
import type { Doubling } from "./doubling.js";
import type { Motion } from "./motion.js";
import {
  packedRises,
  type Rises,
  type RisesUpTo,
  rhoBehind,
  risesBehind,
  risesOfBoth,
  type Within,
} from "./rises.js";
import { Sixteenths } from "./sixteenths.js";

/** Parts of a power of two with bounds of their own, for where those of the whole leave something open. */
const places = 4;
const shares = 2 ** places;

/** Bounds of the guards of one combination. */
export class GuardBounds {
  private readonly reaches: RisesUpTo[] = [];
  /** By exponent, then by sixteenths, for leaps shorter than those with bounds of their own. */
  private readonly brief: Rises[][] = [];
  /** By exponent, then by sixteenths of 2^exponent ticks. */
  private readonly parts: Rises[][] = [];
  /** By exponent of a sixteenth. */
  private readonly fine: Sixteenths[] = [];

  /** @param elder of the same motion and tick, whose bounds are taken over wherever it has them */
  constructor(
    private readonly motion: Motion,
    private readonly doubling: Doubling,
    private readonly elder: GuardBounds | undefined,
  ) {}

  /** As `within` for a leap of so many ticks, to sixteenths of a power of two: tighter, at more cost on first use. */
  closely(ticks: number): Within {
    const exponent = bitLength(ticks - 1);
    const { least } = this.doubling;
    const share = Math.ceil(ticks / (powerOfTwo(exponent) / shares));
    return exponent <= least ? this.shorter(exponent, share) : this.part(exponent, share);
  }

  /** Tighter still, each sixteenth bounded by itself: for leaps that recur. */
  finely(ticks: number): Within {
    const { motion, doubling, fine } = this;
    const exponent = bitLength(ticks - 1) - places;
    if (exponent < doubling.least) return this.closely(ticks);
    fine[exponent] ??=
      this.elderUpTo(exponent)?.fine[exponent] ??
      new Sixteenths(motion, doubling, this.reach(exponent), doubling.power(exponent));
    return fine[exponent].upTo(Math.ceil(ticks / powerOfTwo(exponent)));
  }

  /** So many sixteenths of 2^exponent ticks, which may be shorter than the shortest leap with bounds of its own. */
  private part(exponent: number, share: number): Rises {
    const { least } = this.doubling;
    if (share === shares || exponent <= least) return this.whole(exponent);
    // Eight of them make the next lower power of two, and the rest is a part of a smaller one.
    if (share === shares / 2) return this.part(exponent - 1, shares);
    this.parts[exponent] ??= [];
    this.parts[exponent][share] ??=
      this.elderUpTo(exponent - 1)?.parts[exponent]?.[share] ?? this.joined(exponent - 1, share - shares / 2);
    return this.parts[exponent][share];
  }

  /** 2^exponent ticks, then so many eighths of it. */
  private joined(exponent: number, eighths: number): Rises {
    const first = this.reach(exponent);
    const bits = bitLength(eighths - 1);
    const then = this.part(exponent - 3 + bits, (shares * eighths) / powerOfTwo(bits));
    const { E } = this.doubling.power(exponent);
    return risesOfBoth(first, risesBehind(this.motion, first.rho, then, E), this.motion.width);
  }

  /** All rises at once: for each guard the columns of z', least and largest of each in turn, all times `share`. */
  within(exponent: number): Within {
    return this.whole(exponent);
  }

  private whole(exponent: number): Rises {
    const { least } = this.doubling;
    const reach = this.reach(exponent);
    return exponent >= least ? reach : this.shorter(exponent, shares);
  }

  /** So many sixteenths of 2^exponent ticks: ρ has hardly bent by then, and no later term of it exceeds its share of the whole. */
  private shorter(exponent: number, share: number): Rises {
    this.brief[exponent] ??= [];
    this.brief[exponent][share] ??= {
      ...this.reach(exponent),
      share: powerOfTwo(exponent - this.doubling.least) * (share / shares),
    };
    return this.brief[exponent][share];
  }

  /** The elder where what follows from matrices up to 2^exponent ticks is the same there; these count as used here. */
  private elderUpTo(exponent: number): GuardBounds | undefined {
    this.doubling.power(exponent);
    return this.doubling.shares(exponent) ? this.elder : undefined;
  }

  private reach(exponent: number): RisesUpTo {
    const { reaches } = this;
    const { least, finest } = this.doubling;
    const at = Math.max(exponent, least) - finest;
    for (let k = reaches.length; k <= at; k++) {
      const elder = this.elderUpTo(finest + Math.max(0, k - 1));
      reaches.push(elder?.reaches[k] ?? (k === 0 ? this.first() : this.doubled()));
    }
    return reaches[at];
  }

  /** Up to 2^finest ticks, much shorter than every time constant: r s (I + As/2 + …), later terms bounded by their size. */
  private first(): RisesUpTo {
    const { motion, doubling } = this;
    const { guards, width, A, moving, one } = motion;
    const count = guards.start.length - 1;
    const h = doubling.power(doubling.finest).seconds;
    const rho = new Float64Array(count * width);
    const low = new Float64Array(count * width);
    const high = new Float64Array(count * width);
    for (let g = 0; g < count; g++) {
      const at = g * width;
      let term = dense(guards, g, width);
      // 1 and the slopes do not move.
      for (let j = one; j < width; j += 2) term[j] = 0;
      let size = term.map(Math.abs);
      for (let j = 0; j < width; j++) {
        rho[at + j] = h * term[j];
        low[at + j] = Math.min(0, h * term[j]);
        high[at + j] = Math.max(0, h * term[j]);
      }
      let share = h;
      for (let k = 2; k < 10; k++) {
        share *= h / k;
        const [nextTerm, nextSize] = [new Float64Array(width), new Float64Array(width)];
        for (let i = 0; i < moving; i++) {
          for (let p = A.start[i]; p < A.start[i + 1]; p++) {
            nextTerm[A.column[p]] += term[i] * A.value[p];
            nextSize[A.column[p]] += size[i] * Math.abs(A.value[p]);
          }
        }
        for (let j = one; j < width; j += 2) {
          nextTerm[j] = 0;
          nextSize[j] = 0;
        }
        [term, size] = [nextTerm, nextSize];
        for (let j = 0; j < width; j++) {
          rho[at + j] += share * term[j];
          low[at + j] -= share * size[j];
          high[at + j] += share * size[j];
        }
      }
    }
    return { rho, ...packedRises({ low, high }, width) };
  }

  private doubled(): RisesUpTo {
    const { motion, doubling, reaches } = this;
    const last = reaches[reaches.length - 1];
    const { E } = doubling.power(doubling.finest + reaches.length - 1);
    const rho = rhoBehind(motion, last.rho, last.rho, E);
    return { rho, ...risesOfBoth(last, risesBehind(motion, last.rho, last, E), motion.width) };
  }
}

function dense(rows: SparseRows, i: number, width: number): Float64Array {
  const out = new Float64Array(width);
  for (let p = rows.start[i]; p < rows.start[i + 1]; p++) out[rows.column[p]] = rows.value[p];
  return out;
}
