// Exact rationals, a thin layer over fraction.js. Nothing here ever passes a non-integer double to the library
// (it would round silently); doubles come in and go out only through the two exact conversions below.
import Fraction from "fraction.js";
import { handed } from "./handed.js";

export { Fraction };

/** Zero and one, shared because fractions never change. */
export const zero = new Fraction(0);
export const one = new Fraction(1);

/** The rational n/d of two integers. */
export function ratio(n: number | bigint, d: number | bigint = 1n): Fraction {
  return new Fraction(BigInt(n), BigInt(d));
}

/** Whether two rationals are equal, or both undefined; faster than subtracting big integers. */
export function alike(a: Fraction | undefined, b: Fraction | undefined): boolean {
  return (
    a === b ||
    (a !== undefined && b !== undefined && a.n === b.n && a.d === b.d && (a.n === 0n || a.s === b.s))
  );
}

/** The rational that a finite double stands for, exactly. */
export function fromNumber(x: number): Fraction {
  if (!Number.isFinite(x)) throw new RangeError("not a finite number");
  if (Number.isSafeInteger(x)) return new Fraction(BigInt(x), 1n);
  let exponent = 0;
  let m = x;
  // Doubling is exact, and a double has at most 1074 binary places.
  while (!Number.isInteger(m)) {
    m *= 2;
    exponent++;
  }
  return new Fraction(BigInt(m), 1n << BigInt(exponent));
}

/**
 * The double nearest to a rational (round half to even), whatever the size of its integers.
 *
 * @category Numbers and files
 * @example
 * ```ts
 * const timing = design.givens.get("timing");
 * timing && toNumber(timing.value); // 1.5e-8
 * ```
 */
export function toNumber(f: Fraction): number {
  if (!isFraction(f)) handed("fraction", f, "value");
  const n = f.n;
  const d = f.d;
  if (n === 0n) return 0;
  const sign = f.s < 0n ? -1 : 1;
  if (n <= 9007199254740991n && d <= 9007199254740991n) return (sign * Number(n)) / Number(d);
  // Scale so that the quotient has 64 or 65 bits; a sticky last bit makes the final rounding correct.
  const shift = 64 - (bits(n) - bits(d));
  const scaledN = shift >= 0 ? n << BigInt(shift) : n;
  const scaledD = shift >= 0 ? d : d << BigInt(-shift);
  let q = scaledN / scaledD;
  if (q * scaledD !== scaledN) q |= 1n;
  let x = Number(q);
  for (let left = -shift; left !== 0; ) {
    const part = Math.max(-1000, Math.min(1000, left));
    x *= 2 ** part;
    left -= part;
  }
  return sign * x;
}

function isFraction(f: Fraction): boolean {
  try {
    return typeof f.n === "bigint" && typeof f.d === "bigint";
  } catch {
    return false;
  }
}

function bits(n: bigint): number {
  return n.toString(2).length;
}

/** Greatest common divisor of two non-negative rationals, not both zero. */
export function commonDivisor(a: Fraction, b: Fraction): Fraction {
  if (a.n === 0n) return b.abs();
  if (b.n === 0n) return a.abs();
  return a.abs().gcd(b.abs());
}
