// Whether a cubic through two looks follows the trace between them.
import type { Roundoff } from "./roundoff.js";

/** How far a trace may be off, as a share of its swing. */
export const traceAccuracy = 4e-7;
/**
 * Where a stretch is looked at and parted: √2 − 1. Fractions approximate it badly, so no oscillation has the same phase at both
 * ends and there: the slopes would differ by more than any tolerance.
 */
export const partingShare = Math.SQRT2 - 1;
/**
 * Where a stretch is looked at again when a ringing may have been missed by chance: near the start, where what decays quickly
 * still rings, and at another badly approximable share.
 */
const doubtShares = [(Math.sqrt(5) - 2) / 2, Math.sqrt(3) - 1] as const;
/**
 * Where the first part of a leap is looked at as well: what rises from rest, with no slope, and is gone before the first look shows
 * at neither end. It is seen from a thousandth of its time constant, if it is large, to several of them.
 */
const earlyShares = [-4, -9, -14, -19, -24].map((places) => 2 ** places);
/** Where a piece may be looked at after a first look that its cubic has passed. */
export const furtherShares: readonly number[] = [...doubtShares, ...earlyShares];
/** After so many partings a stretch is taken as it is. */
export const mostPartings = 60;
/** From so many partings on, the rounding of a look is that of the whole way from the start of its stretch. */
export const doubtful = 10;
/** Rounding, as a share of the largest value. */
const roundingShare = 1e-12;

/** What was seen at a tick: the value, and its slope per second. */
export interface Seen {
  tick: number;
  value: number;
  slope: number;
}

/** A `Seen` to be filled in. */
export function nothingSeen(): Seen {
  return { tick: 0, value: 0, slope: 0 };
}

/** Of a list with an entry for each further look, those to take. */
export function furtherOf<Look>(all: readonly Look[], doubted: boolean, begins: boolean): readonly Look[] {
  const { length } = doubtShares;
  return all.slice(doubted ? 0 : length, begins ? all.length : length);
}

/** Whether any further look at a piece is off. Whether the piece is drawn as its chord is for the first look to say. */
export function anyOff<Look>(
  judges: readonly CubicJudge[],
  looks: readonly Look[],
  off: (look: Look) => boolean,
): boolean {
  if (looks.length === 0) return false;
  const chords = judges.map(({ chord }) => chord);
  const found = looks.some(off);
  for (const [k, judge] of judges.entries()) judge.chord = chords[k];
  return found;
}

/** Judges cubics by the swing of all values so far. */
export class CubicJudge {
  private low = Number.POSITIVE_INFINITY;
  private high = Number.NEGATIVE_INFINITY;
  private readonly three = new Float64Array(6);
  /** Of the look that strayed last: length of its cubic (s), the error allowed, the errors of value and of slope times length. */
  private readonly found = new Float64Array(6);
  /** Whether the part judged last lies on its chord, and only rounding of the slopes would bend its cubic. */
  chord = false;

  /**
   * @param within how far a cubic may be off, as a share of the swing
   * @param second length of a tick, s
   */
  constructor(
    readonly within: number,
    private readonly second: number,
  ) {}

  /** Includes a value in the swing. */
  widen(value: number): void {
    if (value < this.low) this.low = value;
    if (value > this.high) this.high = value;
  }

  /** How much of a value is rounding. */
  get rounding(): number {
    return roundingShare * Math.max(Math.abs(this.low), Math.abs(this.high));
  }

  /** The error allowed. */
  get allowed(): number {
    return Math.max(this.within * (this.high - this.low), this.rounding / 8);
  }

  /** By how much the cubic between two looks leaves its chord at most, and what is let pass. */
  bounds(a: Seen, b: Seen): { bend: number; allowed: number } {
    const D = b.value - a.value;
    return { bend: bendOf(D, a.slope, b.slope, (b.tick - a.tick) * this.second), allowed: this.allowed };
  }

  /** By how much what is seen at m, between a and b, is off their cubic; a slope, times its length, by a fourth. */
  off(a: Seen, m: Seen, b: Seen): number {
    const h = (b.tick - a.tick) * this.second;
    const share = (m.tick - a.tick) / (b.tick - a.tick);
    const { value, slope } = cubicAt(a, b, h, share);
    return Math.max(Math.abs(value - m.value), Math.abs(slope - h * m.slope) / 4);
  }

  /** Whether the cubic between two looks is in doubt, see `wavers`. */
  doubts(a: Seen, b: Seen): boolean {
    const looks = this.three;
    store(looks, 0, a);
    store(looks, 2, b);
    return this.wavers(looks, 0, (b.tick - a.tick) * this.second);
  }

  /**
   * Whether the look m, between a and b, is off their cubic.
   * @param at gives the rounding of a look, where it matters
   * @param depth how often the stretch has been parted
   */
  misses(
    a: Seen,
    m: Seen,
    b: Seen,
    at: { roundoff(tick: number, far: boolean): Roundoff },
    depth: number,
  ): boolean {
    const looks = this.three;
    store(looks, 0, a);
    store(looks, 2, b);
    store(looks, 4, m);
    const ticks = b.tick - a.tick;
    if (!this.strays(looks, 0, ticks * this.second, (m.tick - a.tick) / ticks)) return false;
    const { value, slope } = at.roundoff(m.tick, depth >= doubtful);
    return this.isSeen(value, slope);
  }

  /**
   * The same for looks in an array, each a value and a slope: the start, the end, and one at a share of the way. True where the
   * last is off by more than the swing allows; `isSeen` then tells whether that is more than rounding.
   * @param at index of the first of them
   * @param h the length, s
   */
  strays(looks: Float64Array, at: number, h: number, share: number): boolean {
    this.chord = false;
    const start = looks[at];
    const D = looks[at + 2] - start;
    const { bend, slope } = cubic(D, h * looks[at + 1] - D, h * looks[at + 3] - D, share);
    const value = start + D * share + bend;
    const { allowed } = this;
    const off = Math.abs(value - looks[at + 4]);
    const turned = Math.abs(slope - h * looks[at + 5]);
    if (off <= allowed && turned <= 4 * allowed) return false;
    const { found } = this;
    found[0] = h;
    found[1] = allowed;
    found[2] = off;
    found[3] = turned;
    found[4] = Math.abs(start + D * share - looks[at + 4]);
    found[5] = 0;
    for (let k = at + 1; k <= at + 5; k += 2) found[5] = Math.max(found[5], Math.abs(h * looks[k] - D));
    return true;
  }

  /**
   * Whether a cubic that the first look has passed bends so little that ringing of a few times the error allowed could have been
   * missed by chance where it was looked at. Ringing that bends it far more would be missed at few places only.
   */
  wavers(looks: Float64Array, at: number, h: number): boolean {
    const D = looks[at + 2] - looks[at];
    const bend = bendOf(D, looks[at + 1], looks[at + 3], h);
    const { allowed } = this;
    return !this.chord && bend > allowed / 4 && bend < 512 * allowed;
  }

  /** Whether the look that strayed last did so by more than its rounding. */
  isSeen(value: number, slope: number): boolean {
    const { found } = this;
    const allowed = found[1];
    this.chord =
      found[4] <= allowed + 2 * value && found[5] <= 4 * allowed + 8 * value + 2 * found[0] * slope;
    if (this.chord) return false;
    // The rounding of the ends goes into the slope of their cubic as well.
    return found[2] > allowed + 2 * value || found[3] > 4 * allowed + 8 * value + 2 * found[0] * slope;
  }
}

/** The most that a cubic leaves its chord by, which rises by D over h seconds, by its slopes at both ends. */
function bendOf(D: number, first: number, last: number, h: number): number {
  return (4 / 27) * (Math.abs(h * first - D) + Math.abs(h * last - D));
}

function store(looks: Float64Array, at: number, { value, slope }: Seen): void {
  looks[at] = value;
  looks[at + 1] = slope;
}

/** The cubic through two ends that lie h seconds apart, at a share of the way: its value, and its slope times h. */
export function cubicAt(a: Seen, b: Seen, h: number, share: number): { value: number; slope: number } {
  const D = b.value - a.value;
  const { bend, slope } = cubic(D, h * a.slope - D, h * b.slope - D, share);
  return { value: a.value + D * share + bend, slope };
}

/**
 * A cubic that rises by D, at a share of the way: its distance from the chord, and its slope times its length. @param first its
 * slope at the start times its length, less D; @param last the same at the end
 */
export function cubic(
  D: number,
  first: number,
  last: number,
  share: number,
): { bend: number; slope: number } {
  const r = 1 - share;
  return {
    bend: share * r * (first * r - last * share),
    slope: D + first * (1 - 4 * share + 3 * share * share) - last * (2 * share - 3 * share * share),
  };
}
