// Modes that switch each other on and off ever faster. Of the first order the events have no time between them; of the
// second order (a voltage held at a level by a switch behind a coil) each comes sooner than the one before and they never
// come to an end. An oscillator is neither, however fast: between its events some state goes through its hysteresis, and
// its period does not shrink without end. Nor is it to be waited for where nothing moves and the run has not a hundredth of the
// steps that would take it to its end: supplies that nothing feeds switch what they feed at the pace of rounding.
// Always: events that repeat others and are not marched (repeats.ts) count as if they had been.
import { Stop } from "./ending.js";

/** The most events in a row, each within a few ticks of the last, before the run is stopped. */
const crowd = 64;
/** Ticks between two events that count as no time: some 1e-13 of the run. */
const together = 1024;
/** Events before an ever faster switching is looked for; from then on at each doubling of their number. */
const first = 1024;
/** Doublings in a row, each with less than this share of the time between two events of the one before. */
const doublings = 3;
const shrinking = 0.8;
/** Nobody waits for an end that so many times the steps allowed would not reach, seen at so many doublings in a row. */
const hopeless = 100;
const looked = 2;
/** Events for which there is room at first; a power of two. */
const fewEvents = 64;
/** Between two events no state moves by more than this share of its swing. */
const still = 1e-2;

/** What is judged at each doubling, and what came of it last. */
interface Judging {
  /** Number of the event at which it is judged next. */
  readonly due: number;
  /** Tick at which the present stretch of events began, the number of events before it, and the mean time of the last. */
  readonly from: number;
  readonly before: number;
  readonly mean: number;
  readonly faster: number;
  /** Doublings in a row at which the end was out of reach. */
  readonly endless: number;
}

/** What a march may take. */
interface Room {
  /** Its last tick. */
  readonly end: number;
  /** The most steps: there is one before each event, or more. */
  readonly steps: number;
}

/** Watches the events of one march that depend on the state. */
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
  /** Number of the last event before which some state had moved; and by part that at which it last switched. */
  private moved = 0;
  private readonly switched = new Map<number, number>();
  private x = new Float64Array(0);
  /** Ticks of the last events, in a ring by number; it grows up to what is to be remembered, since most runs have few. */
  private ticks = new Float64Array(0);
  /** Number of the event from which on all that fit are in the ring. */
  private kept = 0;

  /**
   * @param tick seconds
   * @param remembered how many of the last events may come again; a power of two, or 0
   */
  constructor(
    private readonly tick: number,
    private readonly room: Room,
    private readonly remembered = 0,
  ) {}

  /**
   * An event at tick n.
   * @param x the states there
   * @param swing largest size that each state has had
   * @param parts the parts that switch
   * @param check called before the run is stopped for events without time between
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

  /** How many entries `write` writes beside the states. */
  static readonly size = 3;

  /** Writes what later events depend on at tick n, but for what is judged at doublings. */
  write(n: number, out: Float64Array, from: number): void {
    out[from] = this.crowded;
    out[from + 1] = Math.min(n - this.last, together + 1);
    out[from + 2] = this.x.length;
    out.set(this.x, from + 3);
  }

  /** Whether all events since one are remembered. */
  remembers(since: number): boolean {
    return this.count - since <= this.remembered;
  }

  /** Keeps the tick of the last event. */
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
   * How often the events since one may come again, each time `ticks` later, before the run is stopped or there is
   * something to judge that must be marched for; at most `times`.
   */
  repeatable(since: number, times: number, ticks: number): number {
    const { until } = this.ahead(since, times, ticks);
    return until === undefined ? times : Math.floor((until - this.count - 1) / (this.count - since));
  }

  /** Lets the events since one come again so many times. */
  again(since: number, times: number, ticks: number): void {
    const events = this.count - since;
    this.judging = this.ahead(since, times, ticks).judging;
    this.last += times * ticks;
    if (this.moved > since) this.moved += times * events;
    for (const [part, at] of this.switched) if (at > since) this.switched.set(part, at + times * events);
    this.count += times * events;
    this.kept = this.count;
  }

  /** What doublings come to, and the number of the event before which that ends, if any. */
  private ahead(since: number, times: number, ticks: number): { judging: Judging; until?: number } {
    const events = this.count - since;
    let { judging } = this;
    for (const last = this.count + times * events; judging.due <= last && events > 0; ) {
      const { due, before } = judging;
      const turns = Math.ceil((due - this.count) / events);
      const n = this.ticks[(due - turns * events) & (this.ticks.length - 1)] + turns * ticks;
      // What moves in the events that come again moves in any stretch of as many.
      const moves = this.moved > since;
      if (moves && due - before < events) return { judging, until: due };
      const next = this.judged(judging, n, moves || this.moved > before);
      if (lost(next)) return { judging, until: due };
      judging = next;
    }
    return { judging };
  }

  /** What is to be judged next, once it has been judged at tick n. */
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

/** Whether it is to be stopped. */
function lost({ faster, endless }: Judging): boolean {
  return faster >= doublings || endless >= looked;
}
