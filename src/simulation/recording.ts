// What is kept of a run: at every sample its tick, the combination of modes and the states, nothing else. Every
// voltage and current is a row of small numbers times these, so any trace can be had afterwards, and a sample
// costs a few dozen bytes however many parts there are.
import type { Combination } from "../equations/system.js";
import type { PartSharing } from "../stepping/sharing.js";
import type { StepSink } from "../stepping/sink.js";

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

/** Keeps the samples between two ticks. */
export class Recording implements StepSink {
  count = 0;
  ticks: Float64Array;
  states: Float64Array;
  /** Index of the combination of modes. */
  modes: Uint32Array;
  /** Bit 0: the side of the instant; bit 1: a TR-BDF2 step led here. */
  flags: Uint8Array;
  readonly losses: { tick: number; joules: number; parts: readonly PartSharing[] }[] = [];

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
  }

  /** True for a tick that is to be kept. */
  within(n: number): boolean {
    return n >= this.from && n <= this.to;
  }

  sample(n: number, side: 0 | 1, at: Combination, x: Float64Array, damped: boolean): boolean {
    const { count } = this;
    if (!this.exact) {
      if (!this.within(n)) return true;
    } else if (count > 0 && this.ticks[count - 1] > this.to) return true;
    // The sample before the span is kept until the span has begun: the leap into it begins there.
    else if (count > 0 && this.ticks[count - 1] < this.from && n <= this.from) this.count = 0;
    const i = this.count;
    if (i === this.ticks.length && !this.grow()) return false;
    this.ticks[i] = n;
    this.modes[i] = at.index;
    this.flags[i] = side | (damped ? 2 : 0);
    const base = i * this.nx;
    for (let k = 0; k < this.nx; k++) this.states[base + k] = x[k]!;
    this.count = i + 1;
    return true;
  }

  /** Index of the first sample after a tick, or how many there are. */
  after(tick: number): number {
    let [low, high] = [0, this.count];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.ticks[middle] <= tick) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** Index of the last sample at or before a tick, or of the first one. */
  last(tick: number): number {
    return Math.max(0, this.after(tick) - 1);
  }

  /** Stretches of some length that overlap a span of ticks, in order. */
  *stretches(from: number, to: number): Generator<Stretch> {
    const { ticks, count } = this;
    for (let i = this.last(from); i + 1 < count; i++) {
      if (ticks[i] >= to && ticks[i] > from) return;
      if (ticks[i + 1] > ticks[i] && ticks[i + 1] > from)
        yield { index: i, end: i + 1, from: ticks[i], to: ticks[i + 1] };
    }
  }

  /** The ticks that a part shows of what is recorded; without one all of it. */
  span(part?: { readonly from: number; readonly to: number }): { from: number; to: number } {
    const { ticks, count } = this;
    const from = Math.max(this.exact ? this.from : 0, ticks[0], part?.from ?? 0);
    const to = Math.min(
      this.exact ? this.to : ticks[count - 1],
      ticks[count - 1],
      part?.to ?? ticks[count - 1],
    );
    return { from: Math.min(from, to), to };
  }

  /** Lets all but the last sample go. */
  keepLast(): void {
    const last = this.count - 1;
    if (last <= 0) return;
    this.ticks[0] = this.ticks[last];
    this.modes[0] = this.modes[last];
    this.flags[0] = this.flags[last];
    this.states.copyWithin(0, last * this.nx, (last + 1) * this.nx);
    this.count = 1;
  }

  loss(tick: number, joules: number, parts: readonly PartSharing[]): void {
    this.losses.push({ tick, joules, parts });
  }

  private grow(): boolean {
    const size = this.ticks.length * 2;
    if (size * (13 + 8 * this.nx) > this.bytes) return false;
    this.ticks = copy(new Float64Array(size), this.ticks);
    this.states = copy(new Float64Array(size * this.nx), this.states);
    this.modes = copy(new Uint32Array(size), this.modes);
    this.flags = copy(new Uint8Array(size), this.flags);
    return true;
  }
}

function copy<T extends Float64Array | Uint32Array | Uint8Array>(into: T, from: T): T {
  into.set(from as never);
  return into;
}
