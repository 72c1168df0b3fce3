// A switch that follows a wave, solved before the run: its state at any tick and the tick of its next change, so that nothing is
// searched for during the march. The state at a tick is the one just after it; a state that the wave's past does not decide is
// open. If a closing and the opening after it round to one tick, the opening comes one tick later, so that both are seen.
import { alike, commonDivisor, type Fraction, one, toNumber, zero } from "../base/fraction.js";
import { Recall } from "../base/recall.js";
import { CornerCycle, Cursor, cornersInTicks, nearestTick } from "./cursor.js";
import { changes, commandAt, decisionsOf, firstAfter, idleCommand } from "./decisions.js";
import { gateTicks } from "./player.js";
import type { Decisions, Thresholds } from "./threshold.js";
import type { Shape, Wave } from "./wave.js";

/**
 * Instants (s) to take into the tick's common divisor, besides `tickInstants(w)`, so that every change of the switch
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
      // Once too fine it only gets finer, and each further step takes longer: noise may have a hundred thousand cuts.
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
  // Before `starts` the idle level decides; from there to `free` the state it left, or what the wave commands on
  // entering; then the changes of the ungated wave; from `stops` on `last`.
  private readonly starts: number;
  private readonly free: number;
  private readonly stops: number;
  private readonly asleep: boolean;
  private readonly woken: boolean;
  private readonly last: boolean;
  private readonly patience: number;
  // The answer of `next` holds for every tick from `asked` up to it, and so does the state `now`; at it, `after` begins.
  private asked = Number.POSITIVE_INFINITY;
  private answer = Number.NEGATIVE_INFINITY;
  private now = false;
  private after = false;
  /** The changes between which `asked` lies; none where the pattern does not decide there. */
  private since = Number.POSITIVE_INFINITY;
  private until = Number.NEGATIVE_INFINITY;

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
      const command = commandAt(w, w.starts, levels);
      if (command === undefined) this.free = freeFrom(all, w.starts, tick, this.starts);
      else this.woken = command;
    }
    this.last = idleState ?? (Number.isFinite(this.stops) && this.on(this.here, this.stops - 1));
  }

  /** The state just after tick n. */
  state(n: number): boolean {
    const { asked, answer } = this;
    const on = n < asked || n > answer ? this.on(this.here, n) : n < answer ? this.now : this.after;
    return on !== this.inverted;
  }

  /** Ticks after which the state repeats, between two changes of the wave: as for `Player.again`. */
  get again(): number {
    return this.pattern.again;
  }

  /** The first tick after n from which the state no longer repeats; Infinity without one. */
  change(n: number): number {
    for (const bound of [this.starts, Math.min(this.free, this.stops)]) if (n < bound) return bound;
    if (n >= this.stops) return Number.POSITIVE_INFINITY;
    return this.pattern.period ? this.stops : this.next(n);
  }

  /** Whether two ticks are successive changes of the state, both while the wave is on. */
  spans(from: number, to: number): boolean {
    if (!(from >= this.free && from >= this.starts && to < this.stops)) return false;
    if (from >= this.since && from < this.until) return this.since === from && this.until === to;
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
    const { ahead } = this;
    const now = this.on(ahead, n);
    const decided = n >= this.free && n >= this.starts && n < this.stops;
    this.since = decided ? ahead.from : Number.POSITIVE_INFINITY;
    this.until = decided ? ahead.to : Number.NEGATIVE_INFINITY;
    this.now = now;
    let m = n;
    // Usually few rounds: three boundaries and one change. A tick too coarse for the wave can hide change after
    // change; then a tick at which nothing happens is returned rather than none.
    for (let round = 0; round < this.patience; round++) {
      if (m >= this.stops) return Number.POSITIVE_INFINITY;
      if (m < this.starts) m = this.starts;
      else if (m < this.free) m = Math.min(this.free, this.stops);
      else {
        ahead.move(m);
        m = Math.min(ahead.to, this.stops);
      }
      this.after = m === Number.POSITIVE_INFINITY ? now : this.on(ahead, m);
      if (m === Number.POSITIVE_INFINITY || this.after !== now) return m;
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

/** The changes in ticks, cached: every run of a design asks for them. */
const commands = new Recall<Decisions, Fraction, CornerCycle>(alike, 2);

function patternOf(all: Decisions, tick: Fraction): CornerCycle {
  const corners = changes(all).map((d) => ({ time: d.time, value: d.closed ? one : zero }));
  return new CornerCycle(cornersInTicks(corners, tick), all.period?.div(tick), true);
}

/** The first tick at which a wave that starts undecided commands something. */
function freeFrom(all: Decisions, starts: Fraction, tick: Fraction, least: number): number {
  const at = firstAfter(all, starts);
  return at ? Math.max(nearestTick(at, tick).tick, least) : Number.POSITIVE_INFINITY;
}
