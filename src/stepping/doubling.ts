// Matrices of lengths that are powers of two ticks, by doubling. With E the change of the moving entries over a time h,
// z ← z + E z, a trapezoid so short that its own error is below 1e-14 gives E = 2X (I + X + X² + …), X = hA/2; then
// E(a + b) = E(a) + E(b) + E(b) E(a), and E(2h) = 2 E(h) + E(h)²: scaling and squaring of the (1,1) Padé form
// (N. J. Higham, SIAM J. Matrix Anal. Appl. 26(4), 2005). Working in increments, slow motion loses only one rounding a
// doubling beside fast motion; where these would add up, doubledouble.ts doubles in pairs of doubles.
import { type SparseRows, sparseRows } from "../equations/sparserows.js";
import { bitLength, ceilLog2, powerOfTwo } from "./binary.js";
import type { Clock } from "./clock.js";
import { DoubleDoubleChain } from "./doubledouble.js";
import type { Motion } from "./motion.js";

/** The matrix E of a length of time. */
export class LeapMatrix {
  private thin: SparseRows | undefined = undefined;
  /** Whether so few entries are zero that multiplying by all of them is faster. */
  readonly full: boolean;

  /** @param E rows of the moving entries over z, flat */
  constructor(
    readonly seconds: number,
    readonly E: Float64Array,
    private readonly moving: number,
    private readonly width: number,
  ) {
    let filled = 0;
    for (let p = 0; p < E.length; p++) if (E[p] !== 0) filled++;
    this.full = 2 * filled >= E.length;
  }

  /** The same rows without their zeros. */
  get sparse(): SparseRows {
    this.thin ??= sparseRows(this.E, this.moving, this.width);
    return this.thin;
  }
}

/** Exponent: in a leap computed by the series nothing moves by more than this share of itself. */
const short = -8;
/** A trapezoid's error is below h³/12: at 2^-22 of the fastest time constant, 5e-15. */
const shortest = -22;
/** Up to 2^17 of the fastest time constant E is doubled in doubles: slow states lose at most 3e-10. */
const apart = 17;
/** From this share of all that is held on, digits count as lost. */
const doubted = 1e-8;
/** Terms of the series below this are dropped. */
export const leastTerm = powerOfTwo(-56);

/** The matrices of one motion that all others are built from. */
export class Doubling {
  /** Exponent (of ticks) of the shortest whole length; shorter ones are summed by the series. */
  readonly least: number;
  /** The shortest whole length in ticks. */
  readonly unit: number;
  /** Exponent of the longest length much shorter than every time constant, 53 at most; below zero: parts of a tick. */
  readonly finest: number;
  /** By exponent minus `finest`: E of 2^exponent ticks. */
  private readonly powers: LeapMatrix[] = [];
  /** The same beyond `crowded`, from pairs of doubles. */
  private readonly far: LeapMatrix[] = [];
  private chain: DoubleDoubleChain | undefined = undefined;
  private readonly crowded: number;

  /** @param elder of the same motion and tick, whose matrices are taken over wherever it has them */
  constructor(
    private readonly motion: Motion,
    private readonly clock: Clock,
    private readonly elder: Doubling | undefined,
  ) {
    const { rate } = motion;
    // The longest power of two ticks that is much shorter than every time constant.
    const exponent = rate > 0 ? short - ceilLog2(rate * clock.seconds) : Number.POSITIVE_INFINITY;
    this.finest = Math.min(53, exponent);
    this.least = Math.max(0, this.finest);
    this.crowded = Math.max(this.finest, exponent - short + apart);
    this.unit = powerOfTwo(this.least);
  }

  /**
   * Whether all that an elder made of lengths up to 2^exponent ticks is what would be made here, to the bit: motions that are
   * the same in doubles may differ in pairs of doubles.
   */
  shares(exponent: number): boolean {
    return this.elder !== undefined && exponent <= this.crowded;
  }

  /** How many matrices of whole ticks there are. */
  get size(): number {
    return Math.max(0, this.powers.length + this.far.length - (this.least - this.finest));
  }

  /** States beside very fast ones that lost digits in the longest leap so far. */
  get doubtful(): readonly number[] {
    const { far, chain, crowded, finest } = this;
    return far.length > 0 && chain ? chain.doubtful(crowded - finest + far.length, doubted) : [];
  }

  /** E of 2^exponent ticks, for exponents from `finest` on. */
  power(exponent: number): LeapMatrix {
    const { powers, far, finest, crowded, elder } = this;
    const top = Math.min(exponent, crowded);
    while (powers.length <= top - finest) {
      const last = powers[powers.length - 1];
      powers.push(elder?.powers[powers.length] ?? (last ? this.after(last, last) : this.seed()));
    }
    if (exponent <= top) return powers[exponent - finest];
    while (far.length < exponent - top) {
      const at = top + far.length + 1;
      far.push(this.matrix(this.clock.time(powerOfTwo(at)), this.pairs.E(at - finest)));
    }
    return far[exponent - top - 1];
  }

  /** Exponent of the longest power of two within so many ticks if it is doubled in pairs of doubles; else −1. */
  farWithin(ticks: number): number {
    const exponent = ticks < 1 ? -1 : bitLength(ticks) - 1;
    return exponent > this.crowded ? exponent : -1;
  }

  /** The shortest length doubled in pairs of doubles, in ticks. */
  get farLeast(): number {
    return this.crowded < 53 ? powerOfTwo(Math.max(0, this.crowded + 1)) : Number.POSITIVE_INFINITY;
  }

  /**
   * A row over z as a row over the z 2^exponent ticks earlier, and its slope, for lengths doubled in pairs of doubles.
   * @param rest the row's rounding error in doubles
   */
  farBefore(
    row: Float64Array,
    rest: Float64Array | undefined,
    exponent: number,
  ): ReturnType<DoubleDoubleChain["before"]> {
    return this.pairs.before(row, rest ?? new Float64Array(row.length), exponent - this.finest);
  }

  /** Whether lengths of so many ticks, as an exponent, are doubled in pairs of doubles. */
  isFar(exponent: number): boolean {
    return exponent > this.crowded;
  }

  /** All lengths in pairs of doubles, from the finest on. */
  get pairs(): DoubleDoubleChain {
    this.chain ??= new DoubleDoubleChain(this.motion, this.shortTime, this.halvings);
    return this.chain;
  }

  /** Seconds of the finest length. */
  private get shortTime(): number {
    return this.clock.time(powerOfTwo(this.finest));
  }

  /** How often the finest length is halved to reach a trapezoid. */
  private get halvings(): number {
    const { rate } = this.motion;
    return rate > 0 ? Math.max(0, ceilLog2(rate * this.shortTime) - shortest) : 0;
  }

  /** E of 2^finest ticks, doubled from a far shorter trapezoid. */
  private seed(): LeapMatrix {
    const { halvings } = this;
    let matrix = this.trapezoid(this.shortTime / powerOfTwo(halvings));
    for (let k = 0; k < halvings; k++) matrix = this.after(matrix, matrix);
    return matrix;
  }

  /** 2X (I + X + X²) with X = hA/2, so small that the next power is below the last bit. */
  private trapezoid(seconds: number): LeapMatrix {
    return this.matrix(seconds, this.polynomial(seconds / 2, [2, 2, 2]));
  }

  /** E of a time much shorter than every time constant, by Taylor's series. */
  summed(seconds: number): LeapMatrix {
    const coefficients: number[] = [];
    let [factor, size] = [1, 1];
    for (let k = 1; k < 20; k++) {
      factor /= k;
      coefficients.push(factor);
      size *= (this.motion.rate * seconds) / (k + 1);
      if (k > 1 && size < leastTerm) break;
    }
    return this.matrix(seconds, this.polynomial(seconds, coefficients));
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

  /** E of one length followed by another. */
  after(first: LeapMatrix, second: LeapMatrix): LeapMatrix {
    const { moving, width, one } = this.motion;
    const E = this.times(second.E, first.E);
    for (let i = 0; i < E.length; i++) E[i] += first.E[i] + second.E[i];
    for (let i = 0; i < moving; i++)
      for (let j = one + 1; j < width; j += 2)
        E[i * width + j + 1] += first.seconds * second.E[i * width + j];
    return this.matrix(first.seconds + second.seconds, E);
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

  private matrix(seconds: number, E: Float64Array): LeapMatrix {
    const { moving, width } = this.motion;
    return new LeapMatrix(seconds, E, moving, width);
  }
}
