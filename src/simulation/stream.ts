// Streaming: hands the samples of a run on in blocks instead of keeping them, so that memory stays flat however long
// the run is. A block holds the instants and the values of the traces asked for.

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Probe } from "../reading/probe.js";
import { type Loss, Recording } from "../reading/recording.js";
import { type ProbeRow, Tabulation } from "../reading/tabulation.js";
import type { Side, StepSink } from "../stepping/sink.js";

/** A stretch of samples. Its arrays are reused for the next block: copy what you keep. */
export interface Block {
  /** Seconds, never decreasing; both sides of an instant at which something may jump. */
  readonly time: Float64Array;
  /** Energy lost where charge or flux was shared, since the block before. */
  readonly losses: readonly Loss[];
  /** Values by trace, in the order asked for, as long as `time`. */
  readonly values: readonly Float64Array[];
}

/** The recipient of the blocks. */
export interface Streaming {
  /** Names of traces, as `Run.trace` takes them. */
  readonly traces: readonly string[];
  /** Called with each block, in the order of time. */
  readonly block: (block: Block) => void;
  /** Samples a block, 8192 unless given. */
  readonly size?: number;
}

/** What to stream of a run. */
interface StreamOptions extends Omit<Streaming, "traces"> {
  /** One for each trace. */
  readonly probes: readonly Probe[];
  /** First and last tick handed on. */
  readonly from: number;
  readonly to: number;
  /** Whether samples are ends of leaps. */
  readonly exact: boolean;
}

/** Collects samples and hands them on in blocks. */
export class Stream implements StepSink {
  private readonly size: number;
  private readonly held: Recording;
  private readonly losses: Loss[] = [];
  private readonly table: Tabulation;
  private readonly time: Float64Array;
  private readonly values: readonly Float64Array[];
  private filled = 0;

  constructor(
    private readonly assembly: Assembly,
    private readonly options: StreamOptions,
  ) {
    const { probes, exact, size = 8192 } = options;
    this.size = size;
    // A few more, for samples at the same instant.
    this.held = new Recording(assembly.system.states.length, { exact, size: size + 16 });
    this.table = new Tabulation(assembly, this.held, probes, (row) => this.add(row));
    this.time = new Float64Array(size);
    this.values = probes.map(() => new Float64Array(size));
  }

  sample(n: number, side: Side, at: Combination, x: Float64Array, given: number): boolean {
    this.held.sample(n, side, at, x, given);
    const { ticks, count } = this.held.samples;
    // A block of samples ends between instants, so that a jump is not torn apart.
    if (count >= this.size && ticks[count - 2] < n) this.play(false);
    return true;
  }

  loss(tick: number, joules: number): void {
    this.losses.push({ time: this.assembly.clock.time(tick), energy: joules });
  }

  /** Hands on the rest. */
  flush(): void {
    this.play(true);
    this.release();
  }

  /** Plays the samples held; the last one begins what comes next, unless this is the `end`. */
  private play(end: boolean): void {
    const { samples } = this.held;
    if (samples.count === 0) return;
    this.table.play(this.options.from, this.options.to, end);
    samples.release(samples.count - 1);
  }

  private add({ tick, seen }: ProbeRow): void {
    const i = this.filled++;
    this.time[i] = this.assembly.clock.time(tick);
    for (let k = 0; k < seen.length; k++) this.values[k][i] = seen[k].value;
    if (this.filled === this.size) this.release();
  }

  private release(): void {
    const { filled, size, time, values } = this;
    if (filled === 0 && this.losses.length === 0) return;
    const whole = filled === size;
    this.filled = 0;
    this.options.block({
      time: whole ? time : time.subarray(0, filled),
      losses: this.losses.splice(0),
      values: whole ? values : values.map((v) => v.subarray(0, filled)),
    });
  }
}
