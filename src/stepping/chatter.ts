// Modes that switch each other on and off ever faster. In chatter of the first order no time passes between events; in
// chatter of the second order (a voltage held at a level by a switch behind a coil) each event comes sooner than the one
// before, without end. An oscillator is neither, however fast: between its events some state goes through its hysteresis, and
// its period does not keep shrinking. A run is also stopped where no state moves and reaching the end would take more than a
// hundred times the allowed steps: supplies that nothing feeds switch their loads at the pace of rounding.
// Always: events that repeat others and are not marched (repeats.ts) count as if they had been.
import { Stop } from "./ending.js";

/** The most events in a row, each within a few ticks of the one before, until the run is stopped. */
const crowd = 64;
/** Ticks between two events that count as no time: about 1e-13 of the run. */
const together = 1024;
/** Number of events before ever faster switching is looked for; from then on, at each doubling of that number. */
const first = 1024;
/** Doublings in a row whose mean time between events is below this share of that in the doubling before. */
const doublings = 3;
const shrinking = 0.8;
/** An end is out of reach if this many times the allowed steps would not get there, in so many doublings in a row. */
const hopeless = 100;
const looked = 2;
/** Initial capacity for events; a power of two. */
const fewEvents = 64;
/** A state stands still if it moves by no more than this share of its swing between two events. */
const still = 1e-2;

/** What is judged at each doubling, and the last results. */
interface Judging {
  /** Number of the event at which to judge next. */
  readonly due: number;
  /** Tick at which the current stretch of events began, the number of events before it, and the mean time in the last one. */
  readonly from: number;
  readonly before: number;
  readonly mean: number;
  readonly faster: number;
  /** Doublings in a row at which the end was out of reach. */
  readonly endless: number;
}

/** The limits of a march. */
interface Room {
  /** Its last tick. */
  readonly end: number;
  /** The most steps; each event takes at least one. */
  readonly steps: number;
}

/** Watches the state-dependent events of one march. */
export class Chatter {
  /** Events so far. */
  count = 0;
  private crowded = 0;
  private last = Number.NEGATIVE_INFINITY;
  private judging: Judging = {
    due: first,
    from: 0,
    before: 0,
    mean: Number.POSITIVE_INFINITY,
    faster: 0,
    endless: 0,
  };
  /** Number of the last event before which some state had moved; and by part, number of the event at which it last switched. */
  private moved = 0;
  private readonly switched = new Map<number, number>();
  private x = new Float64Array(0);
  /** Ticks of the last events, in a ring by number. It grows on demand, since most runs have few. */
  private ticks = new Float64Array(0);
  /** Number of the event after which all are in the ring, as far as they fit. */
  private kept = 0;

  /**
   * @param tick seconds
   * @param remembered how many of the last events may repeat; a power of two, or 0
   */
  constructor(
    private readonly tick: number,
    private readonly room: Room,
    private readonly remembered = 0,
  ) {}

  /**
   * An event at tick n.
   * @param x the states there
   * @param swing largest size of each state so far
   * @param parts the parts that switch
   * @param check called before the run is stopped for events with no time between them
   * @throws Stop
   */
  event(n: number, x: Float64Array, swing: Float64Array, parts: readonly number[], check: () => void): void {
    this.crowded = n - this.last <= together ? this.crowded + 1 : 0;
    this.last = n;
    if (this.crowded > crowd) {
      check();
      throw new Stop("chatter", parts);
    }
    this.count++;
    if (this.remembered > 0) this.remember(n);
    for (const part of parts) this.switched.set(part, this.count);
    if (this.x.length !== x.length) this.x = x.slice();
    for (let i = 0; i < x.length; i++) {
      if (Math.abs(x[i] - this.x[i]) > still * swing[i]) this.moved = this.count;
      this.x[i] = x[i];
    }
    if (this.count < this.judging.due) return;
    const { before } = this.judging;
    this.judging = this.judged(this.judging, n, this.moved > before);
    if (!lost(this.judging)) return;
    const restless = [...this.switched].flatMap(([part, at]) => (at > before ? [part] : []));
    const { mean, faster } = this.judging;
    const pace = { count: this.count, seconds: mean * this.tick, faster: faster >= doublings };
    throw new Stop("chatter", restless, pace);
  }

  // ---- what repeats

  /** How many values `write` writes besides the states. */
  static readonly size = 3;

  /** Writes what later events depend on at tick n, except what is judged at doublings. */
  write(n: number, out: Float64Array, from: number): void {
    out[from] = this.crowded;
    out[from + 1] = Math.min(n - this.last, together + 1);
    out[from + 2] = this.x.length;
    out.set(this.x, from + 3);
  }

  /** Whether all events after number `since` are remembered. */
  remembers(since: number): boolean {
    return this.count - since <= this.remembered;
  }

  /** Stores the tick of the last event. */
  private remember(n: number): void {
    const { count, ticks, kept, remembered } = this;
    if (count - kept > ticks.length && ticks.length < remembered) {
      const size = ticks.length === 0 ? Math.min(fewEvents, remembered) : 2 * ticks.length;
      this.ticks = new Float64Array(size);
      for (let k = kept + 1; k < count; k++) this.ticks[k & (size - 1)] = ticks[k & (ticks.length - 1)];
    }
    this.ticks[count & (this.ticks.length - 1)] = n;
  }

  /**
   * How often the events after number `since` may repeat, each time `ticks` later, before the run is stopped or a doubling
   * must be judged by marching; at most `times`.
   */
  repeatable(since: number, times: number, ticks: number): number {
    const { until } = this.ahead(since, times, ticks);
    return until === undefined ? times : Math.floor((until - this.count - 1) / (this.count - since));
  }

  /** Counts the events after number `since` so many times more. */
  again(since: number, times: number, ticks: number): void {
    const events = this.count - since;
    this.judging = this.ahead(since, times, ticks).judging;
    this.last += times * ticks;
    if (this.moved > since) this.moved += times * events;
    for (const [part, at] of this.switched) if (at > since) this.switched.set(part, at + times * events);
    this.count += times * events;
    this.kept = this.count;
  }

  /** The judging after these repeats, and the number of the event that ends them early, if any. */
  private ahead(since: number, times: number, ticks: number): { judging: Judging; until?: number } {
    const events = this.count - since;
    let { judging } = this;
    for (const last = this.count + times * events; judging.due <= last && events > 0; ) {
      const { due, before } = judging;
      const turns = Math.ceil((due - this.count) / events);
      const n = this.ticks[(due - turns * events) & (this.ticks.length - 1)] + turns * ticks;
      // What moves during the repeating events moves during any stretch of as many.
      const moves = this.moved > since;
      if (moves && due - before < events) return { judging, until: due };
      const next = this.judged(judging, n, moves || this.moved > before);
      if (lost(next)) return { judging, until: due };
      judging = next;
    }
    return { judging };
  }

  /** The next judging, from the one at tick n. */
  private judged({ due, from, before, mean, ...last }: Judging, n: number, moved: boolean): Judging {
    const { end, steps } = this.room;
    const now = (n - from) / (due - before);
    const endless = !moved && now * hopeless * steps < end - n;
    return {
      due: 2 * due,
      from: n,
      before: due,
      mean: now,
      faster: !moved && now < shrinking * mean ? last.faster + 1 : 0,
      endless: endless ? last.endless + 1 : 0,
    };
  }
}

/** Whether the run must be stopped. */
function lost({ faster, endless }: Judging): boolean {
  return faster >= doublings || endless >= looked;
}
