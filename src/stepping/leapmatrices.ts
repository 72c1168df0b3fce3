// Leaps: the change of z over any whole number of ticks, as one small product or a few.
//
// A leap that will recur (from one corner of a source to its next) has a matrix of its own. Any other is composed of its
// base-16 digits; the rest, much shorter than every time constant, is summed by a few terms of the series. The caller decides
// which, from the leap alone; what happens to be cached here changes no bit.
import type { SparseRows } from "../equations/sparserows.js";
import { bitLength } from "./binary.js";
import type { Clock } from "./clock.js";
import { Doubling, type LeapMatrix, leastTerm } from "./doubling.js";
import type { Motion } from "./motion.js";
import { multiplyColumns, multiplyFull, multiplyPair, multiplyRows, multiplySome } from "./products.js";
import type { PulledRow } from "./pulledrow.js";

/** Bits per digit. */
const places = 4;
const base = 2 ** places;
/** The most lengths that are cached with their own matrix. */
const mostKept = 1024;

/** The leaps of one combination of modes. */
export class LeapMatrices {
  /** The powers of two ticks that all others are made of. */
  readonly doubling: Doubling;
  private readonly digits: (LeapMatrix | undefined)[] = [];
  private readonly own = new Map<number, LeapMatrix>();
  /** The last lengths asked for: a handful follow each other within a line, and scanning these is faster. */
  private readonly recent = new Float64Array(8);
  private readonly lately: LeapMatrix[] = [];
  private oldest = 0;
  /** Digits of the current length, least first, and the ticks below them. */
  private readonly values = new Int32Array(16);
  private low = 0;
  private readonly term: Float64Array;
  private readonly next: Float64Array;
  /** Leave zeros out of every product, so that what grows beyond all numbers does not spoil what it does not move. */
  careful = false;
  /** Seconds of a tick. */
  readonly tick: number;

  /** @param elder of the same motion and tick, whose matrices are taken over wherever it has them */
  constructor(
    private readonly motion: Motion,
    private readonly clock: Clock,
    private readonly elder: LeapMatrices | undefined,
  ) {
    this.tick = clock.seconds;
    this.doubling = new Doubling(motion, clock, elder?.doubling);
    this.term = new Float64Array(motion.width);
    this.next = new Float64Array(motion.width);
  }

  /** How many matrices there are. */
  get size(): number {
    const { doubling, own, digits } = this;
    return doubling.size + own.size + digits.reduce((count, d) => count + (d ? 1 : 0), 0);
  }

  /** z over a leap of so many ticks (at least 1), in place; `recurs` where the length will recur. */
  leap(z: Float64Array, ticks: number, recurs: boolean): void {
    if (recurs) {
      this.apply(this.whole(ticks), z);
      return;
    }
    const { values } = this;
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      const digit = values[at];
      if (digit > 0) this.apply(this.digit(at, digit), z);
    }
    if (this.low > 0) this.series(z, this.clock.time(this.low));
  }

  /**
   * Columns of derivatives of the states over a leap, in place: one row of so many for each state. As `leap` moves z, but
   * sources do not affect them.
   */
  carry(rows: Float64Array, columns: number, ticks: number, recurs: boolean): void {
    if (recurs) {
      this.applyToColumns(this.whole(ticks).sparse, rows, columns);
      return;
    }
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      const digit = this.values[at];
      if (digit > 0) this.applyToColumns(this.digit(at, digit).sparse, rows, columns);
    }
    if (this.low > 0) this.sumColumns(rows, columns, this.clock.time(this.low));
  }

  private applyToColumns(E: SparseRows, rows: Float64Array, columns: number): void {
    const moved = multiplyColumns(E, rows, columns);
    for (let p = 0; p < rows.length; p++) rows[p] += moved[p];
  }

  /** Over a time much shorter than every time constant, see `series`. */
  private sumColumns(rows: Float64Array, columns: number, seconds: number): void {
    const { motion } = this;
    let term = multiplyColumns(motion.A, rows, columns);
    let size = 1;
    for (let k = 1; k < 20; k++) {
      const share = seconds / k;
      for (let p = 0; p < rows.length; p++) {
        term[p] *= share;
        rows[p] += term[p];
      }
      size *= (motion.rate * seconds) / (k + 1);
      if (k > 1 && size < leastTerm) break;
      term = multiplyColumns(motion.A, term, columns);
    }
  }

  /** Writes the digits of a length to `values` and the rest to `low`; gives the number of digits. */
  private part(ticks: number): number {
    const { values } = this;
    const { unit } = this.doubling;
    let high = Math.floor(ticks / unit);
    this.low = ticks - high * unit;
    let count = 0;
    while (high > 0) {
      const rest = Math.floor(high / base);
      values[count++] = high - rest * base;
      high = rest;
    }
    return count;
  }

  /** A row over z as a row over the z so many ticks earlier: row · e^(A t), in place. */
  pull(row: Float64Array, ticks: number): void {
    const before = this.next;
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      before.set(row);
      this.pullDigit(before, at, row);
    }
    if (this.low > 0) this.pullSeries(row, this.clock.time(this.low));
  }

  /** The same over the length of one matrix. */
  pullOver(row: Float64Array, matrix: LeapMatrix): void {
    this.next.set(row);
    this.pullBy(this.next, matrix, row);
  }

  /** The same out of place, for one row and many lengths: digits that begin as those of the length before are not done again. */
  pullOf(pulled: PulledRow, ticks: number, into: Float64Array): void {
    const { values } = this;
    const count = this.part(ticks);
    const { digits, rows } = pulled;
    let row = pulled.row;
    let at = count - 1;
    if (count === pulled.count) for (; at >= 0 && digits[at] === values[at]; at--) row = rows[at];
    pulled.count = count;
    for (; at >= 0; at--) {
      rows[at] ??= new Float64Array(row.length);
      const next = rows[at];
      digits[at] = values[at];
      this.pullDigit(row, at, next);
      row = next;
    }
    into.set(row);
    if (this.low > 0) this.pullSeries(into, this.clock.time(this.low));
  }

  /** A row pulled over one digit of the current length. */
  private pullDigit(row: Float64Array, at: number, into: Float64Array): void {
    into.set(row);
    const digit = this.values[at];
    if (digit > 0) this.pullBy(row, this.digit(at, digit), into);
  }

  /** Adds what a row changes by over the length of a matrix. */
  private pullBy(row: Float64Array, { E, seconds }: LeapMatrix, into: Float64Array): void {
    const { moving, width, one } = this.motion;
    for (let i = 0; i < moving; i++) {
      const r = row[i];
      if (r === 0) continue;
      for (let j = 0, p = i * width; j < width; j++, p++) into[j] += r * E[p];
    }
    for (let j = one + 1; j < width; j += 2) into[j + 1] += seconds * row[j];
  }

  /** The same over a time much shorter than every time constant. */
  pullSeries(row: Float64Array, seconds: number): void {
    const { motion } = this;
    let { term, next } = this;
    term.set(row);
    let size = 1;
    for (let k = 1; k < 20; k++) {
      motion.before(term, next);
      [term, next] = [next, term];
      for (let j = 0; j < term.length; j++) {
        term[j] *= seconds / k;
        row[j] += term[j];
      }
      size *= (motion.rate * seconds) / (k + 1);
      if (k > 1 && size < leastTerm) break;
    }
  }

  /** E of a length that recurs. */
  whole(ticks: number): LeapMatrix {
    const { recent } = this;
    for (let k = 0; k < recent.length; k++) if (recent[k] === ticks) return this.lately[k];
    const matrix = this.own.get(ticks) ?? this.made(ticks);
    recent[this.oldest] = ticks;
    this.lately[this.oldest] = matrix;
    this.oldest = (this.oldest + 1) % recent.length;
    return matrix;
  }

  /** Its digits one after another, the largest first, then the ticks below them. */
  private made(ticks: number): LeapMatrix {
    const digits: LeapMatrix[] = [];
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      const digit = this.values[at];
      if (digit > 0) digits.push(this.digit(at, digit));
    }
    let matrix = this.doubling.shares(bitLength(ticks) - 1) ? this.elder?.own.get(ticks) : undefined;
    if (!matrix && this.low > 0) digits.push(this.doubling.summed(this.clock.time(this.low)));
    matrix ??= digits.reduce((first, next) => this.doubling.after(first, next));
    if (this.own.size >= mostKept) this.own.clear();
    this.own.set(ticks, matrix);
    return matrix;
  }

  /** z over one matrix, in place. */
  apply(matrix: LeapMatrix, z: Float64Array): void {
    const { motion, next } = this;
    if (!matrix.full || this.careful) multiplyRows(matrix.sparse, z, next);
    else if (motion.moving === 2) multiplyPair(matrix.E, z, next);
    else multiplyFull(matrix.E, z, next);
    for (let i = 0; i < motion.moving; i++) z[i] += next[i];
    motion.glide(z, matrix.seconds);
  }

  /** z over a time much shorter than every time constant, in place: Taylor's series. */
  series(z: Float64Array, seconds: number): void {
    const { motion } = this;
    let { term, next } = this;
    motion.derive(z, term);
    const reach = motion.rate * seconds;
    let size = 1;
    // Terms are k-th derivatives times h^k/k!; levels contribute to the first two only.
    for (let k = 1; k < 20; k++) {
      const share = seconds / k;
      for (let i = 0; i < term.length; i++) term[i] *= share;
      for (let i = 0; i < motion.width; i++) z[i] += term[i];
      size *= reach / (k + 1);
      if (k > 1 && size < leastTerm) break;
      motion.derive(term, next);
      [term, next] = [next, term];
    }
  }

  /**
   * The same as `leap` for a length that does not recur, to the bit, but only for some entries, which no others move; the
   * rest are unchanged.
   * @param moving entries that move by themselves
   * @param levels entries that rise by the slope behind them
   */
  leapSome(z: Float64Array, ticks: number, moving: Int32Array, levels: Int32Array): void {
    const { values, next } = this;
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      if (values[at] === 0) continue;
      const { sparse, seconds } = this.digit(at, values[at]);
      multiplySome(sparse, moving, z, next);
      for (let k = 0; k < moving.length; k++) z[moving[k]] += next[moving[k]];
      for (let k = 0; k < levels.length; k++) z[levels[k]] += seconds * z[levels[k] + 1];
    }
    if (this.low > 0) this.seriesSome(z, this.clock.time(this.low), moving, levels);
  }

  private seriesSome(z: Float64Array, seconds: number, moving: Int32Array, levels: Int32Array): void {
    const { rate, A, one } = this.motion;
    let { term, next } = this;
    multiplySome(A, moving, z, term);
    term[one] = 0;
    for (let k = 0; k < levels.length; k++) {
      term[levels[k]] = z[levels[k] + 1];
      term[levels[k] + 1] = 0;
    }
    const reach = rate * seconds;
    let size = 1;
    for (let k = 1; k < 20; k++) {
      const share = seconds / k;
      for (let e = 0; e < moving.length; e++) {
        const i = moving[e];
        term[i] *= share;
        z[i] += term[i];
      }
      for (let e = 0; e < levels.length; e++) {
        const i = levels[e];
        term[i] *= share;
        z[i] += term[i];
      }
      size *= reach / (k + 1);
      if (k > 1 && size < leastTerm) break;
      multiplySome(A, moving, term, next);
      next[one] = 0;
      // A slope has no slope of its own.
      for (let e = 0; e < levels.length; e++) {
        next[levels[e]] = 0;
        next[levels[e] + 1] = 0;
      }
      [term, next] = [next, term];
    }
  }

  private digit(at: number, digit: number): LeapMatrix {
    const index = at * base + digit;
    let matrix = this.digits[index];
    if (matrix) return matrix;
    const top = bitLength(digit) - 1;
    const rest = digit - (1 << top);
    const exponent = this.doubling.least + at * places + top;
    const power = this.doubling.power(exponent);
    const lower = rest === 0 ? undefined : this.digit(at, rest);
    const known = this.doubling.shares(exponent) ? this.elder?.digits[index] : undefined;
    matrix = lower ? (known ?? this.doubling.after(power, lower)) : power;
    this.digits[index] = matrix;
    return matrix;
  }
}
