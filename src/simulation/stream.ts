// Streaming: instead of keeping the samples of a run, hand them on in blocks, so that memory stays flat however long
// the run is. A block holds the instants and the values of the traces asked for.
import type { Combination } from "../equations/system.js";
import type { Inputs } from "../stepping/inputs.js";
import type { StepSink } from "../stepping/sink.js";
import type { Assembly } from "./assemble.js";
import { type Reader, replay } from "./playback.js";
import { type Loss, Recording } from "./recording.js";

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
  private readonly inputs: Inputs;
  private readonly losses: Loss[] = [];
  private readonly time: Float64Array;
  private readonly values: readonly Float64Array[];

  /** @param readers one for each trace */
  constructor(
    private readonly assembly: Assembly,
    private readonly readers: readonly Reader[],
    private readonly recording: Recording,
    private readonly to: (block: Block) => void,
    private readonly size: number,
  ) {
    this.held = new Recording(
      assembly.system.states.length,
      0,
      Number.POSITIVE_INFINITY,
      Number.POSITIVE_INFINITY,
      size,
    );
    this.inputs = assembly.inputs();
    this.time = new Float64Array(size);
    this.values = readers.map(() => new Float64Array(size));
  }

  sample(n: number, side: 0 | 1, at: Combination, x: Float64Array, damped: boolean): boolean {
    if (!this.recording.within(n)) return true;
    this.held.sample(n, side, at, x, damped);
    if (this.held.count === this.size) this.flush();
    return true;
  }

  loss(tick: number, joules: number): void {
    this.losses.push({ time: this.assembly.clock.time(tick), energy: joules });
  }

  /** Hands on what is left. */
  flush(): void {
    const { assembly, held, readers, time, values } = this;
    const { count } = held;
    if (count === 0 && this.losses.length === 0) return;
    replay(assembly, held, this.inputs, (m) => {
      time[m.index] = assembly.clock.time(m.tick);
      for (let i = 0; i < readers.length; i++) values[i]![m.index] = readers[i]!(m).value;
    });
    held.count = 0;
    const whole = count === this.size;
    this.to({
      time: whole ? time : time.subarray(0, count),
      losses: this.losses.splice(0),
      values: whole ? values : values.map((v) => v.subarray(0, count)),
    });
  }
}
