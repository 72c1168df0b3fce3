// The work that elements do over a time without a corner, as one symmetric matrix over the z at its start: a power is a product
// of two rows over z, v · i, and for two times in a row W(a + b) = W(a) + F(a)ᵀ W(b) F(a), with F the change over the first.
// The shortest length is a series, h (P + hL(P)/2! + h²L²(P)/3! + …) with L(P) = PA + (PA)ᵀ.
// Where a state is held by something very fast, as a capacitor by 1e-18 ohm, W over a short time holds as much as is stored,
// and what goes on at rest is a small rest of it, whose rounding each doubling doubles. So lengths that doubling.ts makes of
// pairs of doubles are made of pairs here, from the finest length on.
import { doubleDoubles } from "../equations/arithmetic.js";
import type { Course } from "../stepping/courses.js";
import { addTimes, addTo, type DoubleDoubleChain, type PairMatrix } from "../stepping/doubledouble.js";

/** A row over z, and the rounding error of its entries. */
export interface ExactRow {
  readonly value: Float64Array;
  readonly rest: Float64Array;
}

/** Work over a time: a symmetric matrix over z, flat; empty where nothing is done. */
export interface Work {
  readonly sum: Float64Array;
  /** What has come and gone, entry by entry: where that has cancelled, the sum is its rounding. */
  readonly size: Float64Array;
}

/** Terms of a series in which nothing moves by more than 2^-8 of itself: the next is below the last bit. */
const terms = 9;

/**
 * What the rounding of pairs may be of a product, times 2^40: where all powers cancel, as one supply's into another, what is left is
 * that rounding, and far from it counts as nothing.
 */
const blurShare = 2 ** -66;

/** A power as a matrix, and what may be its rounding, entry by entry. */
interface Power extends PairMatrix {
  readonly blur: Float64Array;
}

/** What a power does over some seconds in which nothing moves but its own sum. */
function workOf(sum: Float64Array, { blur }: Power, seconds: number): Work {
  return { sum, size: sum.map((v, p) => Math.abs(v) + seconds * blur[p]) };
}

/** A power itself, as the work of a second. */
export function powerOfSecond(power: Power): Work {
  return workOf(power.high, power, 1);
}

/** A power: a product of two rows, and a factor. */
export interface Product {
  readonly volts: ExactRow;
  readonly amps: ExactRow;
  readonly factor: number;
}

/** The power Σ factor · v · i as a matrix. */
export function powerMatrix(products: readonly Product[], width: number): Power {
  const size = products.length > 0 ? width * width : 0;
  const [high, low, blur] = [1, 2, 3].map(() => new Float64Array(size));
  const out: Power = { high, low, blur };
  for (const { volts, amps, factor } of products) {
    const row: PairMatrix = { high: amps.value, low: amps.rest };
    for (let i = 0; i < width; i++) {
      const [v, rest] = [(factor / 2) * volts.value[i], (factor / 2) * volts.rest[i]];
      for (let j = 0; j < width; j++) {
        for (const p of [i * width + j, j * width + i]) {
          if (v !== 0) addTimes(out, p, row, j, v);
          blur[p] += blurShare * Math.abs(v * amps.value[j]);
          if (rest !== 0) addTo(out, p, rest * amps.value[j], 0);
        }
      }
    }
  }
  return out;
}

/** Work over one time, then over a second. @param pull a row over z as one over the z at the start of the first */
export function bothWorks(first: Work, second: Work, width: number, pull: (row: Float64Array) => void): Work {
  let moved = second.sum;
  for (let turn = 0; turn < 2; turn++) {
    moved = moved.slice();
    for (let p = 0; p < moved.length; p += width) pull(moved.subarray(p, p + width));
    moved = turned(moved, width);
  }
  return {
    sum: moved.map((v, p) => first.sum[p] + v),
    size: moved.map((v, p) => first.size[p] + Math.max(second.size[p], Math.abs(v))),
  };
}

/** What is done at z, and what has come and gone. */
export function workAt(
  { sum, size }: Work,
  z: Float64Array,
): { readonly done: number; readonly terms: number } {
  const width = z.length;
  let [done, terms] = [0, 0];
  for (let i = 0; i * width < sum.length; i++) {
    // What overflows does not spoil what it does not move.
    if (z[i] === 0) continue;
    for (let j = 0, p = i * width; j < width; j++, p++) {
      if (z[j] === 0) continue;
      done += sum[p] * z[i] * z[j];
      terms += size[p] * Math.abs(z[i] * z[j]);
    }
  }
  return { done, terms };
}

/** Work over lengths of 2^k of the finest, from a power. */
export class WorkChain {
  private readonly made: Work[] = [];
  private readonly pairs: PairMatrix[] = [];

  constructor(
    private readonly power: Power,
    private readonly course: Course,
  ) {}

  /** Work over 2^exponent ticks, from the finest length on. */
  over(exponent: number): Work {
    const { made } = this;
    const { doubling } = this.course.matrices;
    const k = exponent - doubling.finest;
    while (made.length <= k) {
      const last = made[made.length - 1];
      made.push(last ? this.doubled(last, made.length) : this.briefly(doubling.pairs.seconds));
    }
    return made[k];
  }

  /** Work over a time short beside every time constant. */
  briefly(h: number): Work {
    const { motion } = this.course;
    const { width } = motion;
    let term = this.power.high.map((v) => h * v);
    const sum = term.slice();
    for (let k = 2; k <= terms; k++) {
      const moved = new Float64Array(term.length);
      for (let p = 0; p < term.length; p += width)
        motion.before(term.subarray(p, p + width), moved.subarray(p, p + width));
      term = turned(moved, width).map((v, p) => ((moved[p] + v) * h) / k);
      for (let p = 0; p < sum.length; p++) sum[p] += term[p];
    }
    return workOf(sum, this.power, h);
  }

  /** Twice the length of the last, 2^k of the finest. */
  private doubled(last: Work, k: number): Work {
    const { motion, matrices } = this.course;
    const { doubling } = matrices;
    const far = doubling.isFar(doubling.finest + k);
    if (!far || this.power.high.length === 0) {
      const E = doubling.power(doubling.finest + k - 1);
      return bothWorks(last, last, motion.width, (row) => matrices.pullOver(row, E));
    }
    // Of pairs nothing is left of what came and went before the last length.
    const sum = this.exactly(k).high;
    const { blur } = this.power;
    const half = doubling.pairs.seconds * 2 ** (k - 1);
    return { sum, size: sum.map((v, p) => last.size[p] + Math.abs(v - last.sum[p]) + half * blur[p]) };
  }

  /** The same in pairs. */
  private exactly(k: number): PairMatrix {
    const { pairs, course } = this;
    const chain = course.matrices.doubling.pairs;
    const { width } = course.motion;
    if (pairs.length === 0) pairs.push(series(this.power, chain, width));
    while (pairs.length <= k) {
      const last = pairs[pairs.length - 1];
      let moved = last;
      for (let turn = 0; turn < 2; turn++) moved = bothTurned(chain.pulled(moved, pairs.length - 1), width);
      pairs.push(sumOf(last, moved));
    }
    return pairs[k];
  }
}

/** Work over the finest length. */
function series(power: PairMatrix, chain: DoubleDoubleChain, width: number): PairMatrix {
  const h = chain.seconds;
  let term: PairMatrix = {
    high: new Float64Array(power.high.length),
    low: new Float64Array(power.low.length),
  };
  for (let p = 0; p < power.high.length; p++) addTimes(term, p, power, p, h);
  let sum = term;
  for (let k = 2; k <= terms; k++) {
    const moved = chain.derived(term, h);
    term = divided(sumOf(moved, bothTurned(moved, width)), k);
    sum = sumOf(sum, term);
  }
  return sum;
}

function sumOf(a: PairMatrix, b: PairMatrix): PairMatrix {
  const out: PairMatrix = { high: a.high.slice(), low: a.low.slice() };
  for (let p = 0; p < out.high.length; p++) addTo(out, p, b.high[p], b.low[p]);
  return out;
}

function divided({ high, low }: PairMatrix, by: number): PairMatrix {
  const out: PairMatrix = { high: new Float64Array(high.length), low: new Float64Array(low.length) };
  for (let p = 0; p < high.length; p++) {
    const quotient = doubleDoubles.over({ high: high[p], low: low[p] }, { high: by, low: 0 });
    out.high[p] = quotient.high;
    out.low[p] = quotient.low;
  }
  return out;
}

function bothTurned({ high, low }: PairMatrix, width: number): PairMatrix {
  return { high: turned(high, width), low: turned(low, width) };
}

/** The matrix with its rows as columns. */
function turned(matrix: Float64Array, width: number): Float64Array {
  const out = new Float64Array(matrix.length);
  for (let i = 0, p = 0; p < matrix.length; i++)
    for (let j = 0; j < width; j++, p++) out[j * width + i] = matrix[p];
  return out;
}
