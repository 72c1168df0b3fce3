// What repeats is computed once. A beat is the time after which all sources and commands are the same again to the last
// bit. If the march stands at the first edge of a beat bit for bit as it stood some beats before, what happened since then
// happens again, until a source changes for good: the sink is told so many repeats, and the march goes on after them.
//
// Apart from its place in time, a march goes on from: the states, the combination of modes, the timers running, the record
// of events in quick succession (chatter.ts), the sizes by which rounding is judged, and the largest so far, by which charges
// are. These only grow, so the number of times they have grown tells whether they are the same. The position within sources
// and commands follows from the tick alone.
// Always: samples, losses and counts are those of the plain march. Repeats begin at edges only, which recur with the rest;
// nothing is repeated up to a change or to the end, nor as far as was already probed, and limits stop the run where they
// would stop the plain march.

import { type Beat, Beats } from "./beats.js";
import { Chatter } from "./chatter.js";
import type { Clock } from "./clock.js";
import type { Leaps } from "./leaps.js";
import type { Settler } from "./modes.js";
import type { StepSink } from "./sink.js";
import { Tape } from "./tape.js";
import type { Timers } from "./timers.js";

/** How many events between beats are remembered. */
const mostEvents = 2 ** 18;

/** The progress of a march, in leaps and in instants settled. */
export interface Counts {
  steps: number;
  settled: number;
}

/** The march that repeats. */
interface Repeating {
  readonly leaps: Leaps;
  readonly settler: Settler;
  readonly timers: Timers;
  readonly counts: Counts;
  /** The most leaps taken. */
  readonly steps: number;
  readonly clock: Clock;
  /** The first tick after a given one at which a source, a command, or what is kept of the run changes for good. */
  readonly change: (n: number) => number;
  /** Counts a leap that ends at tick n, and throws where the run must stop. */
  readonly stepped: (n: number) => void;
  /** Whether repeats are marched all the same, and only reported as such. */
  readonly marched: boolean;
}

/** Looks for repeats in one march. */
export class Repeats {
  readonly chatter: Chatter;
  /** Takes the samples of the march. */
  readonly sink: StepSink;
  /** The tick reached if the march is stopped while samples are replayed. */
  told: number | undefined;
  /** The next change. */
  private until: number;
  private readonly memory: Beats;
  /** The tick at which repeats that are marched all the same end. */
  private over = -1;
  /** Replays samples to a sink that cannot repeat. */
  private readonly tape: Tape | undefined;

  /** @param period ticks of a beat */
  constructor(
    private readonly of: Repeating,
    private readonly period: number,
    sink: StepSink,
  ) {
    const states = of.leaps.now.x.length;
    this.chatter = new Chatter(of.clock.seconds, { end: of.clock.end, steps: of.steps }, mostEvents);
    this.memory = new Beats(2 + 2 * states + of.timers.size + Chatter.size + states);
    this.tape = sink.repeat ? undefined : new Tape(sink, states, () => of.counts.settled);
    this.sink = this.tape ?? sink;
    this.until = of.change(-1);
  }

  /** At the first edge of a beat, where the march rests: repeats from an earlier beat instead of marching. */
  look(): void {
    const { of, memory, tape, period } = this;
    const { n } = of.leaps;
    if (n < this.over) return;
    this.write();
    if (n === this.over) {
      this.begin();
      return;
    }
    if (n >= this.until) {
      memory.forget();
      this.until = of.change(n);
    }
    const left = Math.min(of.clock.end, this.until) - 1 - n;
    const since = memory.find(
      (beat) => n - beat.n <= left && this.holds(beat),
      (beat) => (n - beat.n) % period === 0,
    );
    const now = this.now();
    const times = since ? this.times(since, now, left) : 0;
    if (times > 0) this.repeat(since!, now, times);
    else memory.keep(now);
    if (memory.oldest) tape?.release(memory.oldest.mark);
  }

  /** Whether everything since a beat is still known. */
  private holds({ events, mark }: Beat): boolean {
    return this.chatter.remembers(events) && (this.tape?.holds(mark) ?? true);
  }

  /** How often the stretch since a beat repeats. */
  private times(since: Beat, now: Beat, left: number): number {
    const steps = now.steps - since.steps;
    const ticks = now.n - since.n;
    // What was probed beyond this edge must be unchanged where the last repeat ends, too.
    const beyond = Math.max(now.ahead, this.memory.ahead(since)) - now.n;
    const fits = Math.max(0, Math.floor((left - Math.max(0, beyond)) / ticks));
    const allowed = steps > 0 ? Math.floor((this.of.steps - 1 - now.steps) / steps) : fits;
    return this.chatter.repeatable(since.events, Math.min(fits, allowed), ticks);
  }

  private repeat(since: Beat, now: Beat, times: number): void {
    const { of, chatter, tape, sink } = this;
    const ticks = now.n - since.n;
    if (tape) this.tell(tape, since, now, times);
    else sink.repeat!(since.mark, times, ticks, of.marched);
    if (of.marched) {
      this.over = now.n + times * ticks;
      return;
    }
    of.counts.steps = now.steps + times * (now.steps - since.steps);
    of.counts.settled = now.settled + times * (now.settled - since.settled);
    chatter.again(since.events, times, ticks);
    of.timers.shift(times * ticks);
    of.leaps.shift(times * ticks);
    this.begin();
  }

  /** Clears the memory after repeats and starts it with the `values` just written. */
  private begin(): void {
    this.memory.forget();
    this.memory.keep(this.now());
  }

  /** Replays to the sink what came since a beat. */
  private tell(tape: Tape, since: Beat, now: Beat, times: number): void {
    const { counts, stepped } = this.of;
    const settled = now.settled - since.settled;
    tape.again(since.mark, times, now.n - since.n, (n, side, before, turn) => {
      this.told = n;
      counts.settled = before + turn * settled;
      if (side === 0) stepped(n);
    });
    this.told = undefined;
  }

  private now(): Beat {
    const { leaps, counts } = this.of;
    const mark = this.sink.mark!();
    const { ahead, n } = leaps;
    leaps.ahead = n;
    return { n, ahead, steps: counts.steps, settled: counts.settled, events: this.chatter.count, mark };
  }

  /** Everything that the march goes on from. */
  private write(): void {
    const { leaps, settler, timers } = this.of;
    const { values } = this.memory;
    values[0] = leaps.at.index;
    values[1] = leaps.grown + settler.grown;
    values.set(leaps.now.x, 2);
    values.set(leaps.sizes, 2 + leaps.now.x.length);
    const from = timers.write(leaps.n, values, 2 + 2 * leaps.now.x.length);
    this.chatter.write(leaps.n, values, from);
  }
}
