// Traces of a recording. A trace has a sample at every end of a leap or step, and inside a leap as many as its cubics need. Each
// trace has its own, at instants computed with the matrices of the march, so it does not depend on the traces drawn beside it. A
// jump larger than rounding gives two samples.

import type { Assembly } from "../assembly/assemble.js";
import { type DesignError, refusal } from "../base/diagnostic.js";
import { Trace } from "../waveforms/trace.js";
import {
  anyOff,
  CubicJudge,
  furtherOf,
  furtherShares,
  mostPartings,
  nothingSeen,
  partingShare,
  type Seen,
  traceAccuracy,
} from "./accuracy.js";
import { blocksOf } from "./blocks.js";
import { impulsesOf } from "./impulses.js";
import { Knots } from "./knots.js";
import { LeapPen } from "./leappen.js";
import { viewOf } from "./leapview.js";
import type { Probe } from "./probe.js";
import { manySamples, type Reaches } from "./reaches.js";
import type { Recording } from "./recording.js";
import { SampledCurve } from "./sampledcurve.js";
import { surveyed, type TickSpan } from "./surveying.js";
import type { ProbeView, StretchView } from "./view.js";

/** What to draw. */
interface TraceRequest {
  readonly name: string;
  readonly unit: string;
  readonly probe: Probe;
  /** The probe along the recording, where it is at hand. */
  readonly view?: ProbeView;
  /** Set where only the lowest and highest values in some windows are looked at. */
  readonly reaches?: Reaches;
}

/** How a trace is drawn. */
interface TraceOptions {
  /** The stretches to draw, in ticks, separate and in order; absent: the whole recording. Between them a trace shows nothing. */
  readonly parts?: readonly TickSpan[];
  /** How far a cubic may be off, as a share of the trace's swing. */
  readonly within?: number;
}

/** A piece in which a carrier turns more often than this is drawn in blocks. */
const manyTurns = 16;

/**
 * A part that took so many samples rings, and what follows is drawn in blocks of its length: looks into these are worked out once.
 * A block that takes fewer than the second shows that it has died away.
 */
const many = 64;
const fewest = 8;

/** The fewest bytes of a sample of a trace: a time and a value. */
const leastBytes = 16;

/** Draws traces from a recording that has samples. */
export function drawTraces(
  assembly: Assembly,
  recording: Recording,
  wanted: readonly TraceRequest[],
  { parts, within = traceAccuracy }: TraceOptions = {},
): Trace[] {
  // Refuse at once: drawing something that repeats without end would take long to run out of room.
  if (!parts && wanted.length > 0 && recording.count * leastBytes > recording.room)
    throw tooLong(wanted[0].name);
  const spans = parts ? parts.map((part) => recording.span(part)) : [recording.span()];
  return wanted.map((one) => {
    const pen = new Pen(assembly, recording, one, spans, within);
    if (recording.exact) pen.survey(spans);
    for (const { from, to } of spans) pen.draw(from, to);
    return pen.trace();
  });
}

/** Draws one trace. */
class Pen {
  private readonly view: ProbeView;
  private readonly knots: Knots;
  private readonly judge: CubicJudge;
  private readonly leaps: LeapPen;
  /** The start of the piece in hand. */
  private onset = 0;
  /** Looks in hand, by how often their stretch has been parted; the first two are its ends. */
  private readonly looks: Seen[] = [];
  private readonly blockEnds = [nothingSeen(), nothingSeen()];
  /** Where what is drawn has turned out to ring: the length of a block of a few turns, in ticks; else Infinity. */
  private ring = Number.POSITIVE_INFINITY;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly asked: TraceRequest,
    spans: readonly TickSpan[],
    within: number,
  ) {
    const { clock } = assembly;
    const beyond = () => {
      throw tooLong(asked.name);
    };
    const ticks = { from: spans[0].from, to: spans[spans.length - 1].to };
    this.knots = new Knots(recording.room, beyond, {
      from: clock.time(ticks.from),
      to: clock.time(ticks.to),
    });
    this.view = asked.view ?? viewOf(assembly, recording, asked.probe);
    this.judge = new CubicJudge(within, assembly.clock.seconds);
    this.leaps = new LeapPen(this.judge, this.knots, assembly.clock);
  }

  /** Finds the swing from some leaps. A larger one is met later; until then the curve is drawn finer than needed. */
  survey(spans: readonly TickSpan[]): void {
    for (const leap of surveyed(this.recording, spans)) {
      const inside = this.view.enter(leap);
      this.look(inside, leap.from, 1, 0);
      this.look(inside, leap.to, 0, 1);
    }
  }

  draw(from: number, to: number): void {
    const { recording, view } = this;
    const { exact } = recording;
    let last = -1;
    let blur = 0;
    for (const stretch of view.stretches(from, to)) {
      const inside = view.enter(stretch);
      let start = exact ? Math.max(from, stretch.from) : stretch.from;
      const end = exact ? Math.min(to, stretch.to) : stretch.to;
      for (const corner of inside.pieces.corners(start, end)) {
        this.piece(inside, start, corner);
        start = corner;
      }
      this.piece(inside, start, end);
      last = stretch.end;
      if (stretch.to >= to) blur = inside.blur();
    }
    // The last sample also tells how it would go on: a jump at the end is shown.
    const index = recording.last(last < 0 ? from : recording.tick(last));
    const tick = recording.tick(index);
    if (last >= 0 && tick > to) return;
    const inside = view.enter({ index, end: index, from: tick, to: tick });
    this.meet(this.look(inside, tick, 1, 0), blur);
  }

  trace(): Trace {
    const { knots } = this;
    const { name, unit, probe } = this.asked;
    const impulses = impulsesOf(this.assembly, this.recording, probe);
    const curve = this.recording.exact ? new SampledCurve(this.assembly, this.recording, probe) : undefined;
    return new Trace({
      name,
      unit,
      time: knots.column("time"),
      value: knots.column("value"),
      slope: knots.column("after"),
      slopeBefore: knots.column("slope"),
      exact: this.recording.exact,
      impulses,
      curve: curve && ((time) => curve.at(time)),
      gathered: impulses ? undefined : this.charged(probe),
    });
  }

  /** The charge that flows into a capacitor of constant size is its gain in voltage times that size. */
  private charged(probe: Probe): ((from: number, to: number) => number) | undefined {
    const { assembly, recording } = this;
    const { members, states } = assembly.system;
    if (!recording.exact || probe.type !== "current" || members[probe.part].device.modes.length > 1)
      return undefined;
    const state = states.find(({ part, type }) => part === probe.part && type === "capacitor");
    if (!state) return undefined;
    const volts = new SampledCurve(assembly, recording, { type: "voltage", part: probe.part });
    return (from, to) => {
      const before = volts.at(from).value;
      return state.size * (volts.reached(to) - before);
    };
  }

  /** One piece of a stretch on which nothing has a corner. */
  private piece(inside: StretchView, from: number, to: number): void {
    this.onset = from;
    this.ring = Number.POSITIVE_INFINITY;
    inside.piece(from, to);
    const start = this.look(inside, from, 1, 0);
    this.meet(start);
    const end = this.look(inside, to, 0, 1);
    const { opening } = inside;
    if (!this.recording.exact) this.add(end);
    else if (this.sparing && to - from <= manyTurns * inside.turn) this.refine(inside, start, end, 0);
    else if (opening?.from === from && opening.to === to && this.leaps.follow(opening, start, end)) return;
    else if (start.tick > from) this.refine(inside, start, end, 0);
    else this.fill(inside, start, end);
  }

  /** Adds the samples after `a`, up to `b`, on a piece without a plan. */
  private fill(inside: StretchView, a: Seen, b: Seen): void {
    const { recurring } = inside;
    if (recurring?.plain && recurring.from === a.tick && recurring.to === b.tick)
      this.leaps.draw(recurring, a, b);
    else if (b.tick - a.tick > manyTurns * inside.turn) this.along(inside, a, b, 0);
    else this.refine(inside, a, b, 0);
  }

  /**
   * The same where something turns many times: in blocks that resemble each other.
   * @param depth how often the piece has been parted
   */
  private along(inside: StretchView, a: Seen, b: Seen, depth: number): void {
    const { blockEnds, knots, ring } = this;
    const rings = ring < Number.POSITIVE_INFINITY;
    let last = Object.assign(blockEnds[0], a);
    for (const block of blocksOf(inside, a.tick, b.tick, rings ? ring : inside.turn)) {
      const seen = this.look(inside, block.to, 0, depth + 2);
      const next = Object.assign(blockEnds[last === blockEnds[0] ? 1 : 0], seen);
      const before = knots.count;
      // Beside a carrier blocks are short because it turns, else because what holds them was parted so often.
      const outer = rings ? depth + Math.log2((b.tick - a.tick) / (block.to - block.from)) : 0;
      this.leaps.draw(block, last, next, outer);
      last = next;
      if (rings && knots.count - before < fewest) {
        this.ring = Number.POSITIVE_INFINITY;
        break;
      }
    }
    // Beside a source that is not in z there are no blocks.
    if (last.tick === a.tick) this.ring = Number.POSITIVE_INFINITY;
    if (last.tick < b.tick) this.refine(inside, { ...last }, b, depth);
  }

  /** Adds the samples after `a`, up to `b`. */
  private refine(inside: StretchView, a: Seen, b: Seen, depth: number): void {
    if (b.tick - a.tick > manyTurns * this.ring && !this.sparing) {
      this.along(inside, a, b, depth);
      return;
    }
    const before = this.knots.count;
    const step = Math.floor(partingShare * (b.tick - a.tick));
    // A piece too short to be looked into is straight: its slope may be that of something faster.
    this.judge.chord = b.tick > a.tick;
    if (step > 0 && depth < mostPartings) {
      const m = this.look(inside, a.tick + step, 1, depth + 2);
      if (this.sparing?.spares(a, m, b, this.judge)) {
        this.add(b);
        return;
      }
      if (this.judge.misses(a, m, b, inside, depth) || this.wavers(inside, a, b, depth)) {
        this.refine(inside, a, m, depth + 1);
        this.refine(inside, m, b, depth + 1);
        if (this.recording.exact && this.knots.count - before >= many)
          this.ring = Math.min(this.ring, b.tick - a.tick);
        return;
      }
    }
    const time = this.assembly.clock.time(b.tick);
    this.add(this.judge.chord ? { ...b, slope: this.knots.straight(time, b.value) } : b);
  }

  /** Set where a trace has become long of which not all is looked at. */
  private get sparing(): Reaches | undefined {
    return this.knots.count > manySamples ? this.asked.reaches : undefined;
  }

  /** Whether a cubic that seemed to do does not, looked at once more where it may have been met by chance. */
  private wavers(inside: StretchView, a: Seen, b: Seen, depth: number): boolean {
    const { judge } = this;
    const begins = a.tick === this.onset && this.recording.exact;
    return anyOff([judge], furtherOf(furtherShares, judge.doubts(a, b), begins), (share) => {
      const further = Math.floor(share * (b.tick - a.tick));
      return (
        further > 0 && judge.misses(a, this.look(inside, a.tick + further, 1, depth + 3), b, inside, depth)
      );
    });
  }

  private look(inside: StretchView, tick: number, side: 0 | 1, place: number): Seen {
    const { looks } = this;
    while (looks.length <= place) looks.push({ tick: 0, value: 0, slope: 0 });
    inside.look(tick, side, looks[place]);
    this.judge.widen(looks[place].value);
    return looks[place];
  }

  private add(seen: Seen): void {
    this.knots.add(this.assembly.clock.time(seen.tick), seen);
  }

  /** The start of a piece meets the end of the one before, or jumps. @param blur by which it may differ without a jump */
  private meet(seen: Seen, blur = 0): void {
    const { knots } = this;
    const apart = Math.abs(knots.value - seen.value) > Math.max(this.judge.rounding, blur);
    // Zero and the rounding of zero stay apart: a diode that blocks carries nothing.
    const parted = (knots.value === 0) !== (seen.value === 0);
    if (knots.count === 0 || this.assembly.clock.time(seen.tick) > knots.time || apart || parted)
      this.add(seen);
    else knots.turn(seen.slope);
  }
}

function tooLong(name: string): DesignError {
  const message = `the waveform of '${name}' has more samples than limits.bytes has room for`;
  const hint = "look at a stretch of it, where it moves so quickly, or raise limits.bytes";
  return refusal("waveform-too-long", message, hint);
}
