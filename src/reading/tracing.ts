// Traces of a recording. A trace has a sample at every end of a leap or step, and inside a leap as many as its cubic
// needs to be true: each trace for itself, at instants worked out with the matrices of the march.
// Always: at a jump by more than rounding there are two samples; what a trace shows does not depend on the traces that
// are drawn beside it.

import type { Assembly } from "../assembly/assemble.js";
import { Trace } from "../waveforms/trace.js";
import {
  allowedError,
  cubicAt,
  missesCubic,
  mostPartings,
  partingShare,
  roundingShare,
  traceAccuracy,
  type ValueRange,
  widen,
} from "./accuracy.js";
import { impulsesOf } from "./impulses.js";
import { type ProbeView, viewOf } from "./leapview.js";
import type { Probe } from "./probe.js";
import type { Recording } from "./recording.js";

/** What to draw. */
export interface TraceRequest {
  readonly name: string;
  readonly unit: string;
  readonly probe: Probe;
}

/** A stretch of time, in ticks. */
export interface TickSpan {
  readonly from: number;
  readonly to: number;
}

/** How a trace is drawn. */
export interface TraceOptions {
  /** The stretches to draw, in ticks, apart and in order; absent: all that is recorded. Between them a trace shows nothing. */
  readonly parts?: readonly TickSpan[];
  /** How far a cubic may be from the truth, as a share of the trace's swing. */
  readonly within?: number;
}

/** Draws traces from a recording that has samples. */
export function drawTraces(
  assembly: Assembly,
  recording: Recording,
  wanted: readonly TraceRequest[],
  { parts, within = traceAccuracy }: TraceOptions = {},
): Trace[] {
  const spans = parts ? parts.map((part) => recording.span(part)) : [recording.span()];
  return wanted.map((one) => {
    const pen = new Pen(assembly, recording, one, within);
    for (const { from, to } of spans) pen.draw(from, to);
    return pen.trace();
  });
}

/** Samples of a trace as they come. */
class Knots {
  count = 0;
  time = new Float64Array(1024);
  value = new Float64Array(1024);
  /** Slope just after and just before. */
  slope = new Float64Array(1024);
  before = new Float64Array(1024);

  add(time: number, value: number, slope: number): void {
    if (this.count === this.time.length) this.grow();
    const i = this.count++;
    this.time[i] = time;
    this.value[i] = value;
    this.before[i] = slope;
    this.slope[i] = slope;
  }

  private grow(): void {
    for (const key of ["time", "value", "slope", "before"] as const) {
      const wider = new Float64Array(2 * this[key].length);
      wider.set(this[key]);
      this[key] = wider;
    }
  }
}

/** Draws one trace. */
class Pen {
  private readonly sight: ProbeView;
  private readonly knots = new Knots();
  private readonly second: number;
  private readonly swing: ValueRange = { low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY };

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly wanted: TraceRequest,
    private readonly within: number,
  ) {
    this.sight = viewOf(assembly, recording, wanted.probe);
    this.second = assembly.clock.seconds;
  }

  draw(from: number, to: number): void {
    const { recording, sight } = this;
    if (recording.exact) this.survey(from, to);
    let last = -1;
    for (const stretch of sight.stretches(from, to)) {
      let start = recording.exact ? Math.max(from, stretch.from) : stretch.from;
      const end = recording.exact ? Math.min(to, stretch.to) : stretch.to;
      for (const corner of sight.enter(stretch)) {
        if (corner <= start || corner >= end) continue;
        this.piece(start, corner);
        start = corner;
      }
      this.piece(start, end);
      last = stretch.end;
    }
    // What the last sample says of how it would go on: a jump at the end is shown.
    const index = recording.last(last < 0 ? from : recording.tick(last));
    const tick = recording.tick(index);
    if (last >= 0 && tick > to) return;
    sight.enter({ index, end: index, from: tick, to: tick });
    this.look(tick, 1);
    this.meet(tick);
  }

  trace(): Trace {
    const { name, unit, probe } = this.wanted;
    const { knots } = this;
    const impulses = impulsesOf(this.assembly, this.recording, probe);
    const cut = (of: Float64Array) => of.slice(0, knots.count);
    return new Trace({
      name,
      unit,
      time: cut(knots.time),
      value: cut(knots.value),
      slope: cut(knots.slope),
      slopeBefore: cut(knots.before),
      ...(impulses && { impulses }),
    });
  }

  /** The swing, as far as the ends of stretches show it. */
  private survey(from: number, to: number): void {
    for (const stretch of this.sight.stretches(from, to)) {
      this.sight.enter(stretch);
      this.look(stretch.from, 1);
      this.look(stretch.to, 0);
    }
  }

  /** One piece of a stretch on which nothing has a corner. */
  private piece(from: number, to: number): void {
    const { sight } = this;
    this.look(from, 1);
    this.meet(from);
    const { value, slope } = sight;
    this.look(to, 0);
    if (this.recording.exact) this.refine(from, value, slope, to, sight.value, sight.slope, 0);
    else this.knots.add(this.assembly.clock.time(to), sight.value, sight.slope);
  }

  /** Adds what lies behind `from`, up to `to`. */
  private refine(
    from: number,
    v0: number,
    s0: number,
    to: number,
    v1: number,
    s1: number,
    depth: number,
  ): void {
    const length = to - from;
    const step = Math.floor(partingShare * length);
    if (step > 0 && depth < mostPartings) {
      this.look(from + step, 1);
      const { value, slope } = this.sight;
      const h = length * this.second;
      const guess = cubicAt(v0, h * s0, v1, h * s1, step / length);
      const allowed = allowedError(this.swing, this.within);
      if (missesCubic(guess, value, slope, h, allowed, this.grain)) {
        this.refine(from, v0, s0, from + step, value, slope, depth + 1);
        this.refine(from + step, value, slope, to, v1, s1, depth + 1);
        return;
      }
    }
    this.knots.add(this.assembly.clock.time(to), v1, s1);
  }

  private readonly grain = () => this.sight.grain();

  private look(tick: number, side: 0 | 1): void {
    this.sight.look(tick, side);
    widen(this.swing, this.sight.value);
  }

  /** What is seen at the start of a piece meets the end of the one before, or jumps. */
  private meet(tick: number): void {
    const { knots, swing, sight } = this;
    const time = this.assembly.clock.time(tick);
    const i = knots.count - 1;
    const rounding = roundingShare * Math.max(Math.abs(swing.low), Math.abs(swing.high));
    const apart = Math.abs(knots.value[i] - sight.value) > rounding;
    // Nothing at all and the rounding of nothing stay apart: a diode that blocks carries nothing.
    const parted = (knots.value[i] === 0) !== (sight.value === 0);
    if (i < 0 || time > knots.time[i] || apart || parted) knots.add(time, sight.value, sight.slope);
    else knots.slope[i] = sight.slope;
  }
}
