// Samples as they are kept, in columns that grow: tick, side, combination of modes, states, and which of the states stand at
// that tick, the others being on their way.
import type { Side } from "../stepping/sink.js";

/** Every state, as bits. */
export const everyState = -1;

/** Some states, as bits by their index. */
export function bitsOf(states: readonly number[]): number {
  return states.reduce((mask, k) => mask | (1 << k), 0);
}

/** Bytes that one sample takes at least: its tick, mode and side, and the states. */
export function sampleBytes(states: number): number {
  return 13 + 8 * states;
}

/** What a state was when it was given last. */
interface LastGiven {
  readonly tick: number;
  /** Index of the combination of modes in force. */
  readonly mode: number;
  readonly value: number;
}

/** Samples by number, from 0 to `count`. */
export class KeptSamples {
  count = 0;
  ticks: Float64Array;
  /** Index of the combination of modes. */
  modes: Uint32Array;
  sides: Uint8Array;
  /** Of each sample all states, one sample after another. */
  states: Float64Array;
  /** States that stand there, as bits; and those that have been worked out since. */
  given: Bits;
  private filled: Bits;
  /** By state, what the samples that were let go gave last. */
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
    this.states = new Float64Array(size * nx);
    this.given = bitsFor(nx, size);
    this.filled = bitsFor(nx, size);
    this.before = Array.from({ length: nx }, () => ({ tick: 0, mode: 0, value: 0 }));
  }

  /** Adds one; false where there is no room for it. */
  add(tick: number, side: Side, mode: number, x: Float64Array, given: number): boolean {
    const i = this.count;
    if (i === this.ticks.length && !this.grow()) return false;
    this.ticks[i] = tick;
    this.sides[i] = side;
    this.modes[i] = mode;
    this.given[i] = given;
    this.filled[i] = 0;
    const base = i * this.nx;
    for (let k = 0; k < this.nx; k++) this.states[base + k] = x[k];
    this.count = i + 1;
    return true;
  }

  /** Adds states that come to stand at the tick of the last sample, as it is reached, to that one; false if they do not. */
  join(tick: number, mode: number, x: Float64Array, given: number): boolean {
    const i = this.count - 1;
    if (this.ticks[i] !== tick || this.modes[i] !== mode || this.sides[i] === 1) return false;
    const base = i * this.nx;
    for (let k = 0; k < this.nx; k++) if ((given & (1 << k)) !== 0) this.states[base + k] = x[k];
    this.given[i] |= given;
    return true;
  }

  /** Which states a sample holds: those given, and those filled in. */
  holds(i: number): number {
    return this.given[i] | this.filled[i];
  }

  /** Fills in the states that a sample does not hold, of as many as there are in `z`. */
  fill(i: number, states: readonly number[], z: Float64Array): void {
    const holds = this.holds(i);
    const base = i * this.nx;
    for (let k = 0; k < states.length; k++)
      if ((holds & (1 << states[k])) === 0) this.states[base + states[k]] = z[k];
    this.filled[i] |= bitsOf(states);
  }

  /** What a state was that no sample before one gives. */
  lastGiven(state: number): LastGiven {
    return this.before[state];
  }

  /** Lets the first samples go, but for what their states were. */
  release(count: number): void {
    const { nx, before, ticks, modes, states } = this;
    let left = nx < 32 ? 2 ** nx - 1 : everyState;
    for (let i = count - 1; i >= 0 && left !== 0; i--) {
      const news = this.given[i] & left;
      left &= ~news;
      for (let k = 0; news >> k !== 0 && k < nx; k++) {
        if ((news & (1 << k)) === 0) continue;
        before[k].tick = ticks[i];
        before[k].mode = modes[i];
        before[k].value = states[i * nx + k];
      }
    }
    for (const column of [ticks, modes, this.sides, this.given, this.filled])
      column.copyWithin(0, count, this.count);
    states.copyWithin(0, count * nx, this.count * nx);
    this.count -= count;
  }

  /** All that there is stands so many ticks later. */
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
    this.states = copied(this.states, new Float64Array(size * this.nx));
    this.given = copied(this.given, bitsFor(this.nx, size));
    this.filled = copied(this.filled, bitsFor(this.nx, size));
    return true;
  }
}

/** Bits of states, one set a sample. */
type Bits = Uint8Array | Uint16Array | Int32Array;

/** Room for as many bits as there are states; of more than 31 they are all given. */
function bitsFor(nx: number, size: number): Bits {
  return nx <= 8 ? new Uint8Array(size) : nx <= 16 ? new Uint16Array(size) : new Int32Array(size);
}

function copied<T extends Float64Array | Uint32Array | Bits>(from: T, into: T): T {
  into.set(from as never);
  return into;
}
