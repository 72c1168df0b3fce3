// A switch that follows a wave, solved before the run: takes the wave, a tick and the two thresholds, gives the
// commanded state at any tick and the tick of the next change. Nothing is searched for during the march.
// Always: the state at a tick is the one just after it; a state that the wave's own past never decides is open;
// of a closing and the opening after it that round to one tick, the opening comes one tick later, so both are seen.
import { alike, commonDivisor, type Fraction, one, ratio, toNumber, zero } from "../base/fraction.js";
import { Recall } from "../base/recall.js";
import {
  changes,
  type Decisions,
  decisionsOf,
  firstAfter,
  idleCommand,
  type Thresholds,
  commandAt,
} from "./crossings.js";
import { CornerCycle, Cursor, nearestTick, cornersInTicks } from "./cursor.js";
import { PeriodStarts } from "./marks.js";
import type { PackedShape } from "./packed.js";
import { gateTicks } from "./player.js";
import { exactLevelRange, type Shape, ShapeError, type Wave } from "./wave.js";

/**
 * Instants (s) to take into the tick's common divisor, besides `instants(w)`, so that every change of the switch
 * falls on a tick. None for a sine: its crossings are irrational and go to the nearest tick. None either for a packed
 * wave that is cut at odd places (no common divisor above 1/1000 of its unit). Throws ShapeError `carrier-threshold`.
 */
export function scheduleInstants(w: Wave, closeAbove: Fraction, openBelow: Fraction): readonly Fraction[] {
  const { shape } = w;
  if (shape.kind === "sine") return [];
  const found = decisionsOf(w, { closeAbove, openBelow });
  return cuts.of(found, shape, () => cutsOf(found, shape));
}

const cuts = new Recall<Decisions, Shape, readonly Fraction[]>((a, b) => a === b, 1);

function cutsOf({ all }: Decisions, shape: Shape): readonly Fraction[] {
  if (shape.kind === "packed") {
    let divisor = shape.unit;
    for (const d of all) {
      // Once too fine it only gets finer, and each further step takes longer: noise is cut by the hundred thousand.
      if (divisor.mul(finestCuts).lt(shape.unit)) return [];
      if (d.time.n !== 0n) divisor = commonDivisor(divisor, d.time);
    }
    return divisor.mul(finestCuts).lt(shape.unit) ? [] : [divisor];
  }
  return all.map((d) => d.time.abs()).filter((t) => t.n !== 0n);
}

// A unit is a fraction of a nanosecond; cut a thousand times finer, a long run would have too many ticks.
const finestCuts = 1000;

/** The commanded state of one switch. */
export class Schedule {
  /** Bound on the distance from a change's exact instant to its tick, in seconds; 0 where the tick divides it. */
  readonly worst: number;

  private readonly pattern: CornerCycle;
  private readonly here: Cursor;
  private readonly ahead: Cursor;
  /** State while no change has come yet. */
  private readonly first: boolean;
  // Before `starts` the idle level rules; from there to `free` what it left or what the wave says on entering;
  // then the changes of the ungated wave; from `stops` on `last`.
  private readonly starts: number;
  private readonly free: number;
  private readonly stops: number;
  private readonly asleep: boolean;
  private readonly woken: boolean;
  private readonly last: boolean;
  private readonly patience: number;
  // The answer of `next` holds for every tick from `asked` up to it.
  private asked = Number.POSITIVE_INFINITY;
  private answer = Number.NEGATIVE_INFINITY;

  /**
   * Closed above `closeAbove`, open below `openBelow` (not above `closeAbove`), in the wave's unit; `tick` in
   * seconds. With `inverted` the states change places: open above, closed below, closed when undecided.
   * Throws ShapeError `carrier-threshold`.
   */
  constructor(
    w: Wave,
    tick: Fraction,
    closeAbove: Fraction,
    openBelow: Fraction,
    private readonly inverted = false,
  ) {
    const levels: Thresholds = { closeAbove, openBelow };
    const all = decisionsOf(w, levels);
    const pattern = commands.of(all, tick, () => patternOf(all, tick));
    this.pattern = pattern;
    this.here = new Cursor(pattern);
    this.ahead = new Cursor(pattern);
    this.first = all.period ? (all.all[0]?.closed ?? false) : (all.before ?? false);
    this.patience = 2 * pattern.count + 8;

    const gate = gateTicks(w, tick);
    this.starts = gate.starts;
    this.stops = gate.stops;
    this.worst = Math.max(pattern.worst, gate.worst) * toNumber(tick);
    const idleState = idleCommand(w, levels);
    this.asleep = idleState ?? false;
    this.woken = this.asleep;
    this.free = this.starts;
    if (w.starts && Number.isFinite(this.starts)) {
      const word = commandAt(w, w.starts, levels);
      if (word === undefined) this.free = freeFrom(all, w.starts, tick, this.starts);
      else this.woken = word;
    }
    this.last = idleState ?? (Number.isFinite(this.stops) && this.on(this.here, this.stops - 1));
  }

  /** The state just after tick n. */
  state(n: number): boolean {
    return this.on(this.here, n) !== this.inverted;
  }

  /** Ticks after which the state is so again, between two changes of the wave: as for `Player.again`. */
  get again(): number {
    return this.pattern.again;
  }

  /** The first tick after n from which on the state no longer repeats what it did before it; Infinity without one. */
  change(n: number): number {
    for (const bound of [this.starts, Math.min(this.free, this.stops)]) if (n < bound) return bound;
    if (n >= this.stops) return Number.POSITIVE_INFINITY;
    return this.pattern.period ? this.stops : this.next(n);
  }

  /** Whether the state changes at one tick and then at another, both of them where the wave is on. */
  spans(from: number, to: number): boolean {
    if (!(from >= this.free && from >= this.starts && to < this.stops)) return false;
    this.here.move(from);
    return this.here.from === from && this.here.to === to;
  }

  /** The first tick after n at which the state changes; Infinity when it never does. */
  next(n: number): number {
    if (n >= this.asked && n < this.answer) return this.answer;
    this.asked = n;
    this.answer = this.search(n);
    return this.answer;
  }

  private search(n: number): number {
    const now = this.on(this.ahead, n);
    let m = n;
    // Few rounds: three boundaries and one change. A tick too coarse for the wave can hide change after change;
    // then a tick at which nothing happens is given rather than none.
    for (let round = 0; round < this.patience; round++) {
      if (m >= this.stops) return Number.POSITIVE_INFINITY;
      if (m < this.starts) m = this.starts;
      else if (m < this.free) m = Math.min(this.free, this.stops);
      else {
        this.ahead.move(m);
        m = Math.min(this.ahead.to, this.stops);
      }
      if (m === Number.POSITIVE_INFINITY || this.on(this.ahead, m) !== now) return m;
    }
    return m;
  }

  /** The state just after tick n, found with one of the two cursors. */
  private on(cursor: Cursor, n: number): boolean {
    if (n < this.starts) return this.asleep;
    if (n >= this.stops) return this.last;
    if (n < this.free) return this.woken;
    cursor.move(n);
    return cursor.from === Number.NEGATIVE_INFINITY ? this.first : cursor.fromValue !== 0;
  }
}

/** The changes in ticks, alike for every reader of every run of a design. */
const commands = new Recall<Decisions, Fraction, CornerCycle>(alike, 2);

function patternOf(all: Decisions, tick: Fraction): CornerCycle {
  const corners = changes(all).map((d) => ({ time: d.time, value: d.closed ? one : zero }));
  return new CornerCycle(cornersInTicks(corners, tick), all.period?.div(tick), true);
}

/** The tick from which a wave that starts undecided has had a word of its own. */
function freeFrom(all: Decisions, starts: Fraction, tick: Fraction, least: number): number {
  const at = firstAfter(all, starts);
  return at ? Math.max(nearestTick(at, tick).tick, least) : Number.POSITIVE_INFINITY;
}

/** The most periods that `marks` counts. */
export const mostRisings = 20_000_000;

/**
 * Instants in [0, until], both ends included, at which the wave crosses the middle between its extremes going up or jumps
 * across it; a touch is none, and after a plateau on the middle its end counts. They begin the periods of a signal. Of a
 * wave with beats those of the name asked for in place of them, or the first (video: 0H of every line). Each is the double
 * nearest to the exact instant (of a wave whose instants have no common divisor above until/2^52: to that). `most` is how many there
 * may be. Throws ShapeError `too-many-periods`.
 */
export function periodStarts(w: Wave, until: Fraction, beat?: string, most = mostRisings): PeriodStarts {
  const beats = w.shape.kind === "packed" ? beatsOf(w.shape, beat) : undefined;
  if (w.shape.kind === "packed" && beats) return beatsIn(w, w.shape, beats, until, most);
  return counted.of(w.shape, { wave: w, until, most }, () => marksOf(w, until, most));
}

/** Every run of a design is counted by the same periods; a long list is soon made beside its run, and not kept. */
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

function marksOf(w: Wave, until: Fraction, most: number): PeriodStarts {
  const { low, high } = exactLevelRange(w);
  if (low.equals(high) || until.s < 0n) return PeriodStarts.of([], one);
  const middle = low.add(high).div(2);
  const { all, period } = decisionsOf(w, { closeAbove: middle, openBelow: middle });
  const closings = all.reduce((n, d) => n + (d.closed ? 1 : 0), 0);
  if (period) limitRisings(until.div(period).mul(closings), most);
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

/** The same as an array, s. */
export function risings(w: Wave, until: Fraction, beat?: string): Float64Array {
  return periodStarts(w, until, beat).all();
}

function beatsOf({ periodStarts }: PackedShape, beat: string | undefined): Float64Array | undefined {
  return beat === undefined ? periodStarts?.values().next().value : periodStarts?.get(beat);
}

function limitRisings(count: Fraction, most: number): void {
  if (count.lte(most)) return;
  throw new ShapeError(
    "too-many-periods",
    `the signal has more than ${most} periods in the run`,
    "shorten the run, or raise limits.periods",
  );
}

/** The beats of a packed wave while it is on, to the end of the run. */
function beatsIn(
  w: Wave,
  { unit, length }: PackedShape,
  beats: Float64Array,
  until: Fraction,
  most: number,
): PeriodStarts {
  if (until.s < 0n) return PeriodStarts.of([], one);
  limitRisings(until.div(unit).div(length).mul(beats.length), most);
  // They lie on whole units; a gate in between lets through those after its start and before its stop.
  const from = w.starts?.gt(zero) ? Number(w.starts.div(unit).ceil().n) : 0;
  const end = wholePart(until.div(unit));
  if (from === 0 && !w.stops) return PeriodStarts.every(length, beats, end, unit);
  const gate = w.stops?.div(unit).ceil();
  const to = gate ? Math.min(end, Number(gate.s * gate.n) - 1) : end;
  const found: number[] = [];
  for (let base = Math.floor(from / length) * length; base <= to; base += length)
    for (const beat of beats) if (base + beat >= from && base + beat <= to) found.push(base + beat);
  return PeriodStarts.of(found, unit);
}

/** The whole number at or below a rational. */
function wholePart(x: Fraction): number {
  return Number(x.n / x.d);
}
