// By how much guards can rise within a leap, as entries of ρ between their least and largest (guardbounds.ts defines ρ): how
// these are stored, joined one after another, and summed for a guard.
import type { Motion } from "./motion.js";

/** Rises of the guards, as rows over z'. */
export interface Within {
  readonly start: Int32Array;
  readonly column: Int32Array;
  /** Least and largest of entry p at 2p and 2p + 1. */
  readonly ends: Float64Array;
  readonly share: number;
}

/** Least and largest entries of ρ in full, guards × width. */
export interface RiseEnds {
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** Both, for leaps of some length. */
export interface Rises extends Within, RiseEnds {}

/** For leaps of up to 2^e ticks: ρ of all guards over the moving entries and the levels, with its bounds. */
export interface RisesUpTo extends Rises {
  readonly rho: Float64Array;
}

/** Bounds on ρ in a stretch after another. @param rho at the end of the first stretch @param E of the first */
export function risesBehind(
  { width, moving, one }: Motion,
  rho: Float64Array,
  then: Rises,
  E: Float64Array,
): RiseEnds {
  const { share } = then;
  const low = new Float64Array(rho.length);
  const high = new Float64Array(rho.length);
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
      low[at + j] += rho[at + j];
      high[at + j] += rho[at + j];
    }
    for (let j = one; j < width; j += 2) low[at + j] = high[at + j] = 0;
  }
  return { low, high };
}

/** ρ at the end of two stretches. @param rho at the end of the first @param then of the second by itself @param E of the first */
export function rhoBehind(
  { width, moving, one }: Motion,
  rho: Float64Array,
  then: Float64Array,
  E: Float64Array,
): Float64Array {
  const out = rho.map((r, p) => r + then[p]);
  for (let at = 0; at < out.length; at += width) {
    for (let i = 0; i < moving; i++) {
      const r = then[at + i];
      if (r === 0) continue;
      for (let j = 0, p = i * width; j < width; j++, p++) out[at + j] += j === one ? 0 : r * E[p];
    }
    for (let j = one; j < width; j += 2) out[at + j] = 0;
  }
  return out;
}

/** Bounds that hold over both of two stretches. */
export function risesOfBoth(a: RiseEnds, b: RiseEnds, width: number): Rises {
  const low = a.low.map((least, p) => Math.min(least, b.low[p]));
  const high = a.high.map((largest, p) => Math.max(largest, b.high[p]));
  return packedRises({ low, high }, width);
}

/** Bounds from their ends. */
export function packedRises({ low, high }: RiseEnds, width: number): Rises {
  const count = low.length / width;
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

/**
 * The most that guard g can rise by.
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

/** The most that it can fall by, likewise; zero or less. */
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

/** Which end of a bound applies to an entry, so that the loops need no branch on signs: 1 where it is above zero, else 0. */
export function waysOf(d: Float64Array, out: Int32Array): void {
  for (let j = 0; j < d.length; j++) out[j] = d[j] > 0 ? 1 : 0;
}
