// Instants from which a check counts. They may be millions, so of those that come again only the first are kept.

import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { firstWhere } from "../base/search.js";

/** Instants in order, s: so many, each asked for by its number. */
export class Marks {
  /**
   * @param count how many there are
   * @param first whole numbers of ticks, ascending
   * @param tick seconds
   * @param again ticks after which the first come again; they do so as often as the count needs it
   */
  private constructor(
    readonly count: number,
    private readonly first: ArrayLike<number>,
    private readonly tick: Fraction,
    private readonly again: number,
  ) {}

  /** Those of a pattern of ticks that comes again, from 0 to an end, both included. */
  static every(again: number, pattern: ArrayLike<number>, end: number, tick: Fraction): Marks {
    const whole = Math.floor(end / again);
    let count = whole * pattern.length;
    for (let i = 0; i < pattern.length; i++) if (whole * again + pattern[i] <= end) count++;
    return new Marks(count, pattern, tick, again);
  }

  /** Those listed, in ticks. */
  static of(ticks: readonly number[], tick: Fraction): Marks {
    return new Marks(ticks.length, ticks, tick, 0);
  }

  /** How many are kept in a list. */
  get listed(): number {
    return this.first.length;
  }

  /** Instant number i, from 0: the double nearest to it. */
  at(i: number): number {
    const { first, again, tick } = this;
    if (i < first.length) return seconds(first[i], tick);
    const turn = Math.floor(i / first.length);
    return seconds(turn * again + first[i - turn * first.length], tick);
  }

  /** How many come before an instant (s). */
  before(t: number): number {
    return firstWhere(0, this.count, (i) => this.at(i) >= t);
  }

  /** Those not later than an instant (s). */
  upTo(t: number): Marks {
    let count = this.before(t);
    while (count < this.count && this.at(count) <= t) count++;
    return new Marks(count, this.first, this.tick, this.again);
  }

  /** All of them. */
  all(): Float64Array {
    const out = new Float64Array(this.count);
    for (let i = 0; i < out.length; i++) out[i] = this.at(i);
    return out;
  }
}

/** n ticks in seconds, rounded once. */
function seconds(n: number, tick: Fraction): number {
  const product = n * Number(tick.n);
  if (product <= Number.MAX_SAFE_INTEGER && tick.d <= 9007199254740991n) return product / Number(tick.d);
  return toNumber(tick.mul(ratio(BigInt(n))));
}
