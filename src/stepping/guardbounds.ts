// What the guards of a combination can do within a leap, from where it starts. With d = z' at the start, a guard r is
//
//     r z(τ) = r z(0) + ρ(τ) d        ρ(τ) = r ∫₀^τ e^(As) ds
//
// so what it can reach follows from the largest and smallest entries of ρ over the leap. These are found by doubling,
// in intervals: ρ(h + s) = ρ(h) + ρ(s) e^(Ah), with s anywhere up to h. What has died out by h bounds nothing any more,
// and an integrator goes by its slope; so one bound holds for what is fast and for what is slow. The slope of a guard
// moves by ρ(τ) z'' in the same way.
// Always: the bounds hold, whatever the state; where they are too wide, the leap is looked at in halves.
import type { SparseRows } from "../equations/sparserows.js";
import { bitLength, powerOfTwo } from "./binary.js";
import type { Doubling } from "./doubling.js";
import type { Motion } from "./motion.js";

/** What the guards can rise by, as rows over z'. */
export interface Within {
  readonly start: Int32Array;
  readonly column: Int32Array;
  /** Least and largest of entry p at 2p and 2p + 1. */
  readonly ends: Float64Array;
  readonly share: number;
}

/** The same full, guards × width, for leaps of some length. */
interface Bounds extends Within {
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** For leaps of up to 2^e ticks: ρ of all guards over the moving entries and the levels, and its least and largest. */
interface Reach extends Bounds {
  readonly rho: Float64Array;
}

/** What all guards have been able to rise by so far: no more, as long as z' has not been larger. */
export interface Ceiling {
  /** By entry, the largest size of z' for which it holds. */
  readonly sizes: Float64Array;
  /** By guard. */
  readonly rises: Float64Array;
}

/** Beyond z' as it is, so that a ceiling need not be raised each time; and what rounding may make of a sum. */
const spare = 1.125;
const doubt = 1 + 1e-12;

/** Parts of a power of two for which there are bounds of their own, where those of the whole leave something open. */
const shares = 16;

/** Bounds of the guards of one combination. */
export class GuardBounds {
  private readonly reaches: Reach[] = [];
  /** By exponent, of leaps shorter than those that have bounds of their own. */
  private readonly brief: Bounds[] = [];
  /** By exponent and sixteenths of 2^exponent ticks. */
  private readonly parts: Bounds[][] = [];
  private readonly ceilings: Ceiling[] = [];

  constructor(
    private readonly motion: Motion,
    private readonly doubling: Doubling,
  ) {}

  /** What no guard rises by within a leap of up to 2^exponent ticks. @param d z' at its start */
  ceiling(exponent: number, d: Float64Array): Ceiling {
    let ceiling = this.ceilings[exponent];
    // Where a bound is beyond every number nothing is kept from zero, not even what stands still.
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
    const { start, column, ends, share } = this.within(exponent);
    for (let g = 0; g < rises.length; g++) {
      let sum = 0;
      for (let p = start[g]; p < start[g + 1]; p++)
        sum += sizes[column[p]] * Math.max(-ends[2 * p], ends[2 * p + 1]);
      rises[g] = sum * share * doubt;
    }
  }

  /** As `within` for a leap of so many ticks, by sixteenths of a power of two: nearer to what it can do, at more cost when first met. */
  closely(ticks: number): Within {
    const exponent = bitLength(ticks - 1);
    const { least } = this.doubling;
    if (exponent <= least) return this.within(exponent);
    const share = Math.ceil(ticks / (powerOfTwo(exponent) / shares));
    return this.part(exponent, share);
  }

  /** So many sixteenths of 2^exponent ticks, which may be less than the shortest leap that has bounds of its own. */
  private part(exponent: number, share: number): Bounds {
    const { least } = this.doubling;
    if (share === shares || exponent <= least) return this.whole(exponent);
    // Eight of them make a power of two, and what is left a part of a smaller one.
    if (share === shares / 2) return this.part(exponent - 1, shares);
    this.parts[exponent] ??= [];
    this.parts[exponent][share] ??= this.joined(exponent - 1, share - shares / 2);
    return this.parts[exponent][share];
  }

  /** 2^exponent ticks and then so many eighths of it. */
  private joined(exponent: number, eighths: number): Bounds {
    const first = this.reach(exponent);
    const bits = bitLength(eighths - 1);
    const then = this.part(exponent - 3 + bits, (shares * eighths) / powerOfTwo(bits));
    const { E } = this.doubling.power(exponent);
    const { width } = this.motion;
    const ends = this.behind(first, then, E);
    return packed(ends, first.low.length / width, width);
  }

  /** All rises at once: per guard the columns of z', least and largest of each in turn, all times `share`. */
  within(exponent: number): Within {
    return this.whole(exponent);
  }

  private whole(exponent: number): Bounds {
    const { least } = this.doubling;
    const reach = this.reach(exponent);
    if (exponent >= least) return reach;
    this.brief[exponent] ??= { ...reach, share: powerOfTwo(exponent - least) };
    return this.brief[exponent];
  }

  private reach(exponent: number): Reach {
    const { reaches } = this;
    const { least } = this.doubling;
    const at = exponent > least ? exponent - least : 0;
    while (reaches.length <= at) reaches.push(reaches.length === 0 ? this.first() : this.doubled());
    return reaches[at];
  }

  /** Up to 2^least ticks, short beside every time constant: r s (I + As/2 + …), what follows the first term by its size. */
  private first(): Reach {
    const { motion, doubling } = this;
    const { guards, width, A, moving, one } = motion;
    const count = guards.start.length - 1;
    const h = doubling.power(doubling.least).seconds;
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
    return { rho, ...packed({ low, high }, count, width) };
  }

  private doubled(): Reach {
    const { motion, doubling, reaches } = this;
    const { width, moving, one } = motion;
    const last = reaches[reaches.length - 1];
    const { E } = doubling.power(doubling.least + reaches.length - 1);
    const count = last.rho.length / width;
    const rho = last.rho.map((r) => 2 * r);
    for (let g = 0; g < count; g++) {
      const at = g * width;
      for (let i = 0; i < moving; i++) {
        const r = last.rho[at + i];
        if (r === 0) continue;
        for (let j = 0, p = i * width; j < width; j++, p++) rho[at + j] += j === one ? 0 : r * E[p];
      }
      for (let j = one; j < width; j += 2) rho[at + j] = 0;
    }
    return { rho, ...packed(this.behind(last, last, E), count, width) };
  }

  /** Ends of one stretch and then another. @param E of the first */
  private behind(first: Reach, then: Bounds, E: Float64Array): Pick<Bounds, "low" | "high"> {
    const { width, moving, one } = this.motion;
    const { share } = then;
    const low = new Float64Array(first.low.length);
    const high = new Float64Array(first.low.length);
    for (let at = 0; at < low.length; at += width) {
      // ρ e^(Ah), least and largest: e^(Ah) = I + E on what moves, and levels stay levels.
      for (let j = moving; j < width; j++) {
        low[at + j] = share * then.low[at + j];
        high[at + j] = share * then.high[at + j];
      }
      for (let i = 0; i < moving; i++) {
        const [l, u] = [share * then.low[at + i], share * then.high[at + i]];
        if (l === 0 && u === 0) continue;
        for (let j = 0, p = i * width; j < width; j++, p++) {
          const e = j === one ? 0 : E[p];
          const whole = i === j ? 1 + e : e;
          low[at + j] += whole > 0 ? l * whole : u * whole;
          high[at + j] += whole > 0 ? u * whole : l * whole;
        }
      }
      for (let j = 0; j < width; j++) {
        low[at + j] = Math.min(first.low[at + j], first.rho[at + j] + low[at + j]);
        high[at + j] = Math.max(first.high[at + j], first.rho[at + j] + high[at + j]);
      }
      for (let j = one; j < width; j += 2) low[at + j] = high[at + j] = 0;
    }
    return { low, high };
  }
}

/**
 * By how much guard g can rise (at most).
 * @param d z' at the start; or z'', for the rise of the guard's slope
 * @param ways of each entry of d, see `waysOf`
 */
export function riseOf(
  { start, column, ends, share }: Within,
  g: number,
  d: Float64Array,
  ways: Int32Array,
): number {
  let sum = 0;
  for (let p = start[g], end = start[g + 1]; p < end; p++) {
    const j = column[p];
    sum += d[j] * ends[2 * p + ways[j]];
  }
  return sum * share;
}

/** By how much it can fall, likewise; zero or less. */
export function fallOf(
  { start, column, ends, share }: Within,
  g: number,
  d: Float64Array,
  ways: Int32Array,
): number {
  let sum = 0;
  for (let p = start[g], end = start[g + 1]; p < end; p++) {
    const j = column[p];
    sum += d[j] * ends[2 * p + 1 - ways[j]];
  }
  return sum * share;
}

/** Which end of a bound an entry is to be taken with, so that nothing branches on signs in the loops: 1 where it is above zero. */
export function waysOf(d: Float64Array, out: Int32Array): void {
  for (let j = 0; j < d.length; j++) out[j] = d[j] > 0 ? 1 : 0;
}

function dense(rows: SparseRows, i: number, width: number): Float64Array {
  const out = new Float64Array(width);
  for (let p = rows.start[i]; p < rows.start[i + 1]; p++) out[rows.column[p]] = rows.value[p];
  return out;
}

function packed({ low, high }: Pick<Bounds, "low" | "high">, count: number, width: number): Bounds {
  const start = new Int32Array(count + 1);
  const column: number[] = [];
  const ends: number[] = [];
  for (let g = 0; g < count; g++) {
    for (let j = 0; j < width; j++) {
      const p = g * width + j;
      if (low[p] === 0 && high[p] === 0) continue;
      column.push(j);
      ends.push(low[p], high[p]);
    }
    start[g + 1] = column.length;
  }
  return {
    low,
    high,
    start,
    column: Int32Array.from(column),
    ends: Float64Array.from(ends),
    share: 1,
  };
}
