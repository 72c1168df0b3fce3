// Traces side by side, over the union of their instants: the base of every table of traces.
import { Arc } from "./arc.js";
import type { Trace } from "./trace.js";

/** All traces at one instant. The lists are reused for the next one. */
export interface Abreast {
  /** The instant, s. */
  readonly at: number;
  /** A value per trace, before and after a jump; undefined outside the trace's own span. */
  readonly before: readonly (number | undefined)[];
  readonly after: readonly (number | undefined)[];
  /** True where any of them jumps. */
  readonly jumps: boolean;
}

/** Every instant at which any trace has a sample, in order of time; the others are interpolated there. */
export function* sideBySide(traces: readonly Trace[]): Generator<Abreast, void, undefined> {
  const columns = traces.map((t) => new Column(t));
  const [before, after]: (number | undefined)[][] = [[], []];
  for (;;) {
    let at = Number.POSITIVE_INFINITY;
    for (const column of columns) at = Math.min(at, column.next);
    if (at === Number.POSITIVE_INFINITY) return;
    let jumps = false;
    for (let c = 0; c < columns.length; c++) {
      const column = columns[c];
      column.advance(at);
      jumps ||= column.jumps;
      before[c] = column.before;
      after[c] = column.after;
    }
    yield { at, before, after, jumps };
  }
}

// A column that walks its trace in step with the others. `before` and `after` are the cells at the instant.
class Column {
  before: number | undefined;
  after: number | undefined;
  jumps = false;
  private readonly arc = new Arc();
  private loaded = -1;
  private i = 0; // first sample not yet written

  constructor(private readonly trace: Trace) {}

  /** Instant of the next sample, or infinity. */
  get next(): number {
    return this.i < this.trace.time.length ? this.trace.time[this.i] : Number.POSITIVE_INFINITY;
  }

  advance(t: number): void {
    const { time, value } = this.trace;
    this.jumps = false;
    if (this.next === t) {
      this.before = value[this.i];
      while (this.i + 1 < time.length && time[this.i + 1] === t) {
        this.i++;
        this.jumps = true;
      }
      this.after = value[this.i];
      this.i++;
      return;
    }
    const inside = this.i > 0 && this.i < time.length;
    if (inside && this.loaded !== this.i) this.arc.load(this.trace, this.i - 1);
    if (inside) this.loaded = this.i;
    this.before = inside ? this.arc.value((t - this.arc.start) / this.arc.length) : undefined;
    this.after = this.before;
  }
}
