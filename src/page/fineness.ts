// A trace at several finenesses, so that a million samples are drawn as quickly as a thousand: where much of it is seen, its
// outline stands in, which has the true lowest and highest of each of its columns.
import { Means } from "../report/envelope.js";
import { extremes, type Outline } from "../waveforms/outline.js";
import { Trace } from "../waveforms/trace.js";
import type { SeenSpan } from "./seen.js";

/** Columns of the outlines, the coarsest first. */
const finenesses = [1 << 14, 1 << 17] as const;
/** Columns of an outline that a pixel must hold at least, for its borders not to show. */
const columnsPerPixel = 4;
/** Samples that a column must hold at least for an outline to be worth it. */
const samplesPerColumn = 8;

/** A trace and its outlines, made when they are first needed. */
export class Levels {
  private readonly made = new Map<number, Trace>();
  private sums: Means | undefined;

  constructor(readonly trace: Trace) {}

  /** The outline of what is seen, a column a pixel. */
  outline({ from, to }: SeenSpan, pixels: number): Outline {
    return extremes(this.fineEnough(from, to, pixels), from, to, pixels);
  }

  /** The means of the trace, of all its samples. */
  get means(): Means {
    this.sums ??= new Means(this.trace);
    return this.sums;
  }

  private fineEnough(from: number, to: number, pixels: number): Trace {
    const { trace } = this;
    const share = (to - from) / (trace.to - trace.from);
    for (const columns of finenesses) {
      if (trace.time.length < columns * samplesPerColumn) break;
      if (columns * share >= columnsPerPixel * pixels) return this.level(columns);
    }
    return trace;
  }

  private level(columns: number): Trace {
    const known = this.made.get(columns);
    if (known) return known;
    const { name, unit, from, to } = this.trace;
    const { time, value } = extremes(this.trace, from, to, columns);
    const level = time.length > 0 ? new Trace({ name, unit, time, value }) : this.trace;
    this.made.set(columns, level);
    return level;
  }

  /** The value at an instant; nothing outside the trace. */
  at(t: number): number | undefined {
    const { trace } = this;
    return t >= trace.from && t <= trace.to ? trace.at(t) : undefined;
  }

  /** The lowest and the highest of what is seen; nothing where nothing is. */
  bounds(seen: SeenSpan): { low: number; high: number } | undefined {
    const { value } = this.outline(seen, 500);
    if (value.length === 0) return undefined;
    let [low, high] = [value[0], value[0]];
    for (const v of value) {
      if (v < low) low = v;
      if (v > high) high = v;
    }
    return { low, high };
  }
}
