// What is kept of a run: the tick, the combination of modes and the states of every sample, nothing else. Every voltage and
// current is a row of a few numbers times these, so any trace can be had later, and a sample costs a few dozen bytes however many
// parts there are. What repeats is kept once, with a count; readers see every sample.
import { firstWhere } from "../base/search.js";
import type { Combination } from "../equations/system.js";
import type { PartSharing } from "../stepping/sharing.js";
import type { Side, SinkMark, StepSink } from "../stepping/sink.js";
import { RepeatedList } from "./repeated.js";
import { everyState, KeptSamples } from "./samples.js";

/** Energy that was lost when charge or flux was shared at an instant. */
export interface Loss {
  /** Seconds. */
  readonly time: number;
  /** Joules. */
  readonly energy: number;
}

/** The span between two neighbouring samples of different instants. */
export interface Stretch {
  /** Index of its first sample, and of its last: the next one, unless a view joins several. */
  readonly index: number;
  readonly end: number;
  readonly from: number;
  readonly to: number;
}

/** A known repetition: within it every tick is like the one `ticks` earlier. */
export interface Repetition {
  /** Start of the first period, and end of the last known one. */
  readonly from: number;
  readonly until: number;
  readonly ticks: number;
}

/** A loss, with its effect on parts. */
interface RecordedLoss {
  readonly tick: number;
  readonly joules: number;
  readonly parts: readonly PartSharing[];
}

/** What to keep. */
interface RecordingOptions {
  /** Samples are ends of leaps: the course between them follows from the first. */
  readonly exact: boolean;
  /** First and last tick kept; all of them unless given. */
  readonly from?: number;
  readonly to?: number;
  /** The most memory it may take; unlimited unless given. */
  readonly bytes?: number;
  /** Samples that it has room for at first. */
  readonly size?: number;
}

/** Bytes that a trace may always take, however small the limit of a run. */
const leastRoom = 2 ** 24;

/** Keeps the samples between two ticks. Samples are numbered from 0 to `count` − 1. */
export class Recording implements StepSink {
  readonly exact: boolean;
  /** The samples; those that repeat are kept once. */
  readonly samples: KeptSamples;
  /** Known repetitions, in order of time; all lie within the span. */
  readonly repetitions: Repetition[] = [];
  /** The most bytes that its samples, or a trace drawn from it, may take. */
  readonly room: number;
  private readonly from: number;
  private readonly to: number;
  private readonly again = new RepeatedList();
  private readonly losses: RecordedLoss[] = [];
  private readonly lossesAgain = new RepeatedList();

  /** @param nx number of states */
  constructor(
    nx: number,
    {
      exact,
      from = Number.NEGATIVE_INFINITY,
      to = Number.POSITIVE_INFINITY,
      bytes = Number.POSITIVE_INFINITY,
      size,
    }: RecordingOptions,
  ) {
    this.room = Math.max(bytes, leastRoom);
    this.exact = exact;
    this.from = from;
    this.to = to;
    this.samples = new KeptSamples(nx, bytes, size ?? 1024);
  }

  /** How many samples there are. */
  get count(): number {
    return this.again.told(this.samples.count);
  }

  /** How many of them are stored. */
  get kept(): number {
    return this.samples.count;
  }

  /** The tick of a sample. */
  tick(i: number): number {
    return this.samples.ticks[this.again.slot(i)] + this.again.later(i);
  }

  /** The index of its combination of modes. */
  mode(i: number): number {
    return this.samples.modes[this.again.slot(i)];
  }

  /** Its states, written into the beginning of `x`. */
  read(i: number, x: Float64Array): void {
    this.samples.read(this.again.slot(i), x);
  }

  readSome(i: number, states: Int32Array, x: Float64Array): void {
    this.samples.readSome(this.again.slot(i), states, x);
  }

  state(i: number, k: number): number {
    return this.samples.state(this.again.slot(i), k);
  }

  /** Which states the march gave there, as bits. */
  given(i: number): number {
    return this.samples.given[this.again.slot(i)];
  }

  /** Which states it holds: those given, and those filled in. */
  holds(i: number): number {
    return this.samples.holds(this.again.slot(i));
  }

  /** Fills in states, given in the order of `z`. */
  fill(i: number, states: readonly number[], z: Float64Array): void {
    this.samples.fill(this.again.slot(i), states, z);
  }

  /** Whether a TR-BDF2 step led there. */
  damped(i: number): boolean {
    return this.samples.sides[this.again.slot(i)] === 2;
  }

  /** All losses, in order. */
  *lost(): Generator<RecordedLoss> {
    const { losses, lossesAgain } = this;
    for (let i = 0, count = lossesAgain.told(losses.length); i < count; i++) {
      const one = losses[lossesAgain.slot(i)];
      yield { ...one, tick: one.tick + lossesAgain.later(i) };
    }
  }

  sample(n: number, side: Side, at: Combination, x: Float64Array, given = everyState): boolean {
    const { samples, from, to } = this;
    if (!this.exact) return n < from || n > to || samples.add(n, side, at.index, x, given);
    if (samples.count > 0) {
      const last = samples.ticks[samples.count - 1];
      if (last > to) return true;
      // Until the span has begun, the last sample before it is kept: the leap into the span begins there.
      if (last < from && n <= from) samples.release(samples.count);
      else if (side === 0 && samples.join(n, at.index, x, given)) return true;
    }
    return samples.add(n, side, at.index, x, given);
  }

  loss(tick: number, joules: number, parts: readonly PartSharing[]): void {
    this.losses.push({ tick, joules, parts });
  }

  mark(): SinkMark {
    return { samples: this.kept, losses: this.losses.length };
  }

  /** The march lets nothing repeat across either end of the span: a repetition lies before, within or after it. */
  repeat(since: SinkMark, times: number, ticks: number, marched: boolean): void {
    const { samples, losses, kept } = this;
    if (!marched) this.lossesAgain.add(since.losses, losses.length, times, ticks);
    const last = kept > 0 ? samples.ticks[kept - 1] : this.from;
    if (last > this.to) return;
    // Before the span only the last sample is kept.
    if (last < this.from) {
      if (!marched) samples.delay(times * ticks);
      return;
    }
    this.repetitions.push({ from: last - ticks, until: last + times * ticks, ticks });
    if (!marched) this.again.add(since.samples, kept, times, ticks);
  }

  /** Index of the first sample after a tick, or how many there are. */
  after(tick: number): number {
    return firstWhere(0, this.count, (i) => this.tick(i) > tick);
  }

  /** Index of the last sample at or before a tick, or of the first one. */
  last(tick: number): number {
    return Math.max(0, this.after(tick) - 1);
  }

  /** Stretches of nonzero length that overlap a span of ticks, in order. */
  *stretches(from: number, to: number): Generator<Stretch> {
    const { count } = this;
    const first = this.last(from);
    for (let i = first, start = count > 0 ? this.tick(first) : 0; i + 1 < count; i++) {
      if (start >= to && start > from) return;
      const end = this.tick(i + 1);
      if (end > start && end > from) yield { index: i, end: i + 1, from: start, to: end };
      start = end;
    }
  }

  /** The recorded ticks within a part, or all of them. */
  span(part?: { readonly from: number; readonly to: number }): { from: number; to: number } {
    const last = this.tick(this.count - 1);
    const from = Math.max(this.exact ? this.from : 0, this.tick(0), part?.from ?? 0);
    const to = Math.min(this.exact ? this.to : last, last, part?.to ?? last);
    return { from: Math.min(from, to), to };
  }
}
