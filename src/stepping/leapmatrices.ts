// Leaps: what a combination does to z in any whole number of ticks, as one small product or a few.
//
// Very many very short trapezoids in a row are one matrix. With E the change of the moving entries over a time h,
// z ← z + E z, a trapezoid so short that its own error is below 1e-14 gives E = 2X (I + X + X² + …), X = hA/2; then
// E(a + b) = E(a) + E(b) + E(b) E(a), and E(2h) = 2 E(h) + E(h)²: scaling and squaring of the (1,1) Padé form
// (N. J. Higham, SIAM J. Matrix Anal. Appl. 26(4), 2005), in increments, so that what is slow loses nothing beside
// what is fast but a rounding of each doubling; where that would grow to something, doubledouble.ts doubles in pairs of doubles.
//
// A leap that will come again (from one corner of a source to its next) has a matrix of its own. Any other goes by its
// digits to the base of 16, and what is left, short beside every time constant, by a few terms of the series. Which
// of these it is, its caller says by the leap alone; what happens to be kept here changes no bit.
import { type SparseRows, sparseRows } from "../equations/compressed.js";
import { bitLength, ceilLog2, powerOfTwo } from "./binary.js";
import type { Clock } from "./clock.js";
import { DoubleDoubleChain } from "./doubledouble.js";
import type { Motion } from "./motion.js";
import { multiplyRows } from "./products.js";

/** A matrix E of a stretch of time. */
export interface LeapMatrix {
  readonly seconds: number;
  /** Rows of the moving entries over z, flat. */
  readonly E: Float64Array;
  readonly sparse: SparseRows;
}

/** Nothing moves by more than this share of itself in a leap that goes by the series. */
const short = -8;
/** A trapezoid's error is below h³/12: at 2^-22 of the fastest time constant, 5e-15. */
const fine = -22;
/** Up to 2^17 of the fastest time constant E is doubled in doubles: what is slow loses 3e-10 at most. Beyond: doubledouble.ts. */
const apart = 17;
/** By this share of all that is held digits count as lost. */
const doubted = 1e-8;
/** Binary places of a digit. */
const places = 4;
const base = 2 ** places;
/** The most lengths that are kept with a matrix of their own. */
const mostKept = 1024;
/** A term of the series below this is none. */
const speck = powerOfTwo(-56);

/** The leaps of one combination of modes. */
export class LeapMatrices {
  /** Exponent (of ticks) of the shortest digit; below it goes the series. */
  readonly least: number;
  /** By exponent less `least`: E of 2^exponent ticks. */
  private readonly powers: LeapMatrix[] = [];
  /** The same beyond `crowded`, from pairs of doubles. */
  private readonly far: LeapMatrix[] = [];
  private chain: DoubleDoubleChain | undefined;
  private readonly crowded: number;
  private readonly digits: (LeapMatrix | undefined)[] = [];
  private readonly own = new Map<number, LeapMatrix>();
  /** The shortest digit in ticks. */
  private readonly unit: number;
  /** Digits of the length in hand, the least first, and the ticks below them. */
  private readonly values = new Int32Array(16);
  private low = 0;
  private readonly term: Float64Array;
  private readonly next: Float64Array;
  readonly tick: number;

  constructor(
    private readonly motion: Motion,
    private readonly clock: Clock,
  ) {
    const { rate, width } = motion;
    const tick = clock.seconds;
    this.tick = tick;
    // The longest power of two ticks that is short beside every time constant.
    const exponent = rate > 0 ? short - ceilLog2(rate * tick) : Number.POSITIVE_INFINITY;
    this.least = Math.max(0, Math.min(53, exponent));
    this.crowded = Math.max(this.least, exponent - short + apart);
    this.unit = powerOfTwo(this.least);
    this.term = new Float64Array(width);
    this.next = new Float64Array(width);
  }

  /** How many matrices there are. */
  get size(): number {
    return (
      this.powers.length +
      this.far.length +
      this.own.size +
      this.digits.reduce((count, d) => count + (d ? 1 : 0), 0)
    );
  }

  /** States of which digits are lost in the longest leap so far, beside what is very fast. */
  get doubtful(): readonly number[] {
    const { far, chain, crowded, least } = this;
    return far.length > 0 && chain ? chain.doubtful(crowded - least + far.length, doubted) : [];
  }

  /** z over a leap of so many ticks (at least 1), in place; `recurs` where the length will come again. */
  leap(z: Float64Array, ticks: number, recurs: boolean): void {
    if (recurs) {
      this.apply(this.whole(ticks), z);
      return;
    }
    const { values } = this;
    const count = this.part(ticks);
    for (let at = count - 1; at >= 0; at--) {
      const digit = values[at];
      if (digit > 0) this.apply(this.digit(at, digit), z);
    }
    if (this.low > 0) this.series(z, this.clock.time(this.low));
  }

  /** Digits of a length into `values`, and what is left into `low`; gives how many there are. */
  private part(ticks: number): number {
    const { unit, values } = this;
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

  /** A row over z as a row over the z so many ticks before: row · e^(A t), in place. */
  pull(row: Float64Array, ticks: number): void {
    const { moving, width, one } = this.motion;
    const before = new Float64Array(width);
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      const digit = this.values[at];
      if (digit === 0) continue;
      const { E, seconds } = this.digit(at, digit);
      before.set(row);
      for (let i = 0; i < moving; i++) {
        const r = before[i];
        if (r === 0) continue;
        for (let j = 0, p = i * width; j < width; j++, p++) row[j] += r * E[p];
      }
      for (let j = one + 1; j < width; j += 2) row[j + 1] += seconds * before[j];
    }
    if (this.low > 0) this.pullSeries(row, this.clock.time(this.low));
  }

  /** The same over a time short beside every time constant. */
  pullSeries(row: Float64Array, seconds: number): void {
    const { motion } = this;
    let term: Float64Array = row.slice();
    let size = 1;
    for (let k = 1; k < 20; k++) {
      term = motion.before(term);
      for (let j = 0; j < term.length; j++) {
        term[j] *= seconds / k;
        row[j] += term[j];
      }
      size *= (motion.rate * seconds) / (k + 1);
      if (k > 1 && size < speck) break;
    }
  }

  /** E of 2^exponent ticks, for exponents from `least` on. */
  power(exponent: number): LeapMatrix {
    const { powers, least } = this;
    const top = Math.min(exponent, this.crowded);
    while (powers.length <= top - least) {
      const last = powers[powers.length - 1];
      powers.push(last ? this.after(last, last) : this.seed());
    }
    if (exponent <= top) return powers[exponent - least];
    const { far } = this;
    while (far.length < exponent - top) {
      this.chain ??= new DoubleDoubleChain(this.motion, this.clock.time(this.unit), this.halvings);
      const at = top + far.length + 1;
      far.push(this.piece(this.clock.time(powerOfTwo(at)), this.chain.E(at - least)));
    }
    return far[exponent - top - 1];
  }

  /** How often the shortest digit is halved to a trapezoid. */
  private get halvings(): number {
    const { rate } = this.motion;
    return rate > 0 ? Math.max(0, ceilLog2(rate * this.clock.time(this.unit)) - fine) : 0;
  }

  /** E of a length that comes again, put together from its digits. */
  whole(ticks: number): LeapMatrix {
    let piece = this.own.get(ticks);
    if (piece) return piece;
    for (let at = this.part(ticks) - 1; at >= 0; at--) {
      const digit = this.values[at];
      if (digit > 0) piece = piece ? this.after(piece, this.digit(at, digit)) : this.digit(at, digit);
    }
    if (this.low > 0) {
      const rest = this.summed(this.clock.time(this.low));
      piece = piece ? this.after(piece, rest) : rest;
    }
    if (this.own.size >= mostKept) this.own.clear();
    this.own.set(ticks, piece as LeapMatrix);
    return piece as LeapMatrix;
  }

  /** z over one piece, in place. */
  apply(piece: LeapMatrix, z: Float64Array): void {
    const { motion, next } = this;
    multiplyRows(piece.sparse, z, next);
    for (let i = 0; i < motion.moving; i++) z[i] += next[i];
    motion.glide(z, piece.seconds);
  }

  /** z over a time short beside every time constant, in place: Taylor's series. */
  series(z: Float64Array, seconds: number): void {
    const { motion } = this;
    let { term, next } = this;
    motion.derive(z, term);
    const reach = motion.rate * seconds;
    let size = 1;
    // Of k-th derivatives times h^k/k!; levels take part in the first two only.
    for (let k = 1; k < 20; k++) {
      const share = seconds / k;
      for (let i = 0; i < term.length; i++) term[i] *= share;
      for (let i = 0; i < motion.width; i++) z[i] += term[i];
      size *= reach / (k + 1);
      if (k > 1 && size < speck) break;
      motion.derive(term, next);
      [term, next] = [next, term];
    }
  }

  private digit(at: number, digit: number): LeapMatrix {
    const index = at * base + digit;
    let piece = this.digits[index];
    if (piece) return piece;
    const top = bitLength(digit) - 1;
    const rest = digit - (1 << top);
    const power = this.power(this.least + at * places + top);
    piece = rest === 0 ? power : this.after(power, this.digit(at, rest));
    this.digits[index] = piece;
    return piece;
  }

  /** E of 2^least ticks, doubled from a trapezoid far shorter. */
  private seed(): LeapMatrix {
    const { halvings } = this;
    let piece = this.trapezoid(this.clock.time(this.unit) / powerOfTwo(halvings));
    for (let k = 0; k < halvings; k++) piece = this.after(piece, piece);
    return piece;
  }

  /** 2X (I + X + X²) with X = hA/2, so small that its next power is beyond every bit. */
  private trapezoid(seconds: number): LeapMatrix {
    return this.piece(seconds, this.polynomial(seconds / 2, [2, 2, 2]));
  }

  /** E of a time short beside every time constant, by Taylor's series. */
  private summed(seconds: number): LeapMatrix {
    const coefficients: number[] = [];
    let [factor, size] = [1, 1];
    for (let k = 1; k < 20; k++) {
      factor /= k;
      coefficients.push(factor);
      size *= (this.motion.rate * seconds) / (k + 1);
      if (k > 1 && size < speck) break;
    }
    return this.piece(seconds, this.polynomial(seconds, coefficients));
  }

  /** Moving rows of c₁ X + c₂ X² + …, X the whole of A times `by`, with the rows of the levels. */
  private polynomial(by: number, c: readonly number[]): Float64Array {
    const { A, moving, width, one } = this.motion;
    const X = new Float64Array(moving * width);
    for (let i = 0; i < moving; i++)
      for (let p = A.start[i]; p < A.start[i + 1]; p++) X[i * width + A.column[p]] = by * A.value[p];
    const sum = X.map((x) => c[0] * x);
    let power: Float64Array = X;
    for (let k = 1; k < c.length; k++) {
      const next = this.times(power, X);
      for (let i = 0; i < moving * width; i += width)
        for (let j = one + 1; j < width; j += 2) next[i + j + 1] += by * power[i + j];
      for (let i = 0; i < sum.length; i++) sum[i] += c[k] * next[i];
      power = next;
    }
    return sum;
  }

  /** First one piece, then another. */
  private after(first: LeapMatrix, second: LeapMatrix): LeapMatrix {
    const { moving, width, one } = this.motion;
    const E = this.times(second.E, first.E);
    for (let i = 0; i < E.length; i++) E[i] += first.E[i] + second.E[i];
    for (let i = 0; i < moving; i++)
      for (let j = one + 1; j < width; j += 2)
        E[i * width + j + 1] += first.seconds * second.E[i * width + j];
    return this.piece(first.seconds + second.seconds, E);
  }

  /** The moving columns of P times Q. */
  private times(P: Float64Array, Q: Float64Array): Float64Array {
    const { moving, width } = this.motion;
    const out = new Float64Array(moving * width);
    for (let i = 0; i < moving; i++) {
      const at = i * width;
      for (let k = 0; k < moving; k++) {
        const p = P[at + k];
        if (p === 0) continue;
        for (let j = 0, q = k * width; j < width; j++, q++) out[at + j] += p * Q[q];
      }
    }
    return out;
  }

  private piece(seconds: number, E: Float64Array): LeapMatrix {
    const { moving, width } = this.motion;
    let thin: SparseRows | undefined;
    return {
      seconds,
      E,
      get sparse() {
        thin ??= sparseRows(E, moving, width);
        return thin;
      },
    };
  }
}
