// The instants at which the periods of a signal begin, from which checks count. There may be millions, so where they repeat
// only the first round is kept.
import { alike, commonDivisor, type Fraction, one, ratio, toNumber, zero } from "../base/fraction.js";
import { Recall } from "../base/recall.js";
import { firstWhere } from "../base/search.js";
import { changes, decisionsOf } from "./decisions.js";
import type { PackedShape } from "./packed.js";
import { Schedule } from "./schedule.js";
import { exactLevelRange, type Shape, ShapeError, type Wave } from "./wave.js";

/** Instants in order, s, each found by its number. */
export class PeriodStarts {
  /**
   * @param count how many there are
   * @param first whole numbers of ticks, ascending
   * @param tick seconds
   * @param again ticks after which the first ones repeat, as often as the count needs
   */
  private constructor(
    readonly count: number,
    private readonly first: ArrayLike<number>,
    private readonly tick: Fraction,
    private readonly again: number,
  ) {}

  /** Those of a repeating pattern of ticks, from 0 to an end, both included. */
  static every(again: number, pattern: ArrayLike<number>, end: number, tick: Fraction): PeriodStarts {
    const whole = Math.floor(end / again);
    let count = whole * pattern.length;
    for (let i = 0; i < pattern.length; i++) if (whole * again + pattern[i] <= end) count++;
    return new PeriodStarts(count, pattern, tick, again);
  }

  /** Those of a list, in ticks. */
  static of(ticks: readonly number[], tick: Fraction): PeriodStarts {
    return new PeriodStarts(ticks.length, ticks, tick, 0);
  }

  /** How many are kept in memory. */
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
  upTo(t: number): PeriodStarts {
    let count = this.before(t);
    while (count < this.count && this.at(count) <= t) count++;
    return new PeriodStarts(count, this.first, this.tick, this.again);
  }

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

/** The most periods that are counted, unless the caller sets another limit. */
export const mostPeriods = 20_000_000;

/**
 * Where the periods of a signal begin in [0, until], both ends included: where it crosses the middle between its extremes going
 * up, or jumps across it. A touch does not count; of a plateau on the middle, the end does. A packed wave may have lists of
 * its own: `which` names one, otherwise it is the first (video: 0H of every line).
 * Each instant is the double nearest to the exact one (or to the nearest multiple of until/2^52, if the instants of the wave
 * have no coarser common divisor).
 * @param most how many there may be
 * @throws ShapeError `too-many-periods`
 */
export function periodStarts(w: Wave, until: Fraction, which?: string, most = mostPeriods): PeriodStarts {
  const listed = w.shape.kind === "packed" ? listedOf(w.shape, which) : undefined;
  if (w.shape.kind === "packed" && listed) return listedIn(w, w.shape, listed, until, most);
  return counted.of(w.shape, { wave: w, until, most }, () => risingsOf(w, until, most));
}

/** Cached, since every run of a design asks for them; a long list is not kept, since making it costs little beside its run. */
const counted = new Recall<
  Shape,
  { readonly wave: Wave; readonly until: Fraction; readonly most: number },
  PeriodStarts
>(
  (a, b) =>
    a.most === b.most &&
    alike(a.until, b.until) &&
    alike(a.wave.scale, b.wave.scale) &&
    alike(a.wave.starts, b.wave.starts) &&
    alike(a.wave.stops, b.wave.stops),
  2,
  ({ listed }) => listed <= mostKept,
);
const mostKept = 20_000;

function risingsOf(w: Wave, until: Fraction, most: number): PeriodStarts {
  const { low, high } = exactLevelRange(w);
  if (low.equals(high) || until.s < 0n) return PeriodStarts.of([], one);
  const middle = low.add(high).div(2);
  const decisions = decisionsOf(w, { closeAbove: middle, openBelow: middle });
  const { all, period } = decisions;
  const closings = changes(decisions).reduce((n, d) => n + (d.closed ? 1 : 0), 0);
  if (period) limitPeriods(until.div(period).mul(closings), most);
  let tick = zero;
  for (const t of [...all.map((d) => d.time), period, w.starts, w.stops]) {
    if (t && t.n !== 0n) tick = commonDivisor(tick, t);
  }
  const finest = until.div(ratio(2n ** 52n));
  if (tick.n === 0n) tick = one;
  if (tick.lt(finest)) tick = finest;
  const schedule = new Schedule(w, tick, middle, middle);
  const end = wholePart(until.div(tick));
  const again = period?.div(tick);
  const repeats = again?.d === 1n && !w.starts && !w.stops ? Number(again.n) : 0;
  const last = repeats > 0 ? Math.min(end, repeats - 1) : end;
  const found: number[] = [];
  for (let n = schedule.next(-1); n <= last; n = schedule.next(n)) if (schedule.state(n)) found.push(n);
  return repeats > 0 ? PeriodStarts.every(repeats, found, end, tick) : PeriodStarts.of(found, tick);
}

function listedOf({ periodStarts }: PackedShape, which: string | undefined): Float64Array | undefined {
  return which === undefined ? periodStarts?.values().next().value : periodStarts?.get(which);
}

function limitPeriods(count: Fraction, most: number): void {
  if (count.lte(most)) return;
  throw new ShapeError(
    "too-many-periods",
    `the signal has more than ${most} periods in the run`,
    "shorten the run, or raise limits.periods",
  );
}

/** The listed instants of a packed wave while it is on, to the end of the run. */
function listedIn(
  w: Wave,
  { unit, length }: PackedShape,
  listed: Float64Array,
  until: Fraction,
  most: number,
): PeriodStarts {
  if (until.s < 0n) return PeriodStarts.of([], one);
  limitPeriods(until.div(unit).div(length).mul(listed.length), most);
  // They lie on whole units; a gate passes those from its start on and before its stop.
  const from = w.starts?.gt(zero) ? Number(w.starts.div(unit).ceil().n) : 0;
  const end = wholePart(until.div(unit));
  if (from === 0 && !w.stops) return PeriodStarts.every(length, listed, end, unit);
  const gate = w.stops?.div(unit).ceil();
  const to = gate ? Math.min(end, Number(gate.s * gate.n) - 1) : end;
  const found: number[] = [];
  for (let base = Math.floor(from / length) * length; base <= to; base += length)
    for (const at of listed) if (base + at >= from && base + at <= to) found.push(base + at);
  return PeriodStarts.of(found, unit);
}

/** The whole number at or below a rational. */
function wholePart(x: Fraction): number {
  return Number(x.n / x.d);
}
