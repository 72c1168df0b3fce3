// Traces of a recording, any number of them in one go: the recording is played once, block by block, and of each block
// every trace keeps what it needs: in a long run the samples that say something new.
// Always: samples of one instant become one, or two where the value jumps by more than rounding; what a trace shows does
// not depend on the traces that are drawn beside it.
import { spare } from "../waveforms/sparing.js";
import { type Impulses, Trace } from "../waveforms/trace.js";
import type { Assembly } from "./assemble.js";
import { impulsesOf } from "./impulses.js";
import { type Moment, type Reader, reader, replay } from "./playback.js";
import type { Probe } from "./probe.js";
import type { Recording } from "./recording.js";

/** What to draw. */
export interface Wanted {
  readonly name: string;
  readonly unit: string;
  readonly probe: Probe;
}

/** Samples of a block. */
const block = 1 << 15;
/** From so many samples on a trace leaves out what says nothing new; below, it has a sample for every step. */
const long = 200_000;
/** What counts as rounding, as a share of the largest value so far. */
const speck = 1e-12;

/**
 * Draws traces from a recording that has samples.
 * @param part ticks between which to draw, and the samples around them; absent: all of the recording
 */
export function draw(
  assembly: Assembly,
  recording: Recording,
  wanted: readonly Wanted[],
  part?: { readonly from: number; readonly to: number },
): Trace[] {
  const { ticks } = recording;
  const { from, to } = samplesOf(recording, part);
  const sparing = to - from >= long && !recording.even;
  const pens = wanted.map((one) => new Pen(one, reader(assembly, one.probe), sparing));
  let filled = 0;
  replay(
    assembly,
    recording,
    assembly.inputs(),
    (m) => {
      // A block ends between instants, so that a jump is not torn apart.
      if (filled >= block - 8 && ticks[m.index] !== ticks[m.index - 1]) {
        for (const pen of pens) pen.settle(filled);
        filled = 0;
      }
      const time = assembly.clock.time(m.tick);
      for (const pen of pens) pen.mark(filled, time, m);
      filled++;
    },
    { from, to },
  );
  for (const pen of pens) pen.settle(filled);
  return pens.map((pen, i) => pen.trace(impulsesOf(assembly, recording, wanted[i]!.probe)));
}

/** Indices of the samples in a stretch of ticks and of one instant on either side, where there is one. */
function samplesOf(
  { ticks, count }: Recording,
  part: { readonly from: number; readonly to: number } | undefined,
): { from: number; to: number } {
  if (!part) return { from: 0, to: count };
  /** The first sample after a tick. */
  const after = (tick: number): number => {
    let [low, high] = [0, count];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (ticks[middle]! <= tick) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const last = Math.max(0, after(part.from) - 1);
  const next = Math.min(count - 1, after(part.to));
  return { from: after(ticks[last]! - 1), to: after(ticks[next]!) };
}

/** Draws one trace. */
class Pen {
  // The block in hand, longer where an instant has very many samples.
  private time = new Float64Array(block);
  private value = new Float64Array(block);
  private slope = new Float64Array(block);
  private before = new Float64Array(block);
  /** What is kept of the blocks before. */
  private readonly done: Float64Array[][] = [];
  private most = 0;

  constructor(
    private readonly wanted: Wanted,
    private readonly read: Reader,
    private readonly sparing: boolean,
  ) {}

  mark(i: number, time: number, moment: Moment): void {
    if (i === this.time.length) this.grow();
    const r = this.read(moment);
    this.time[i] = time;
    this.value[i] = r.value;
    this.slope[i] = r.slope;
    this.most = Math.max(this.most, Math.abs(r.value));
  }

  /** Ends a block of so many samples. */
  settle(count: number): void {
    const { time, value, slope, before, most } = this;
    let kept = 0;
    const keep = (t: number, v: number, early: number, late: number) => {
      time[kept] = t;
      value[kept] = v;
      before[kept] = early;
      slope[kept++] = late;
    };
    for (let i = 0; i < count; ) {
      let last = i;
      while (last + 1 < count && time[last + 1] === time[i]) last++;
      const t = time[i]!;
      const [first, after, early, late] = [value[i]!, value[last]!, slope[i]!, slope[last]!];
      if (Math.abs(after - first) > speck * most) {
        keep(t, first, early, early);
        keep(t, after, late, late);
      } else keep(t, after, early, late);
      i = last + 1;
    }
    const left = this.sparing ? spare({ time, value, slope, before }, kept, speck * most) : kept;
    this.done.push([time, value, slope, before].map((all) => all.slice(0, left)));
  }

  trace(impulses: Impulses | undefined): Trace {
    const length = this.done.reduce((sum, [time]) => sum + time!.length, 0);
    const joined = [0, 1, 2, 3].map((k) => {
      const all = new Float64Array(length);
      let at = 0;
      for (const piece of this.done) {
        all.set(piece[k]!, at);
        at += piece[k]!.length;
      }
      return all;
    });
    const [time, value, slope, slopeBefore] = joined as [
      Float64Array,
      Float64Array,
      Float64Array,
      Float64Array,
    ];
    const { name, unit } = this.wanted;
    return new Trace({ name, unit, time, value, slope, slopeBefore, ...(impulses && { impulses }) });
  }

  private grow(): void {
    for (const key of ["time", "value", "slope", "before"] as const) {
      const wider = new Float64Array(2 * this[key].length);
      wider.set(this[key]);
      this[key] = wider;
    }
  }
}
