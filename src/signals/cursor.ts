// The corners of a wave in whole ticks, and a cursor that moves among them, for ticks up to 2^53. If the tick divides every
// time, each corner is on its exact tick however late it comes. If not, each corner of each period goes to the tick nearest
// to its exact time, so nothing drifts. Corner ticks never decrease, and do not depend on how the cursor got there.
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import type { PackedShape } from "./packed.js";
import { type Corner, periodsBefore } from "./wave.js";

/** Corners in ticks, one entry each, in order of time. */
interface CornerTicks {
  /** Corner times: whole part, and the rest in [0, 1). */
  readonly whole: Float64Array;
  readonly part: Float64Array;
  readonly value: Float64Array;
  /** Carrier components, if a carrier rides on the wave. */
  readonly sine?: Float64Array;
  readonly cosine?: Float64Array;
}

/** The corners of one period, in ticks. */
export class CornerCycle {
  readonly count: number;
  readonly whole: Float64Array;
  readonly part: Float64Array;
  readonly value: Float64Array;
  readonly sine: Float64Array | undefined;
  readonly cosine: Float64Array | undefined;
  /** Period in ticks, exact; undefined where nothing repeats. */
  readonly period: Fraction | undefined;
  /** The period as a double where it is a whole number of ticks, else 0. */
  readonly stride: number;
  /** Bound on the distance from a corner's exact time to its tick, in ticks. */
  readonly worst: number;
  /** Ticks after which the ticks of all corners repeat: 1 if nothing repeats, Infinity beyond 2^53. */
  readonly again: number;

  /**
   * `period` in ticks, longer than the corners' span. With `apart`, a corner of value 0 keeps one tick behind its
   * predecessor even where both round to the same tick.
   */
  constructor(
    corners: CornerTicks,
    period: Fraction | undefined,
    readonly apart = false,
  ) {
    this.count = corners.whole.length;
    this.whole = corners.whole;
    this.part = corners.part;
    this.value = corners.value;
    this.sine = corners.sine;
    this.cosine = corners.cosine;
    let worst = 0;
    for (const part of this.part) worst = Math.max(worst, Math.min(part, 1 - part));
    this.period = period;
    this.stride = period && period.d === 1n ? Number(period.n) : 0;
    this.worst = period && this.stride === 0 && this.count > 0 ? 0.5 : worst;
    this.again = !period ? 1 : period.n <= 9007199254740991n ? Number(period.n) : Number.POSITIVE_INFINITY;
  }
}

/** Exact corners (s) in ticks. @param tick s */
export function cornersInTicks(corners: readonly Corner[], tick: Fraction): CornerTicks {
  const whole = new Float64Array(corners.length);
  const part = new Float64Array(corners.length);
  const value = new Float64Array(corners.length);
  corners.forEach((corner, i) => {
    ({ whole: whole[i], part: part[i] } = inTicks(corner.time, tick));
    value[i] = toNumber(corner.value);
  });
  return { whole, part, value };
}

/** The corners of a packed shape in ticks, levels and carrier scaled. Costs no rationals where the tick fits the unit. */
export function packedInTicks(shape: PackedShape, scale: Fraction, tick: Fraction): CornerTicks {
  const { times, values, carrier } = shape;
  const ratioOfTicks = shape.unit.div(tick);
  const part = new Float64Array(times.length);
  let whole: Float64Array;
  if (ratioOfTicks.d === 1n) {
    const each = Number(ratioOfTicks.n);
    whole = each === 1 ? times : times.map((t) => t * each);
  } else {
    whole = new Float64Array(times.length);
    const { n, d } = ratioOfTicks;
    times.forEach((t, i) => {
      const product = BigInt(t) * n;
      whole[i] = Number(product / d);
      part[i] = toNumber(ratio(product % d, d));
    });
  }
  const scaled = factor(scale);
  return {
    whole,
    part,
    value: values.map(scaled),
    sine: carrier?.sine.map(scaled),
    cosine: carrier?.cosine.map(scaled),
  };
}

/** Multiplies doubles by a rational: rounded once if the product with its numerator is exact, and never -0. */
function factor(scale: Fraction): (x: number) => number {
  const n = Number(scale.s * scale.n);
  const d = Number(scale.d);
  if (Number.isSafeInteger(n) && Number.isSafeInteger(d)) return (x) => (x * n) / d + 0;
  const by = toNumber(scale);
  return (x) => x * by + 0;
}

/** An instant in ticks: the whole number below it and what is left, in [0, 1). */
function inTicks(time: Fraction, tick: Fraction): { whole: number; part: number } {
  const below = periodsBefore(time, tick);
  return { whole: Number(below), part: toNumber(time.div(tick).sub(ratio(below))) };
}

/** The tick nearest to an instant, a half upwards, and how far off it is in ticks. */
export function nearestTick(time: Fraction, tick: Fraction): { tick: number; off: number } {
  const { whole, part } = inTicks(time, tick);
  return part < 0.5 ? { tick: whole, off: part } : { tick: whole + 1, off: 1 - part };
}

/** One component of a carrier on the present stretch. */
class Component {
  fromValue = 0;
  toValue = 0;
  /** Change per tick. */
  rise = 0;

  /** Works it out for a stretch; true if it is not zero throughout. */
  measure(from: number, to: number, span: number): boolean {
    this.fromValue = from;
    this.toValue = to;
    this.rise = from === to ? 0 : (to - from) / span;
    return from !== 0 || to !== 0;
  }
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
  /** Change of level per tick between them. */
  rise = 0;
  /** The same of the carrier's components, all zero without a carrier. */
  readonly sine = new Component();
  readonly cosine = new Component();
  /** Whether a carrier rides on the stretch between `from` and `to`. */
  carries = false;

  /** Whether the levels of the present stretch are worked out; callers that only ask when corners come need none. */
  private measured = false;
  private cycle = 0;
  private index = -1;
  // First tick of the cursor's period and of the one after it, whole part and rest.
  private base = 0;
  private shift = 0;
  private nextBase = 0;
  private nextShift = 0;

  /** `level` is what a pattern without corners holds for ever. */
  constructor(
    private readonly pattern: CornerCycle,
    level = 0,
  ) {
    if (pattern.count === 0) {
      this.fromValue = level;
      this.toValue = level;
      return;
    }
    if (pattern.period) this.enter(0);
    this.find(0);
  }

  /** Goes to the last corner at or before tick n (a whole number). A few comparisons where n is not far ahead. */
  move(n: number): void {
    this.seek(n);
    if (!this.measured && this.pattern.count > 0) this.measure();
  }

  /** The same, but the levels are not worked out: `from` and `to` alone hold. */
  seek(n: number): void {
    if (n < this.to && n >= this.from) return;
    if (this.pattern.count === 0) return;
    this.measured = false;
    let steps = n < this.from ? 0 : 4;
    while (steps > 0 && n >= this.to) {
      this.advance();
      steps--;
    }
    if (n >= this.to || n < this.from) this.find(n);
  }

  /** The level at tick n, which must lie between `from` and `to`; exact at both. */
  level(n: number): number {
    // The sum below may miss the far end by a bit.
    if (n === this.to) return this.toValue;
    // On an endless stretch this also avoids Infinity times zero.
    return this.rise === 0 ? this.fromValue : this.fromValue + (n - this.from) * this.rise;
  }

  /** A carrier's component at tick n, likewise. */
  component(of: Component, n: number): number {
    if (n === this.to) return of.toValue;
    return of.rise === 0 ? of.fromValue : of.fromValue + (n - this.from) * of.rise;
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

  /** Goes to any tick: the period by division, the corner by bisection. */
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
    const { value, count, period, sine, cosine } = this.pattern;
    this.measured = true;
    const here = Math.max(this.index, 0);
    this.fromValue = value[here];
    const next = this.index + 1 < count ? this.index + 1 : period ? 0 : count - 1;
    this.toValue = value[next];
    // Infinitely long segments are level, and a division by Infinity says so.
    this.rise = this.toValue === this.fromValue ? 0 : (this.toValue - this.fromValue) / (this.to - this.from);
    if (!sine || !cosine) return;
    const span = this.to - this.from;
    const one = this.sine.measure(sine[here], sine[next], span);
    this.carries = this.cosine.measure(cosine[here], cosine[next], span) || one;
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
