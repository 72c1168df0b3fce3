// Corners in whole ticks, and a cursor that finds its way among them, for ticks up to 2^53.
// `Pattern` turns the exact corner times of one period (or of a wave without period) into ticks once; a `Cursor`
// is a place in it. Where the tick divides every time, each corner is on its exact tick however late; where it
// does not, each corner of each period goes to the tick nearest to its exact time, so nothing drifts.
// Always: corner ticks never decrease; a corner's tick does not depend on the way the cursor came.
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { type Corner, periodsBefore } from "./wave.js";

/** The corners of one period, in ticks. */
export class Pattern {
  readonly count: number;
  /** Corner times in ticks: whole part, and the rest in [0, 1). */
  readonly whole: Float64Array;
  readonly part: Float64Array;
  readonly value: Float64Array;
  /** Period in ticks, exact; undefined where nothing repeats. */
  readonly period: Fraction | undefined;
  /** The period as a double where it is a whole number of ticks, else 0. */
  readonly stride: number;
  /** Bound on the distance from a corner's exact time to its tick, in ticks. */
  readonly worst: number;

  /**
   * `corners` in order of time (s), spanning less than `period` (s) where there is one.
   * `tick` in seconds. With `apart`, a corner of value 0 keeps one tick behind its predecessor even where both
   * round to the same tick.
   */
  constructor(
    corners: readonly Corner[],
    period: Fraction | undefined,
    tick: Fraction,
    readonly apart = false,
  ) {
    this.count = corners.length;
    this.whole = new Float64Array(corners.length);
    this.part = new Float64Array(corners.length);
    this.value = new Float64Array(corners.length);
    let worst = 0;
    corners.forEach((corner, i) => {
      const { whole, part } = inTicks(corner.time, tick);
      this.whole[i] = whole;
      this.part[i] = part;
      this.value[i] = toNumber(corner.value);
      worst = Math.max(worst, Math.min(part, 1 - part));
    });
    this.period = period?.div(tick);
    this.stride = this.period && this.period.d === 1n ? Number(this.period.n) : 0;
    this.worst = this.period && this.stride === 0 && corners.length > 0 ? 0.5 : worst;
  }
}

/** An instant in ticks: the whole number below it and what is left, in [0, 1). */
export function inTicks(time: Fraction, tick: Fraction): { whole: number; part: number } {
  const below = periodsBefore(time, tick);
  return { whole: Number(below), part: toNumber(time.div(tick).sub(ratio(below))) };
}

/** The tick nearest to an instant, a half upwards, and how far off it is in ticks. */
export function nearestTick(time: Fraction, tick: Fraction): { tick: number; off: number } {
  const { whole, part } = inTicks(time, tick);
  return part < 0.5 ? { tick: whole, off: part } : { tick: whole + 1, off: 1 - part };
}

/** A place among the corners of a pattern: the last corner at or before some tick, and the one after it. */
export class Cursor {
  /** Tick of the corner the cursor stands on; -Infinity before the first. */
  from = Number.NEGATIVE_INFINITY;
  /** Tick of the next corner, greater than the tick last moved to; Infinity after the last. */
  to = Number.POSITIVE_INFINITY;
  /** Level just after `from`, and level just before `to`. */
  fromValue = 0;
  toValue = 0;
  /** Change of level a tick between them. */
  rise = 0;

  private cycle = 0;
  private index = -1;
  // First tick of the cursor's period and of the one after it, whole part and rest.
  private base = 0;
  private shift = 0;
  private nextBase = 0;
  private nextShift = 0;

  /** `level` is what a pattern without corners holds for ever. */
  constructor(
    private readonly pattern: Pattern,
    level = 0,
  ) {
    if (pattern.count === 0) {
      this.fromValue = level;
      this.toValue = level;
      return;
    }
    if (pattern.period) this.enter(0);
    this.find(0);
    this.measure();
  }

  /** Goes to the last corner at or before tick n (a whole number). A few comparisons where n is not far ahead. */
  move(n: number): void {
    if (n < this.to && n >= this.from) return;
    if (this.pattern.count === 0) return;
    let steps = n < this.from ? 0 : 4;
    while (steps > 0 && n >= this.to) {
      this.advance();
      steps--;
    }
    if (n >= this.to || n < this.from) this.find(n);
    this.measure();
  }

  /** The level at tick n, which must lie between `from` and `to`; exact at both. */
  level(n: number): number {
    // The sum below may miss the far end by a bit.
    if (n === this.to) return this.toValue;
    // Also keeps an endless level clear of Infinity times zero.
    return this.rise === 0 ? this.fromValue : this.fromValue + (n - this.from) * this.rise;
  }

  /** One corner on. */
  private advance(): void {
    this.index++;
    if (this.index === this.pattern.count) {
      this.index = 0;
      this.cycle++;
      this.base = this.nextBase;
      this.shift = this.nextShift;
      this.follow();
    }
    this.from = this.to;
    this.to = this.after();
  }

  /** Anywhere: the period by division, the corner by halving. */
  private find(n: number): void {
    const p = this.pattern;
    if (p.period) {
      if (p.stride > 0) this.enter(Math.floor((n - p.whole[0]) / p.stride));
      else {
        // A corner rounds to n or below where it lies less than half a tick above n.
        const first = ratio(BigInt(p.whole[0])).sub(ratio(1, 2));
        this.enter(Number(periodsBefore(ratio(BigInt(n)).sub(first), p.period)));
      }
      while (this.place(0, this.base, this.shift) > n) this.enter(this.cycle - 1);
      while (this.place(0, this.nextBase, this.nextShift) <= n) this.enter(this.cycle + 1);
    }
    let low = -1;
    let high = p.count;
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (this.place(mid, this.base, this.shift) <= n) low = mid;
      else high = mid;
    }
    this.index = low;
    this.from = low < 0 ? Number.NEGATIVE_INFINITY : this.place(low, this.base, this.shift);
    this.to = this.after();
  }

  private after(): number {
    const p = this.pattern;
    if (this.index + 1 < p.count) return this.place(this.index + 1, this.base, this.shift);
    return p.period ? this.place(0, this.nextBase, this.nextShift) : Number.POSITIVE_INFINITY;
  }

  private measure(): void {
    const { value, count, period } = this.pattern;
    this.fromValue = value[Math.max(this.index, 0)];
    const next = this.index + 1 < count ? this.index + 1 : period ? 0 : count - 1;
    this.toValue = value[next];
    // Infinitely long segments are level, and a division by Infinity says so.
    this.rise = this.toValue === this.fromValue ? 0 : (this.toValue - this.fromValue) / (this.to - this.from);
  }

  /** Tick of corner i of the period that begins at `base` + `shift`. */
  private place(i: number, base: number, shift: number): number {
    const p = this.pattern;
    const n = base + p.whole[i] + Math.floor(shift + p.part[i] + 0.5);
    if (!p.apart || i === 0 || p.value[i] !== 0) return n;
    return n === base + p.whole[i - 1] + Math.floor(shift + p.part[i - 1] + 0.5) ? n + 1 : n;
  }

  private enter(cycle: number): void {
    const { stride, period } = this.pattern;
    this.cycle = cycle;
    if (stride > 0) this.base = cycle * stride;
    else [this.base, this.shift] = start(BigInt(cycle), period!);
    this.follow();
  }

  private follow(): void {
    const { stride, period } = this.pattern;
    if (stride > 0) this.nextBase = (this.cycle + 1) * stride;
    else [this.nextBase, this.nextShift] = start(BigInt(this.cycle) + 1n, period!);
  }
}

/** Where period number `cycle` begins, in ticks: whole part and rest. Costs an allocation, once a period. */
function start(cycle: bigint, period: Fraction): [number, number] {
  let whole = (cycle * period.n) / period.d;
  let rest = (cycle * period.n) % period.d;
  if (rest < 0n) {
    whole -= 1n;
    rest += period.d;
  }
  // The rest to 60 binary places, more than the sum that it enters can hold.
  return [Number(whole), Number((rest << 60n) / period.d) / 2 ** 60];
}
