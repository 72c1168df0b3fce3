// The samples and losses of the last beats, for a sink that keeps none itself: they are replayed to it where they repeat.
// Always: everything is passed on at once; only a limited number of samples is kept, however far apart the beats are.
import type { Combination } from "../equations/system.js";
import type { PartSharing } from "./sharing.js";
import type { Side, SinkMark, StepSink } from "./sink.js";

/** The most samples kept (a frame of video has tens of thousands), and the most numbers in their states. */
const mostSamples = 2 ** 17;
const mostNumbers = 2 ** 22;

/** A loss, and the number of the sample that follows it. */
interface Lost {
  readonly sample: number;
  readonly n: number;
  readonly joules: number;
  readonly parts: readonly PartSharing[];
}

/** Called after each replayed sample: its tick, side, the instants settled before it in the original, and the turn from 1. */
type Retold = (n: number, side: Side, settled: number, turn: number) => void;

/** Passes on what it is told, and keeps the latest of it. */
export class Tape implements StepSink {
  private count = 0;
  /** Number of the first sample still wanted. */
  private wanted = 0;
  private readonly most: number;
  // Rings, by number of the sample.
  private size = 256;
  private ticks: Float64Array;
  private states: Float64Array;
  private settled: Float64Array;
  private sides: Uint8Array;
  private given: Int32Array;
  private at: Combination[];
  private lost: Lost[] = [];
  private readonly x: Float64Array;

  /**
   * @param nx number of states
   * @param events instants settled so far
   */
  constructor(
    private readonly sink: StepSink,
    private readonly nx: number,
    private readonly events: () => number,
  ) {
    let most = mostSamples;
    while (most > 1024 && most * nx > mostNumbers) most /= 2;
    this.most = most;
    const { size } = this;
    this.ticks = new Float64Array(size);
    this.settled = new Float64Array(size);
    this.states = new Float64Array(size * nx);
    this.sides = new Uint8Array(size);
    this.given = new Int32Array(size);
    this.at = new Array<Combination>(size);
    this.x = new Float64Array(nx);
  }

  sample(n: number, side: Side, at: Combination, x: Float64Array, given: number): boolean {
    if (this.count - this.wanted >= this.size) this.grow();
    const i = this.count++ & (this.size - 1);
    this.ticks[i] = n;
    this.sides[i] = side;
    this.given[i] = given;
    this.at[i] = at;
    this.settled[i] = this.events();
    for (let k = 0, p = i * this.nx; k < this.nx; k++, p++) this.states[p] = x[k];
    return this.sink.sample(n, side, at, x, given);
  }

  loss(n: number, joules: number, parts: readonly PartSharing[]): void {
    this.lost.push({ sample: this.count, n, joules, parts });
    this.sink.loss(n, joules, parts);
  }

  mark(): SinkMark {
    return { samples: this.count, losses: 0 };
  }

  /** Gives up everything before a mark. */
  release({ samples }: SinkMark): void {
    this.wanted = Math.max(this.wanted, samples);
    if (this.lost.length > 64 && this.lost[this.lost.length >> 1].sample < this.wanted)
      this.lost = this.lost.filter(({ sample }) => sample >= this.wanted);
  }

  /** Whether everything since a mark is kept. */
  holds({ samples }: SinkMark): boolean {
    return samples >= this.wanted;
  }

  /** Replays what came since a mark so many times, each time so many ticks later; an exception from `told` ends it. */
  again(since: SinkMark, times: number, ticks: number, told: Retold): void {
    const { count, size, nx, x, sink } = this;
    const lost = this.lost.filter(({ sample }) => sample >= since.samples);
    for (let turn = 1; turn <= times; turn++) {
      const later = turn * ticks;
      for (let k = since.samples, l = 0; k < count; k++) {
        for (; lost[l]?.sample === k; l++) sink.loss(lost[l].n + later, lost[l].joules, lost[l].parts);
        const i = k & (size - 1);
        const n = this.ticks[i] + later;
        const side = this.sides[i] as Side;
        for (let j = 0, p = i * nx; j < nx; j++, p++) x[j] = this.states[p];
        sink.sample(n, side, this.at[i], x, this.given[i]);
        told(n, side, this.settled[i], turn);
      }
    }
  }

  /** Doubles the room, or at the limit drops the older half. */
  private grow(): void {
    const { size, nx } = this;
    if (size >= this.most) {
      this.wanted = this.count - size / 2;
      return;
    }
    const before = {
      ticks: this.ticks,
      settled: this.settled,
      states: this.states,
      sides: this.sides,
      given: this.given,
    };
    const at = this.at;
    this.size = 2 * size;
    this.ticks = new Float64Array(this.size);
    this.settled = new Float64Array(this.size);
    this.states = new Float64Array(this.size * nx);
    this.sides = new Uint8Array(this.size);
    this.given = new Int32Array(this.size);
    this.at = new Array<Combination>(this.size);
    for (let k = this.count - size; k < this.count; k++) {
      const [i, j] = [k & (size - 1), k & (this.size - 1)];
      this.ticks[j] = before.ticks[i];
      this.settled[j] = before.settled[i];
      this.sides[j] = before.sides[i];
      this.given[j] = before.given[i];
      this.at[j] = at[i];
      this.states.set(before.states.subarray(i * nx, (i + 1) * nx), j * nx);
    }
  }
}
