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
  /** True where a trace must have a sample for every step, however many there are: the caller chose the steps. */
  even = false;

  /**
   * @param nx number of states
   * @param from first tick kept
   * @param to last tick kept
   * @param bytes the most memory it may take
   * @param size samples it has room for at first
   */
  constructor(
    private readonly nx: number,
    private readonly from: number,
    private readonly to: number,
    private readonly bytes: number,
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
    if (!this.within(n)) return true;
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
