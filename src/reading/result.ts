// A run: how it ended, and its traces, computed when asked for.

import type { Assembly } from "../assembly/assemble.js";
import { beatOf } from "../assembly/each.js";
import { type DesignError, refusal } from "../base/diagnostic.js";
import { handedText } from "../base/handed.js";
import type { Design } from "../design/design.js";
import type { TimeSpan } from "../measures/window.js";
import { type PeriodStarts, periodStarts } from "../signals/periodstarts.js";
import type { Ending } from "../stepping/sink.js";
import type { Trace } from "../waveforms/trace.js";
import { eventsOf, type ModeEvent } from "./events.js";
import { viewOf } from "./leapview.js";
import { type Probe, probeOf, traceNames } from "./probe.js";
import { manySamples, Reaches } from "./reaches.js";
import type { Loss, Recording } from "./recording.js";
import { counting, risings } from "./risings.js";
import type { RunSummary, Statistics } from "./runsummary.js";
import type { TickSpan } from "./surveying.js";
import { drawTraces } from "./tracing.js";
import type { ProbeView } from "./view.js";

/** How far the curve of a picture may be off, as a share of the swing. */
const coarse = 3e-4;
/** The most names whose view is kept for the next stretch asked for. */
const mostViews = 8;

/** By this name consoles ask an object what to show of it. */
const shownByConsole: unique symbol = Symbol.for("nodejs.util.inspect.custom");

/** How a run was made. */
interface RunSource {
  readonly design: Design;
  readonly assembly: Assembly;
  readonly recording: Recording;
  readonly ending: Ending;
  readonly start: "steady" | "rest" | "settled";
  /** Called once, when asked for. */
  readonly warnings: () => readonly string[];
  /** How far a trace may be off, as a share of its swing. */
  readonly within: number;
  /** The most periods of a signal that are listed. */
  readonly mostPeriods: number;
}

/**
 * A simulated run of one design in one case.
 *
 * @category Runs
 */
export class Run implements Omit<RunSummary, "title" | "case"> {
  // What consoles call it, where a bundle has shortened the name.
  static {
    Object.defineProperty(Run, "name", { value: "Run" });
  }
  /** The design, in the case that was run. */
  readonly design: Design;
  /** @internal */
  readonly assembly: Assembly;
  /** @internal */
  readonly recording: Recording;
  readonly status: "complete" | "stopped";
  readonly reason: string;
  readonly code: string;
  readonly reached: number;
  readonly until: number;
  readonly start: "steady" | "rest" | "settled";
  readonly statistics: Statistics;
  // Caches of what has been asked for.
  private readonly traces = new Map<string, Trace>();
  private readonly begins = new Map<string, Float64Array>();
  private readonly views = new Map<string, ProbeView>();
  private lost: readonly Loss[] | undefined = undefined;
  private changed: readonly ModeEvent[] | undefined = undefined;
  private told: readonly string[] | undefined = undefined;

  /** @internal */
  constructor(private readonly source: RunSource) {
    const { design, assembly, recording, start, ending } = source;
    this.design = design;
    this.assembly = assembly;
    this.recording = recording;
    this.start = start;
    this.status = ending.status;
    this.reason = ending.reason;
    this.code = ending.code;
    this.reached = assembly.clock.time(ending.reached);
    this.until = assembly.clock.time(assembly.clock.end);
    const { steps, rejected, events, matrices } = ending;
    const combinations = assembly.system.combinations.length;
    this.statistics = { steps, rejected, events, matrices, combinations };
  }

  /** The run without its waveforms, as plain data: what `JSON.stringify` writes. A run itself cannot be cloned. */
  toJSON(): RunSummary {
    const { status, reason, code, reached, until, start, statistics, warnings, losses, names } = this;
    const ended = { status, reason, code, reached, until, start, statistics };
    return { title: this.design.title, case: this.design.caseName, ...ended, warnings, losses, names };
  }

  /** @internal What `console.log` shows of it: all that it holds would be hundreds of lines. */
  [shownByConsole](): RunSummary {
    return this.toJSON();
  }

  /** What is doubtful about the run, e.g. edges rounded to ticks. Computed when first asked for, which may take a moment. */
  get warnings(): readonly string[] {
    this.told ??= this.source.warnings();
    return this.told;
  }

  get losses(): readonly Loss[] {
    const { clock } = this.assembly;
    this.lost ??= Array.from(this.recording.lost(), ({ tick, joules }) => ({
      time: clock.time(tick),
      energy: joules,
    }));
    return this.lost;
  }

  /**
   * Every recorded change of a part's mode, in order of time: switches that close, diodes that conduct, outputs that reach a
   * limit. Two modes in which the whole circuit moves alike are told apart only where that matters to the run.
   *
   * @example
   * ```ts
   * const closings = run.events.filter(({ part, to }) => part === "reset" && to === "closed");
   * ```
   */
  get events(): readonly ModeEvent[] {
    this.changed ??= eventsOf(this.assembly, this.recording);
    return this.changed;
  }

  /** Every name that `trace` takes: places, and parts with `.current`, `.voltage`, `.power`, some with `.clipping`. */
  get names(): string[] {
    return traceNames(this.design);
  }

  /**
   * The waveform of a place (volts against ground), or of a part by `name.current`, `name.voltage`, `name.power`
   * (amperes along its arrow, volts from tail to head, watts taken up); of a part whose output has limits also
   * `name.clipping`, 1 where it stands at one of them and 0 elsewhere.
   * @throws DesignError `unknown-trace` for a name that is not in the design, `no-limits` for `.clipping` of a part
   * whose output has none, `no-samples` where nothing was recorded, `waveform-too-long` where the samples need more room than
   * `limits.bytes`
   */
  trace(name: string): Trace {
    return this.draw([name])[0];
  }

  /**
   * Waveforms of several names, in their order: drawn together, which is much faster than one by one.
   * @throws DesignError as `trace`
   */
  draw(names: readonly string[]): Trace[] {
    for (const name of names) handedText(name, "name");
    const missing = names.filter((name) => !this.traces.has(name));
    for (const [name, trace] of this.drawn(missing)) this.traces.set(name, trace);
    return names.map((name) => this.traces.get(name)!);
  }

  /**
   * The waveform of a name for measures that need only its lowest and highest values in some windows, between two instants (s) or
   * over the whole run: like that of `draw` or `stretch`, except that a long one stays coarse where it cannot set an extreme.
   * @param windows disjoint and in order, s; called only if the waveform is long
   * @throws DesignError as `trace`
   * @internal
   */
  outermost(name: string, windows: () => readonly TimeSpan[], span?: TimeSpan): Trace {
    const known = span ? undefined : this.traces.get(name);
    if (known) return known;
    const { seconds } = this.assembly.clock;
    const inTicks = () => windows().map(({ from, to }) => ({ from: from / seconds, to: to / seconds }));
    const parts = span && [this.ticksOf(span.from, span.to)];
    const trace = this.drawn([name], parts, undefined, new Reaches(inTicks)).get(name)!;
    if (!span && trace.time.length <= manySamples) this.traces.set(name, trace);
    return trace;
  }

  /**
   * Waveforms of several names between two instants (s), in their order. Of a long run that is much faster than `draw`. They
   * are not kept; those of steps reach one sample beyond both instants.
   * @throws DesignError as `trace`
   */
  stretch(names: readonly string[], from: number, to: number): Trace[] {
    return this.patches(names, [{ from, to }]);
  }

  /**
   * The same, as fine as a picture needs: true to 3e-4 of their swing there.
   * @throws DesignError as `trace`
   */
  sketch(names: readonly string[], from: number, to: number): Trace[] {
    return this.parts(names, [this.ticksOf(from, to)], coarse);
  }

  /**
   * The same over several separate stretches (s), in order; between them a trace shows nothing.
   * @throws DesignError as `trace`
   * @internal
   */
  patches(
    names: readonly string[],
    spans: readonly { readonly from: number; readonly to: number }[],
  ): Trace[] {
    return this.parts(
      names,
      spans.map(({ from, to }) => this.ticksOf(from, to)),
    );
  }

  /**
   * The same as fine as a picture needs.
   * @internal
   */
  sketches(
    names: readonly string[],
    spans: readonly { readonly from: number; readonly to: number }[],
  ): Trace[] {
    const parts = spans.map(({ from, to }) => this.ticksOf(from, to));
    return this.parts(names, parts, coarse);
  }

  /**
   * The same about single instants (s), in order, with nothing between them. For a run of steps the whole traces.
   * @internal
   */
  glimpses(names: readonly string[], instants: Iterable<number>): Trace[] {
    if (!this.recording.exact) return this.draw(names);
    const parts: TickSpan[] = [];
    for (const t of instants) {
      const { from, to } = this.ticksOf(t, t);
      const last = parts.at(-1);
      if (last && from <= last.to) parts[parts.length - 1] = { from: last.from, to: Math.max(last.to, to) };
      else parts.push({ from, to });
    }
    return this.parts(names, parts);
  }

  /** Ticks about a stretch in seconds: a few more on either side, since seconds are rounded. */
  private ticksOf(from: number, to: number): TickSpan {
    const tick = this.assembly.clock.seconds;
    return { from: Math.floor(from / tick) - 4, to: Math.ceil(to / tick) + 4 };
  }

  private parts(names: readonly string[], parts: readonly TickSpan[], within?: number): Trace[] {
    const found = this.drawn(names, parts, within);
    return names.map((name) => found.get(name)!);
  }

  /** Traces by name. @param parts absent: the whole recording */
  private drawn(
    names: readonly string[],
    parts?: readonly TickSpan[],
    within = this.source.within,
    reaches?: Reaches,
  ): Map<string, Trace> {
    const wanted = [...new Set(names)].map((name) => ({ name, ...probeOf(this.design, name) }));
    if (wanted.length === 0) return new Map();
    if (this.recording.count === 0) throw nothingRecorded(this.reason);
    const viewed = wanted.map((one) => ({
      ...one,
      view: this.viewed(one.name, one.probe, parts !== undefined),
      reaches,
    }));
    const drawn = drawTraces(this.assembly, this.recording, viewed, { parts, within });
    return new Map(drawn.map((trace) => [trace.name, trace]));
  }

  /** A probe along the recording. @param again whether more stretches of it may be asked for */
  private viewed(name: string, probe: Probe, again: boolean): ProbeView {
    const known = this.views.get(name);
    if (known) return known;
    const view = viewOf(this.assembly, this.recording, probe);
    if (again && this.views.size < mostViews) this.views.set(name, view);
    return view;
  }

  /**
   * The instants (s) at which periods of a signal or place begin: its rises through half of its swing; for video 0H of every
   * line. For video also `camera.lines`, `camera.fields` (the first broad pulse of each), `camera.frames` (that of every first
   * field) and `camera.pulses` (every sync pulse). Exact for a signal; read off the trace for any other place.
   */
  periods(name: string): Float64Array {
    const known = this.begins.get(name);
    if (known) return known.slice();
    const found = this.countPeriods(name);
    this.begins.set(name, found);
    return found.slice();
  }

  /**
   * The same for a signal, without a list of them; undefined where the name is that of a place.
   * @internal
   */
  marks(name: string): PeriodStarts | undefined {
    const { clock } = this.assembly;
    const counted = beatOf(this.design, name);
    if (!counted) return undefined;
    const { signal, beat } = counted;
    const until = clock.tick.mul(clock.end);
    return counting(name, () => periodStarts(signal.wave!, until, beat, this.source.mostPeriods)).upTo(
      this.reached,
    );
  }

  private countPeriods(name: string): Float64Array {
    const counted = this.marks(name);
    if (counted) return counted.all();
    return risings(this.trace(name));
  }
}

function nothingRecorded(reason: string): DesignError {
  const message = `the run has no samples${reason ? `: ${reason}` : ""}`;
  const hint = "a run that is streamed, or stopped at its start, keeps none";
  return refusal("no-samples", message, hint);
}
