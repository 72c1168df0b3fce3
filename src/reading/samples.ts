// Stored samples, in columns that grow: tick, side, combination of modes, states, and which of the states are valid at that tick;
// the others are in mid-leap.
import type { Side } from "../stepping/sink.js";

/** Every state, as bits. */
export const everyState = -1;

/** Some states, as bits by their index. */
export function bitsOf(states: readonly number[]): number {
  return states.reduce((mask, k) => mask | (1 << k), 0);
}

/** The fewest bytes that a sample takes: its tick, mode and side, and the states. */
export function sampleBytes(states: number): number {
  return 13 + 8 * states;
}

/** A block holds the states of 2^power samples. */
const power = 8;
const rows = 1 << power;
const last = rows - 1;

/** A state where it was given last. */
interface LastGiven {
  readonly tick: number;
  /** Index of the combination of modes in force. */
  readonly mode: number;
  readonly value: number;
}

/** Samples by index, from 0 to `count` − 1. */
export class KeptSamples {
  count = 0;
  /** How many were released before them. */
  gone = 0;
  ticks: Float64Array;
  /** Index of the combination of modes. */
  modes: Uint32Array;
  sides: Uint8Array;
  /** The states, sample after sample, in blocks: they are most of what is kept, and are not moved as it grows. */
  private readonly blocks: Float64Array[] = [];
  /** States given there, as bits; and those computed since. */
  given: Bits;
  private filled: Bits;
  /** By state, the last value in the samples that were released. */
  private readonly before: { tick: number; mode: number; value: number }[];

  /**
   * @param nx number of states
   * @param bytes the most memory that the columns may take
   * @param size samples that they have room for at first
   */
  constructor(
    private readonly nx: number,
    private readonly bytes: number,
    size: number,
  ) {
    this.ticks = new Float64Array(size);
    this.modes = new Uint32Array(size);
    this.sides = new Uint8Array(size);
    this.given = bitsFor(nx, size);
    this.filled = bitsFor(nx, size);
    this.before = Array.from({ length: nx }, () => ({ tick: 0, mode: 0, value: 0 }));
  }

  /** Adds one, with the states given there alone; false where there is no room. */
  add(tick: number, side: Side, mode: number, x: Float64Array, given: number): boolean {
    const i = this.count;
    if (i === this.ticks.length && !this.grow()) return false;
    this.ticks[i] = tick;
    this.sides[i] = side;
    this.modes[i] = mode;
    this.given[i] = given;
    this.filled[i] = 0;
    let block = this.blocks[i >> power];
    if (!block) {
      block = new Float64Array(rows * this.nx);
      this.blocks.push(block);
    }
    const base = (i & last) * this.nx;
    if (given === everyState) for (let k = 0; k < this.nx; k++) block[base + k] = x[k];
    else for (let k = 0; given >>> k !== 0; k++) if ((given & (1 << k)) !== 0) block[base + k] = x[k];
    this.count = i + 1;
    return true;
  }

  /** Adds states that are reached at the tick of the last sample to that sample; returns false if they do not belong to it. */
  join(tick: number, mode: number, x: Float64Array, given: number): boolean {
    const i = this.count - 1;
    if (this.ticks[i] !== tick || this.modes[i] !== mode || this.sides[i] === 1) return false;
    const block = this.blocks[i >> power];
    const base = (i & last) * this.nx;
    for (let k = 0; k < this.nx; k++) if ((given & (1 << k)) !== 0) block[base + k] = x[k];
    this.given[i] |= given;
    return true;
  }

  state(i: number, k: number): number {
    return this.blocks[i >> power][(i & last) * this.nx + k];
  }

  /** Its states, written into the beginning of `x`. */
  read(i: number, x: Float64Array): void {
    const block = this.blocks[i >> power];
    for (let k = 0, p = (i & last) * this.nx; k < this.nx; k++, p++) x[k] = block[p];
  }

  /** Some of them, where they stand in `x`. */
  readSome(i: number, states: Int32Array, x: Float64Array): void {
    const block = this.blocks[i >> power];
    const base = (i & last) * this.nx;
    for (let k = 0; k < states.length; k++) x[states[k]] = block[base + states[k]];
  }

  /** Which states a sample holds: those given, and those filled in. */
  holds(i: number): number {
    return this.given[i] | this.filled[i];
  }

  /** Fills in those states that a sample does not hold, given in the order of `z`. */
  fill(i: number, states: readonly number[], z: Float64Array): void {
    const holds = this.holds(i);
    const block = this.blocks[i >> power];
    const base = (i & last) * this.nx;
    for (let k = 0; k < states.length; k++)
      if ((holds & (1 << states[k])) === 0) block[base + states[k]] = z[k];
    this.filled[i] |= bitsOf(states);
  }

  /** A state where it was given last in the samples that were released. */
  lastGiven(state: number): LastGiven {
    return this.before[state];
  }

  /** Releases the first samples, but remembers the last value of each state. */
  release(count: number): void {
    const { nx, before, ticks, modes, blocks } = this;
    let left = nx < 32 ? 2 ** nx - 1 : everyState;
    for (let i = count - 1; i >= 0 && left !== 0; i--) {
      const news = this.given[i] & left;
      left &= ~news;
      for (let k = 0; news >> k !== 0 && k < nx; k++) {
        if ((news & (1 << k)) === 0) continue;
        before[k].tick = ticks[i];
        before[k].mode = modes[i];
        before[k].value = this.state(i, k);
      }
    }
    for (const column of [ticks, modes, this.sides, this.given, this.filled])
      column.copyWithin(0, count, this.count);
    this.count -= count;
    this.gone += count;
    for (let i = 0; i < this.count; i++) {
      const from = i + count;
      const at = (from & last) * nx;
      blocks[i >> power].set(blocks[from >> power].subarray(at, at + nx), (i & last) * nx);
    }
  }

  /** Moves everything `ticks` later. */
  delay(ticks: number): void {
    for (let i = 0; i < this.count; i++) this.ticks[i] += ticks;
    for (const one of this.before) one.tick += ticks;
  }

  private grow(): boolean {
    const size = this.ticks.length * 2;
    if (size * (13 + 2 * this.given.BYTES_PER_ELEMENT + 8 * this.nx) > this.bytes) return false;
    this.ticks = copied(this.ticks, new Float64Array(size));
    this.modes = copied(this.modes, new Uint32Array(size));
    this.sides = copied(this.sides, new Uint8Array(size));
    this.given = copied(this.given, bitsFor(this.nx, size));
    this.filled = copied(this.filled, bitsFor(this.nx, size));
    return true;
  }
}

/** Bits of states, one number a sample. */
type Bits = Uint8Array | Uint16Array | Int32Array;

/** Room for as many bits as there are states; with more than 31, all states are given at every sample. */
function bitsFor(nx: number, size: number): Bits {
  return nx <= 8 ? new Uint8Array(size) : nx <= 16 ? new Uint16Array(size) : new Int32Array(size);
}

function copied<T extends Float64Array | Uint32Array | Bits>(from: T, into: T): T {
  into.set(from as never);
  return into;
}
