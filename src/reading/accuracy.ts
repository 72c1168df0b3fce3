// When a cubic through two samples is true to what lies between them.
import type { Roundoff } from "./roundoff.js";

/** A trace is true to this share of its swing. */
export const traceAccuracy = 4e-7;
/** What counts as rounding, as a share of the largest value. */
export const roundingShare = 1e-12;
/**
 * Where a stretch is looked at and parted: √2 − 1. It is badly approximable by fractions, so that no ring shows the
 * same phase at both ends and there: the slopes would differ by more than any tolerance lets pass.
 */
export const partingShare = Math.SQRT2 - 1;
/** A stretch that has been parted so often is taken as it is. */
export const mostPartings = 60;

/** Lowest and highest value so far. */
export interface ValueRange {
  low: number;
  high: number;
}

/** Lets a value count. */
export function widen(swing: ValueRange, value: number): void {
  if (value < swing.low) swing.low = value;
  if (value > swing.high) swing.high = value;
}

/** How far a cubic may be off. */
export function allowedError({ low, high }: ValueRange, within: number): number {
  return Math.max(within * (high - low), (roundingShare / 8) * Math.max(Math.abs(low), Math.abs(high)));
}

/**
 * Whether what is seen between two ends is not where their cubic has it.
 * @param h length, s
 * @param allowed how far a value may be off
 * @param grain the rounding of what is seen, asked for only where it matters
 */
export function missesCubic(
  guess: { readonly value: number; readonly slope: number },
  value: number,
  slope: number,
  h: number,
  allowed: number,
  grain: () => Roundoff,
): boolean {
  const [off, turned] = [Math.abs(guess.value - value), Math.abs(guess.slope - h * slope)];
  if (off <= allowed && turned <= 4 * allowed) return false;
  const rounding = grain();
  // Rounding of the ends comes into the slope of their cubic as well.
  return (
    off > allowed + 2 * rounding.value || turned > 4 * allowed + 8 * rounding.value + 2 * h * rounding.slope
  );
}

/** Where the cubic through two ends, with slopes times the length, is at share s, and its slope times the length. */
export function cubicAt(
  v0: number,
  s0: number,
  v1: number,
  s1: number,
  s: number,
): { value: number; slope: number } {
  const D = v1 - v0;
  const r = 1 - s;
  const [a, b] = [s0 - D, s1 - D];
  return {
    value: v0 + D * s + s * r * (a * r - b * s),
    slope: D + a * (1 - 4 * s + 3 * s * s) - b * (2 * s - 3 * s * s),
  };
}
