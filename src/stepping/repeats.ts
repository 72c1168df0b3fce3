// What repeats is computed once. A beat is the time after which all sources and commands are the same again to the last
// bit. Where the march stands, at the first edge of a beat, bit for bit as it stood some beats before, what came since then
// comes again, for as long as no source changes for good: it is told the sink as so many repeats, and the march goes on
// behind them.
//
// What a march goes on from, but for its place in time: the states, the combination of modes, the times running, what was
// seen of events that follow each other (chatter.ts), and the largest sizes of everything so far, by which rounding is
// judged: these only grow, so how often they have grown says whether they are the same. Where sources and commands stand
// follows from the tick alone.
// Always: samples, losses and counts are those of the plain march. It looks at edges only, which are edges of what repeats
// too; nothing is repeated up to a change or to the end, nor so near that it has been looked at, and limits stop the run
// where they would stop it without.

import { type Beat, Beats } from "./beats.js";
import { Chatter } from "./chatter.js";
import type { Clock } from "./clock.js";
import type { Leaps } from "./leaps.js";
import type { Settler } from "./modes.js";
import type { StepSink } from "./sink.js";
import { Tape } from "./tape.js";
import type { Timers } from "./timers.js";

/** Events between beats that are remembered. */
const mostEvents = 2 ** 18;

/** How far a march has come, in leaps and in instants settled. */
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
  /** The first tick after one at which a source, a command, or what is kept of the run changes for good. */
  readonly change: (n: number) => number;
  /** Counts a leap that ends at tick n, and throws where the run must stop. */
  readonly stepped: (n: number) => void;
  /** What repeats is marched all the same: it is only told that it does. */
  readonly marched: boolean;
}

/** Looks for what repeats in one march. */
export class Repeats {
  readonly chatter: Chatter;
  /** Takes the samples of the march. */
  readonly sink: StepSink;
  /** The tick reached where the march is stopped while samples are told again. */
  told: number | undefined;
  /** The next change. */
  private until: number;
  private readonly memory: Beats;
  /** Where the repeats that are marched all the same are over. */
  private over = -1;
  /** Tells a sink that keeps nothing. */
  private readonly tape: Tape | undefined;

  /** @param period ticks of a beat */
  constructor(
    private readonly of: Repeating,
    private readonly period: number,
    sink: StepSink,
  ) {
    const states = of.leaps.now.x.length;
    this.chatter = new Chatter(of.clock.seconds, { end: of.clock.end, steps: of.steps }, mostEvents);
    this.memory = new Beats(2 + states + of.timers.size + Chatter.size + states);
    this.tape = sink.repeat ? undefined : new Tape(sink, states, () => of.counts.settled);
    this.sink = this.tape ?? sink;
    this.until = of.change(-1);
  }

  /** At the first edge of a beat, where the march rests: what an earlier beat knows of what follows is not marched. */
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

  /** Whether all that came since a beat is still known. */
  private holds({ events, mark }: Beat): boolean {
    return this.chatter.remembers(events) && (this.tape?.holds(mark) ?? true);
  }

  /** How often what came since a beat comes again. */
  private times(since: Beat, now: Beat, left: number): number {
    const steps = now.steps - since.steps;
    const ticks = now.n - since.n;
    // What was looked at beyond this edge must be as it was, too, where the last repeat ends.
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

  /** Behind what repeats the memory begins anew, with the `values` as they are written. */
  private begin(): void {
    this.memory.forget();
    this.memory.keep(this.now());
  }

  /** Tells the sink again what came since a beat. */
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
    const from = timers.write(leaps.n, values, 2 + leaps.now.x.length);
    this.chatter.write(leaps.n, values, from);
  }
}
