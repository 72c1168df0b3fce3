// What is kept of a run: at every sample its tick, the combination of modes and the states, nothing else. Every
// voltage and current is a row of small numbers times these, so any trace can be had afterwards, and a sample
// costs a few dozen bytes however many parts there are. What repeats is kept once, with how often it comes; whoever reads
// sees every sample.
import { firstWhere } from "../base/search.js";
import type { Combination } from "../equations/system.js";
import type { PartSharing } from "../stepping/sharing.js";
import type { Side, SinkMark, StepSink } from "../stepping/sink.js";
import { RepeatedList } from "./repeated.js";

/** Energy that was lost when charge or flux was shared at an instant. */
export interface Loss {
  /** Seconds. */
  readonly time: number;
  /** Joules. */
  readonly energy: number;
}

/** What lies between two neighbouring samples of different instants. */
export interface Stretch {
  /** Index of the sample it begins with, and of the one that ends it: the next, unless a sight joins several. */
  readonly index: number;
  readonly end: number;
  readonly from: number;
  readonly to: number;
}

/** What is known to repeat: of some ticks each shows what the one so many `ticks` before it has shown. */
export interface Repetition {
  /** Where it begins for the first time, and where it is known no longer. */
  readonly from: number;
  readonly until: number;
  readonly ticks: number;
}

/** A loss, with what it did to parts. */
export interface RecordedLoss {
  readonly tick: number;
  readonly joules: number;
  readonly parts: readonly PartSharing[];
}

/** Every state. */
const everything = -1;

/** Keeps the samples between two ticks. Samples are asked for by their number from 0 to `count`. */
export class Recording implements StepSink {
  /** Samples that are kept, each with its own tick: what comes again counts once. */
  kept = 0;
  /** Of these: the ticks, and the index of the combination of modes. */
  ticks: Float64Array;
  modes: Uint32Array;
  /** States of the samples that are kept, one after another: those of a sample begin at its `base`. */
  states: Float64Array;
  /** Bit 0: the side of the instant; bit 1: a TR-BDF2 step led here. */
  private flags: Uint8Array;
  /** States that stand at the tick of a sample, as bits; and those that have been worked out since. */
  private standing: Bits;
  private filled: Bits;
  /** By state, what a sample gave that is kept no more: its tick, its combination, and the state. */
  private readonly heads: {
    readonly ticks: Float64Array;
    readonly modes: Uint32Array;
    readonly x: Float64Array;
  };
  private readonly samples = new RepeatedList();
  private readonly losses: RecordedLoss[] = [];
  private readonly lossFolds = new RepeatedList();
  /** What is known to repeat, in the order of time; all of it lies within the span. */
  readonly rounds: Repetition[] = [];

  /**
   * @param nx number of states
   * @param from first tick kept
   * @param to last tick kept
   * @param bytes the most memory it may take
   * @param exact samples are ends of leaps: what lies between two of them is worked out from the first
   * @param size samples it has room for at first
   */
  constructor(
    private readonly nx: number,
    private readonly from: number,
    private readonly to: number,
    private readonly bytes: number,
    readonly exact: boolean,
    size = 1024,
  ) {
    this.ticks = new Float64Array(size);
    this.states = new Float64Array(size * nx);
    this.modes = new Uint32Array(size);
    this.flags = new Uint8Array(size);
    this.standing = bitsFor(nx, size);
    this.filled = bitsFor(nx, size);
    this.heads = { ticks: new Float64Array(nx), modes: new Uint32Array(nx), x: new Float64Array(nx) };
  }

  /** How many samples there are. */
  get count(): number {
    return this.samples.any ? this.samples.told(this.kept) : this.kept;
  }

  /** The tick of a sample. */
  tick(i: number): number {
    const { samples } = this;
    if (!samples.any) return this.ticks[i];
    samples.find(i);
    return this.ticks[samples.slot] + samples.later;
  }

  /** The index of its combination of modes. */
  mode(i: number): number {
    return this.modes[this.slot(i)];
  }

  /** Where its states begin in `states`. */
  base(i: number): number {
    return this.slot(i) * this.nx;
  }

  /** Which states the march gave there, as bits. */
  given(i: number): number {
    return this.standing[this.slot(i)];
  }

  /** Which states it holds: those given, and those filled in. */
  holds(i: number): number {
    const slot = this.slot(i);
    return this.standing[slot] | this.filled[slot];
  }

  /** Fills states in, as many as there are in `z`. */
  fill(i: number, states: readonly number[], z: Float64Array, mask: number): void {
    const slot = this.slot(i);
    const holds = this.standing[slot] | this.filled[slot];
    const base = slot * this.nx;
    for (let k = 0; k < states.length; k++)
      if ((holds & (1 << states[k])) === 0) this.states[base + states[k]] = z[k];
    this.filled[slot] |= mask;
  }

  /** Of a state that no sample gives: the tick at which it stood last. */
  headTick(state: number): number {
    return this.heads.ticks[state];
  }

  /** The combination in force then. */
  headMode(state: number): number {
    return this.heads.modes[state];
  }

  /** And what it was. */
  headState(state: number): number {
    return this.heads.x[state];
  }

  /** Whether a TR-BDF2 step led there. */
  damped(i: number): boolean {
    return (this.flags[this.slot(i)] & 2) !== 0;
  }

  private slot(i: number): number {
    const { samples } = this;
    if (!samples.any) return i;
    samples.find(i);
    return samples.slot;
  }

  /** All losses, in order. */
  *lost(): Generator<RecordedLoss> {
    const { losses, lossFolds } = this;
    for (let i = 0, count = lossFolds.told(losses.length); i < count; i++) {
      lossFolds.find(i);
      const { slot, later } = lossFolds;
      const one = losses[slot];
      yield later === 0 ? one : { ...one, tick: one.tick + later };
    }
  }

  /** True for a tick that is to be kept. */
  within(n: number): boolean {
    return n >= this.from && n <= this.to;
  }

  sample(n: number, side: Side, at: Combination, x: Float64Array, given = everything): boolean {
    const { kept } = this;
    if (!this.exact) {
      if (!this.within(n)) return true;
    } else if (kept > 0 && this.ticks[kept - 1] > this.to) return true;
    // The sample before the span is kept until the span has begun: the leap into it begins there.
    else if (kept > 0 && this.ticks[kept - 1] < this.from && n <= this.from) {
      this.remember(0, kept);
      this.kept = 0;
    } else if (kept > 0 && side === 0 && this.joins(n, at, x, given)) return true;
    const i = this.kept;
    if (i === this.ticks.length && !this.grow()) return false;
    this.ticks[i] = n;
    this.modes[i] = at.index;
    this.flags[i] = side;
    this.standing[i] = given;
    this.filled[i] = 0;
    const base = i * this.nx;
    for (let k = 0; k < this.nx; k++) this.states[base + k] = x[k];
    this.kept = i + 1;
    return true;
  }

  mark(): SinkMark {
    return { samples: this.kept, losses: this.losses.length };
  }

  /** The span begins and ends where nothing repeats beyond: what repeats is all before, within or behind it. */
  repeat(since: SinkMark, times: number, ticks: number, marched: boolean): void {
    const { kept, losses } = this;
    if (!marched) this.lossFolds.add(since.losses, losses.length, times, ticks);
    const last = kept > 0 ? this.ticks[kept - 1] : this.from;
    if (last > this.to) return;
    // Before the span the last sample alone is kept.
    if (last < this.from) {
      if (marched) return;
      this.ticks[kept - 1] += times * ticks;
      for (let k = 0; k < this.nx; k++) this.heads.ticks[k] += times * ticks;
      return;
    }
    this.rounds.push({ from: last - ticks, until: last + times * ticks, ticks });
    if (!marched) this.samples.add(since.samples, kept, times, ticks);
  }

  /** Index of the first sample after a tick, or how many there are. */
  after(tick: number): number {
    return firstWhere(0, this.count, (i) => this.tick(i) > tick);
  }

  /** Index of the last sample at or before a tick, or of the first one. */
  last(tick: number): number {
    return Math.max(0, this.after(tick) - 1);
  }

  /** Stretches of some length that overlap a span of ticks, in order. */
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

  /** The ticks that a part shows of what is recorded; without one all of it. */
  span(part?: { readonly from: number; readonly to: number }): { from: number; to: number } {
    const last = this.tick(this.count - 1);
    const from = Math.max(this.exact ? this.from : 0, this.tick(0), part?.from ?? 0);
    const to = Math.min(this.exact ? this.to : last, last, part?.to ?? last);
    return { from: Math.min(from, to), to };
  }

  /** Lets all but the last sample go, where nothing repeats. */
  keepLast(): void {
    const last = this.kept - 1;
    if (last <= 0) return;
    this.remember(0, last);
    this.ticks[0] = this.ticks[last];
    this.modes[0] = this.modes[last];
    this.flags[0] = this.flags[last];
    this.standing[0] = this.standing[last];
    this.filled[0] = this.filled[last];
    this.states.copyWithin(0, last * this.nx, (last + 1) * this.nx);
    this.kept = 1;
  }

  loss(tick: number, joules: number, parts: readonly PartSharing[]): void {
    this.losses.push({ tick, joules, parts });
  }

  /** States that come to stand at the tick of the last sample, as it is reached, are part of it. */
  private joins(n: number, at: Combination, x: Float64Array, given: number): boolean {
    const i = this.kept - 1;
    if (this.ticks[i] !== n || this.modes[i] !== at.index || (this.flags[i] & 1) !== 0 || !this.exact)
      return false;
    const base = i * this.nx;
    for (let k = 0; k < this.nx; k++) if ((given & (1 << k)) !== 0) this.states[base + k] = x[k];
    this.standing[i] |= given;
    return true;
  }

  /** What samples gave that are let go. */
  private remember(from: number, to: number): void {
    const { heads, nx } = this;
    if (!this.exact) return;
    let left = nx < 32 ? 2 ** nx - 1 : everything;
    for (let i = to - 1; i >= from && left !== 0; i--) {
      const news = this.standing[i] & left;
      left &= ~news;
      for (let k = 0; news >> k !== 0 && k < nx; k++) {
        if ((news & (1 << k)) === 0) continue;
        heads.ticks[k] = this.ticks[i];
        heads.modes[k] = this.modes[i];
        heads.x[k] = this.states[i * nx + k];
      }
    }
  }

  private grow(): boolean {
    const size = this.ticks.length * 2;
    if (size * (13 + 2 * this.standing.BYTES_PER_ELEMENT + 8 * this.nx) > this.bytes) return false;
    this.ticks = copy(new Float64Array(size), this.ticks);
    this.states = copy(new Float64Array(size * this.nx), this.states);
    this.modes = copy(new Uint32Array(size), this.modes);
    this.flags = copy(new Uint8Array(size), this.flags);
    this.standing = copy(bitsFor(this.nx, size), this.standing);
    this.filled = copy(bitsFor(this.nx, size), this.filled);
    return true;
  }
}

/** Bits of states, one set a sample. */
type Bits = Uint8Array | Uint16Array | Int32Array;

/** Room for as many bits as there are states; of more than 31 they are all given. */
function bitsFor(nx: number, size: number): Bits {
  return nx <= 8 ? new Uint8Array(size) : nx <= 16 ? new Uint16Array(size) : new Int32Array(size);
}

function copy<T extends Float64Array | Uint32Array | Bits>(into: T, from: T): T {
  into.set(from as never);
  return into;
}
