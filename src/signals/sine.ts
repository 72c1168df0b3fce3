// Sine and cosine from + - * / and whole-number rounding alone, which are the same to the bit in every JavaScript engine (Math.sin
// is not), so that a run has one checksum everywhere. Angles are in turns. `Phase` gives them at a tick to 3e-16 turn, for
// ticks up to 2^53, and repeats to the bit if the period is a whole number of ticks.
import { type Fraction, fromNumber, one, toNumber } from "../base/fraction.js";
import { wrapped } from "./wave.js";

/** 2π to the nearest double. */
export const turn = 6.283185307179586;

// Taylor's coefficients (-1)^k/n!, n up to 18: every factorial is a whole number below 2^53, so each is one exact
// rounding. At an eighth of a turn the first term left out is below 1e-17 of the result.
const s3 = -1 / 6;
const s5 = 1 / 120;
const s7 = -1 / 5040;
const s9 = 1 / 362880;
const s11 = -1 / 39916800;
const s13 = 1 / 6227020800;
const s15 = -1 / 1307674368000;
const s17 = 1 / 355687428096000;
const c4 = 1 / 24;
const c6 = -1 / 720;
const c8 = 1 / 40320;
const c10 = -1 / 3628800;
const c12 = 1 / 479001600;
const c14 = -1 / 87178291200;
const c16 = 1 / 20922789888000;
const c18 = -1 / 6402373705728000;

function smallSin(y: number): number {
  const z = y * y;
  return y + y * (z * (s3 + z * (s5 + z * (s7 + z * (s9 + z * (s11 + z * (s13 + z * (s15 + z * s17))))))));
}

function smallCos(y: number): number {
  const z = y * y;
  const rest = z * (z * (c4 + z * (c6 + z * (c8 + z * (c10 + z * (c12 + z * (c14 + z * (c16 + z * c18))))))));
  // 1 - z/2 loses the low bits of z/2; what it lost comes back exactly.
  const half = z / 2;
  const near = 1 - half;
  return near + (1 - near - half + rest);
}

/** sin 2πx of x turns, to 3e-16. */
export function sinTurns(x: number): number {
  return quarters(x, 0);
}

/** cos 2πx of x turns, to 3e-16. */
export function cosTurns(x: number): number {
  return quarters(x, 1);
}

/** The sine of x turns plus some quarters of a turn. */
function quarters(x: number, more: number): number {
  const nearest = Math.floor(x * 4 + 0.5);
  // Exact: x is no more than an eighth of a turn from this multiple of a quarter.
  const y = (x - nearest / 4) * turn;
  switch ((nearest + more) & 3) {
    case 0:
      return smallSin(y);
    case 1:
      return smallCos(y);
    case 2:
      return -smallSin(y);
    default:
      return -smallCos(y);
  }
}

/** The angle in turns, 0 to 1/8, of a sine between 0 and √½; relative error 4e-16. */
export function arcsinTurns(s: number): number {
  // The series sin⁻¹ s = s + s³/6 + ... gives two digits; Newton doubles them each time.
  let y = s * (1 + (s * s) / 6);
  for (let i = 0; i < 5; i++) y += (s - smallSin(y)) / smallCos(y);
  return y / turn;
}

/** Turns since time zero, modulo one, at tick n. */
export class Phase {
  // Turns per tick as the unevaluated sum of two doubles, 106 bits in all.
  private readonly high: number;
  private readonly low: number;
  // `high` split into halves of 26 bits whose products are exact (Dekker, Numer. Math. 18, 1971).
  private readonly highUpper: number;
  private readonly highLower: number;
  private readonly start: number;
  /** Ticks after which the phase repeats exactly; Infinity where that number is beyond 2^53. */
  readonly again: number;

  /** `rate` in turns per tick, `start` in turns at tick 0, both exact. */
  constructor(rate: Fraction, start: Fraction) {
    const fraction = wrapped(rate, one);
    this.high = toNumber(fraction);
    this.low = toNumber(fraction.sub(fromNumber(this.high)));
    this.highUpper = upper(this.high);
    this.highLower = this.high - this.highUpper;
    this.start = toNumber(wrapped(start, one));
    this.again = fraction.d <= 9007199254740992n ? Number(fraction.d) : Number.POSITIVE_INFINITY;
  }

  /** The phase at tick n, 0 to 1. n may lie between ticks. */
  at(n: number): number {
    const m = n % this.again;
    const product = m * this.high;
    const mUpper = upper(m);
    const mLower = m - mUpper;
    const lost =
      mLower * this.highLower -
      (product - mUpper * this.highUpper - mLower * this.highUpper - mUpper * this.highLower);
    const sum = product - Math.floor(product) + (lost + m * this.low + this.start);
    return sum - Math.floor(sum);
  }
}

/** The upper half of a double's bits. */
function upper(x: number): number {
  const t = 134217729 * x; // 2^27 + 1
  return t - (t - x);
}
