// When a cubic through two looks is true to what lies between them.
import type { Roundoff } from "./roundoff.js";

/** A trace is true to this share of its swing. */
export const traceAccuracy = 4e-7;
/**
 * Where a stretch is looked at and parted: √2 − 1. It is badly approximable by fractions, so that no ring shows the
 * same phase at both ends and there: the slopes would differ by more than any tolerance lets pass.
 */
export const partingShare = Math.SQRT2 - 1;
/** A stretch that has been parted so often is taken as it is. */
export const mostPartings = 60;
/** What counts as rounding, as a share of the largest value. */
const roundingShare = 1e-12;

/** What was seen at a tick: a value, and its slope a second. */
export interface Seen {
  tick: number;
  value: number;
  slope: number;
}

/** Judges cubics by the swing of all values so far. */
export class CubicJudge {
  private low = Number.POSITIVE_INFINITY;
  private high = Number.NEGATIVE_INFINITY;

  /**
   * @param within how far a cubic may be from the truth, as a share of the swing
   * @param second length of a tick, s
   */
  constructor(
    private readonly within: number,
    private readonly second: number,
  ) {}

  /** Lets a value count. */
  widen(value: number): void {
    if (value < this.low) this.low = value;
    if (value > this.high) this.high = value;
  }

  /** What counts as rounding. */
  get rounding(): number {
    return roundingShare * Math.max(Math.abs(this.low), Math.abs(this.high));
  }

  /** Whether what is seen at m, between a and b, is not where their cubic has it. @param at tells the rounding of a look, where it matters */
  misses(a: Seen, m: Seen, b: Seen, at: { roundoff(tick: number): Roundoff }): boolean {
    const h = (b.tick - a.tick) * this.second;
    const guess = cubicAt(a, b, h, (m.tick - a.tick) / (b.tick - a.tick));
    const allowed = Math.max(this.within * (this.high - this.low), this.rounding / 8);
    const off = Math.abs(guess.value - m.value);
    const turned = Math.abs(guess.slope - h * m.slope);
    if (off <= allowed && turned <= 4 * allowed) return false;
    const { value, slope } = at.roundoff(m.tick);
    // Rounding of the ends comes into the slope of their cubic as well.
    return off > allowed + 2 * value || turned > 4 * allowed + 8 * value + 2 * h * slope;
  }
}

/** The cubic through two ends that lie h seconds apart, at a share of the way: its value, and its slope times h. */
export function cubicAt(a: Seen, b: Seen, h: number, share: number): { value: number; slope: number } {
  const D = b.value - a.value;
  const r = 1 - share;
  const [first, last] = [h * a.slope - D, h * b.slope - D];
  return {
    value: a.value + D * share + share * r * (first * r - last * share),
    slope: D + first * (1 - 4 * share + 3 * share * share) - last * (2 * share - 3 * share * share),
  };
}
