// A run: how it ended, and its traces, worked out when asked for.
import { DesignError } from "../base/diagnostic.js";
import { wholeText } from "../base/span.js";
import type { Design } from "../design/design.js";
import { crossings } from "../measures/crossing.js";
import { risings } from "../signals/schedule.js";
import type { Ending } from "../stepping/sink.js";
import { Trace } from "../waveforms/trace.js";
import type { Assembly } from "./assemble.js";
import { reader, replay } from "./playback.js";
import { type Probe, probeOf, traceNames } from "./probe.js";
import type { Loss, Recording } from "./recording.js";

/** Counts of a run, for benches and the curious. */
export interface Statistics {
  /** Steps taken. */
  readonly steps: number;
  /** Steps tried and taken back, their error being too large. */
  readonly rejected: number;
  /** Instants at which something jumped or a mode changed. */
  readonly events: number;
  /** Combinations of modes met. */
  readonly combinations: number;
  /** Step matrices made. */
  readonly matrices: number;
}

/** A simulated run of one design in one case. */
export class Run {
  /** `complete` when the end was reached. */
  readonly status: "complete" | "stopped";
  /** Why the run stopped; empty when complete. */
  readonly reason: string;
  /** A stable word for the reason, e.g. `steps` or `source-loop`; empty when complete. */
  readonly code: string;
  /** The instant reached, s. */
  readonly reached: number;
  /** The end that was asked for, s. */
  readonly until: number;
  /** Counts of the run. */
  readonly statistics: Statistics;
  /** Energy lost where charge or flux was shared at an instant. */
  readonly losses: readonly Loss[];
  /** What is doubtful about the run, e.g. edges rounded to ticks. */
  readonly warnings: readonly string[];
  private readonly traces = new Map<string, Trace>();

  /** @internal */
  constructor(
    /** The design, in the case that was run. */
    readonly design: Design,
    /** @internal */
    readonly assembly: Assembly,
    /** @internal */
    readonly recording: Recording,
    ending: Ending,
    warnings: readonly string[],
  ) {
    const { clock } = assembly;
    this.status = ending.status;
    this.reason = ending.reason;
    this.code = ending.code;
    this.reached = clock.time(ending.reached);
    this.until = clock.time(clock.end);
    const { steps, rejected, events, matrices } = ending;
    this.statistics = {
      steps,
      rejected,
      events,
      matrices,
      combinations: assembly.system.combinations.length,
    };
    this.losses = recording.losses.map(({ tick, joules }) => ({ time: clock.time(tick), energy: joules }));
    this.warnings = warnings;
  }

  /** Every name that `trace` takes: places, and parts with `.current`, `.voltage`, `.power`. */
  get names(): string[] {
    return traceNames(this.design);
  }

  /**
   * The waveform of a place (volts against ground), or of a part by `name.current`, `name.voltage`, `name.power`
   * (amperes along its arrow, volts from tail to head, watts taken up).
   * @throws DesignError `unknown-trace` for a name that is not in the design, `no-samples` where nothing was recorded
   */
  trace(name: string): Trace {
    let trace = this.traces.get(name);
    if (!trace) {
      const { probe, unit } = probeOf(this.design, name);
      if (this.recording.count === 0) throw nothingRecorded(this.reason);
      trace = this.draw(name, unit, probe);
      this.traces.set(name, trace);
    }
    return trace;
  }

  /**
   * The instants (s) at which periods of a signal or place begin: its rises through half of its swing, of video 0H of
   * every line. Of video also `camera.lines`, `camera.fields` (the first broad pulse of each), `camera.frames` (that of
   * every first field) and `camera.pulses` (every sync pulse). Exact for a signal; read off the trace for any other place.
   */
  periods(name: string): Float64Array {
    const { clock } = this.assembly;
    const [, signal, beat] = name.match(/^(.*)\.(.*)$/) ?? [];
    for (const part of this.design.parts) {
      if (part.kind.word !== "signal" || !part.wave) continue;
      const counts =
        part.name === signal && part.wave.shape.kind === "ruled" && part.wave.shape.beats?.has(beat!);
      if (part.name !== name && !counts) continue;
      const starts = risings(part.wave, clock.tick.mul(clock.end), counts ? beat : undefined);
      return starts.filter((t) => t <= this.reached);
    }
    const trace = this.trace(name);
    if (trace.time.length < 2) return new Float64Array(0);
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const v of trace.value) {
      if (v < low) low = v;
      if (v > high) high = v;
    }
    const found = crossings(trace, trace.from, trace.to, (low + high) / 2);
    return Float64Array.from(found.flatMap((c) => (c.direction === "rising" ? [c.time] : [])));
  }

  private draw(name: string, unit: string, probe: Probe): Trace {
    const { assembly, recording } = this;
    const read = reader(assembly, probe);
    const { count, ticks } = recording;
    const value = new Float64Array(count);
    const slope = new Float64Array(count);
    let most = 0;
    replay(assembly, recording, assembly.inputs(), (m) => {
      const r = read(m);
      value[m.index] = r.value;
      slope[m.index] = r.slope;
      most = Math.max(most, Math.abs(r.value));
    });
    // Samples of one instant become one, or two where the value jumps by more than rounding.
    const time = new Float64Array(count);
    const before = new Float64Array(count);
    let kept = 0;
    for (let i = 0; i < count; ) {
      let last = i;
      while (last + 1 < count && ticks[last + 1] === ticks[i]) last++;
      const t = assembly.clock.time(ticks[i]!);
      const [first, after, rateBefore, rateAfter] = [value[i]!, value[last]!, slope[i]!, slope[last]!];
      if (Math.abs(after - first) > 1e-12 * most) {
        time[kept] = t;
        value[kept] = first;
        before[kept] = rateBefore;
        slope[kept++] = rateBefore;
        time[kept] = t;
        value[kept] = after;
        before[kept] = rateAfter;
        slope[kept++] = rateAfter;
      } else {
        time[kept] = t;
        value[kept] = after;
        before[kept] = rateBefore;
        slope[kept++] = rateAfter;
      }
      i = last + 1;
    }
    return new Trace({
      name,
      unit,
      time: time.slice(0, kept),
      value: value.slice(0, kept),
      slope: slope.slice(0, kept),
      slopeBefore: before.slice(0, kept),
    });
  }
}

function nothingRecorded(reason: string): DesignError {
  const message = `the run has no samples${reason ? `: ${reason}` : ""}`;
  const hint = "a run that is streamed, or stopped at its start, keeps none";
  return new DesignError([{ code: "no-samples", severity: "error", message, span: wholeText, hint }]);
}
