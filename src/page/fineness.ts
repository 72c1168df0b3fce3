// A trace at several levels of detail, so that a million samples are drawn as quickly as a thousand: when much of it is seen, a
// part is cut from an outline of the whole. Each outline has the true lowest and highest value in each of its columns.
import { firstAbove, firstFrom } from "../base/search.js";
import { Means } from "../report/envelope.js";
import { extremes, type Outline } from "../waveforms/outline.js";
import { Trace } from "../waveforms/trace.js";
import type { SeenSpan } from "./seen.js";

/** Most samples per pixel for which the trace itself is used. */
const samplesPerPixel = 8;
/** Most points of an outline in a column. */
const pointsPerColumn = 4;
/** Columns of the finest outline, as a power of two. */
const finest = 18;

/** A trace and its outlines, made when they are first needed. */
export class Levels {
  /** Outlines by the power of two of their columns. */
  private readonly made = new Map<number, Outline>();
  private sums: Means | undefined = undefined;

  constructor(readonly trace: Trace) {}

  /** The outline of what is seen, with columns no wider than a pixel; its ends may lie beyond what is seen. */
  outline(seen: SeenSpan, pixels: number): Outline {
    const { trace } = this;
    const { from, to } = seen;
    if (trace.index(to) - trace.index(from) <= samplesPerPixel * pixels)
      return extremes(trace, from, to, pixels);
    const share = (to - from) / (trace.to - trace.from);
    const power = Math.max(0, Math.ceil(Math.log2(pixels / share)));
    return power > this.most ? extremes(trace, from, to, pixels) : cut(this.level(power), seen);
  }

  /** The means of the trace, from all its samples. */
  get means(): Means {
    this.sums ??= new Means(this.trace);
    return this.sums;
  }

  /** The finest outline that pays: with fewer samples per column it would be as long as the trace. */
  private get most(): number {
    return Math.min(finest, Math.ceil(Math.log2(this.trace.time.length / samplesPerPixel)));
  }

  /** Each outline is made from the next finer one, whose column borders it shares: each takes half as long as the one before. */
  private level(power: number): Outline {
    const known = this.made.get(power);
    if (known) return known;
    const { name, unit, from, to } = this.trace;
    const finer = power < this.most ? new Trace({ name, unit, ...this.level(power + 1) }) : this.trace;
    const made = extremes(finer, from, to, 2 ** power);
    this.made.set(power, made);
    return made;
  }

  /** The value at an instant; nothing outside the trace. */
  at(t: number): number | undefined {
    const { trace } = this;
    return t >= trace.from && t <= trace.to ? trace.at(t) : undefined;
  }

  /** The lowest and highest value of what is seen and about a pixel beyond; undefined if nothing is seen. */
  bounds(seen: SeenSpan): { low: number; high: number } | undefined {
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const v of this.outline(seen, 500).value) {
      if (v < low) low = v;
      if (v > high) high = v;
    }
    return low <= high ? { low, high } : undefined;
  }
}

/** The visible part of an outline, with one more column at each end, as its lowest or highest may be visible. */
function cut({ time, value }: Outline, { from, to }: SeenSpan): Outline {
  const first = Math.max(0, firstFrom(time, from) - pointsPerColumn);
  const end = Math.min(time.length, firstAbove(time, to) + pointsPerColumn);
  return { time: time.subarray(first, end), value: value.subarray(first, end) };
}
