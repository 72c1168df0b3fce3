// Streaming: instead of keeping the samples of a run, hand them on in blocks, so that memory stays flat however long
// the run is. A block holds the instants and the values of the traces asked for.

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Probe } from "../reading/probe.js";
import { type Loss, Recording } from "../reading/recording.js";
import { Tabulation } from "../reading/tabulation.js";
import type { Side, StepSink } from "../stepping/sink.js";

/** A stretch of samples. Its arrays are used again for the next block: copy what you keep. */
export interface Block {
  /** Seconds, never decreasing; both sides of an instant at which something may jump. */
  readonly time: Float64Array;
  /** What was lost where charge or flux was shared, since the block before. */
  readonly losses: readonly Loss[];
  /** Values by trace, in the order asked for, as long as `time`. */
  readonly values: readonly Float64Array[];
}

/** Who takes the blocks. */
export interface Streaming {
  /** Names of traces, as `Run.trace` takes them. */
  readonly traces: readonly string[];
  /** Called with each block, in the order of time. */
  readonly block: (block: Block) => void;
  /** Samples a block, 8192 unless given. */
  readonly size?: number;
}

/** Gathers samples and hands them on when there are enough. */
export class Stream implements StepSink {
  private readonly held: Recording;
  private readonly losses: Loss[] = [];
  private readonly strip: Tabulation;
  private readonly time: Float64Array;
  private readonly values: readonly Float64Array[];
  private filled = 0;

  /**
   * @param probes one for each trace
   * @param from first tick handed on
   * @param to last tick handed on
   * @param exact samples are ends of leaps
   */
  constructor(
    private readonly assembly: Assembly,
    probes: readonly Probe[],
    private readonly from: number,
    private readonly to: number,
    exact: boolean,
    private readonly hand: (block: Block) => void,
    private readonly size: number,
  ) {
    this.held = new Recording(
      assembly.system.states.length,
      Number.NEGATIVE_INFINITY,
      Number.POSITIVE_INFINITY,
      Number.POSITIVE_INFINITY,
      exact,
      // Some more, for the samples of one instant.
      size + 16,
    );
    this.strip = new Tabulation(assembly, this.held, probes);
    this.time = new Float64Array(size);
    this.values = probes.map(() => new Float64Array(size));
  }

  sample(n: number, side: Side, at: Combination, x: Float64Array, given: number): boolean {
    this.held.sample(n, side, at, x, given);
    // A block of samples ends between instants, so that a jump is not torn apart.
    if (this.held.kept >= this.size && this.held.ticks[this.held.kept - 2] < n) this.play(false);
    return true;
  }

  loss(tick: number, joules: number): void {
    this.losses.push({ time: this.assembly.clock.time(tick), energy: joules });
  }

  /** Hands on what is left. */
  flush(): void {
    this.play(true);
    this.release();
  }

  /** Plays what is held; its last sample begins what comes next, unless it is the `end`. */
  private play(end: boolean): void {
    const { held, strip } = this;
    if (held.count === 0) return;
    strip.play(this.from, this.to, end, this.take);
    held.keepLast();
  }

  private readonly take = (tick: number, values: ArrayLike<number>): void => {
    const i = this.filled++;
    this.time[i] = this.assembly.clock.time(tick);
    for (let k = 0; k < this.values.length; k++) this.values[k][i] = values[k];
    if (this.filled === this.size) this.release();
  };

  private release(): void {
    const { filled, size, time, values } = this;
    if (filled === 0 && this.losses.length === 0) return;
    const whole = filled === size;
    this.filled = 0;
    this.hand({
      time: whole ? time : time.subarray(0, filled),
      losses: this.losses.splice(0),
      values: whole ? values : values.map((v) => v.subarray(0, filled)),
    });
  }
}
