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
import { powerOfTwo } from "./binary.js";
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

/** For leaps of up to 2^e ticks: ρ of all guards over the moving entries and the levels, and its least and largest. */
interface Reach extends Within {
  /** Full, guards × width. */
  readonly rho: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** Bounds of the guards of one combination. */
export class GuardBounds {
  private readonly reaches: Reach[] = [];
  /** By exponent, of leaps shorter than those that have bounds of their own. */
  private readonly brief: Within[] = [];

  constructor(
    private readonly motion: Motion,
    private readonly doubling: Doubling,
  ) {}

  /**
   * By how much guard g can rise (at most) within a leap of up to 2^exponent ticks.
   * @param d z' at its start; or z'', for the rise of the guard's slope
   * @param ways of each entry of d, see `waysOf`
   */
  rise(exponent: number, g: number, d: Float64Array, ways: Int32Array): number {
    const { start, column, ends } = this.reach(exponent);
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) {
      const j = column[p];
      sum += d[j] * ends[2 * p + ways[j]];
    }
    return this.shortened(exponent, sum);
  }

  /** By how much it can fall, likewise; zero or less. */
  fall(exponent: number, g: number, d: Float64Array, ways: Int32Array): number {
    const { start, column, ends } = this.reach(exponent);
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) {
      const j = column[p];
      sum += d[j] * ends[2 * p + 1 - ways[j]];
    }
    return this.shortened(exponent, sum);
  }

  /** Below the shortest leap that has bounds of its own, all terms shrink with the time or faster. */
  private shortened(exponent: number, sum: number): number {
    const { least } = this.doubling;
    return exponent < least ? sum * powerOfTwo(exponent - least) : sum;
  }

  /** All rises at once: per guard the columns of z', least and largest of each in turn, all times `share`. */
  within(exponent: number): Within {
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
    return packed(rho, low, high, count, width);
  }

  private doubled(): Reach {
    const { motion, doubling, reaches } = this;
    const { width, moving, one } = motion;
    const last = reaches[reaches.length - 1];
    const { E } = doubling.power(doubling.least + reaches.length - 1);
    const count = last.rho.length / width;
    const rho = new Float64Array(last.rho.length);
    const low = new Float64Array(last.rho.length);
    const high = new Float64Array(last.rho.length);
    for (let g = 0; g < count; g++) {
      const at = g * width;
      // ρ e^(Ah), least and largest: e^(Ah) = I + E on what moves, and levels stay levels.
      for (let j = 0; j < width; j++) {
        rho[at + j] = 2 * last.rho[at + j];
        if (j >= moving) {
          low[at + j] = last.low[at + j];
          high[at + j] = last.high[at + j];
        }
      }
      for (let i = 0; i < moving; i++) {
        const [r, l, u] = [last.rho[at + i], last.low[at + i], last.high[at + i]];
        if (r === 0 && l === 0 && u === 0) continue;
        for (let j = 0, p = i * width; j < width; j++, p++) {
          const e = j === one ? 0 : E[p];
          rho[at + j] += r * e;
          const whole = i === j ? 1 + e : e;
          low[at + j] += whole > 0 ? l * whole : u * whole;
          high[at + j] += whole > 0 ? u * whole : l * whole;
        }
      }
      for (let j = 0; j < width; j++) {
        low[at + j] = Math.min(last.low[at + j], last.rho[at + j] + low[at + j]);
        high[at + j] = Math.max(last.high[at + j], last.rho[at + j] + high[at + j]);
      }
      for (let j = one; j < width; j += 2) rho[at + j] = low[at + j] = high[at + j] = 0;
    }
    return packed(rho, low, high, count, width);
  }
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

function packed(
  rho: Float64Array,
  low: Float64Array,
  high: Float64Array,
  count: number,
  width: number,
): Reach {
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
    rho,
    low,
    high,
    start,
    column: Int32Array.from(column),
    ends: Float64Array.from(ends),
    share: 1,
  };
}
