// Traces side by side, over the union of their instants: the base of every table of traces. Whoever reads a table, a spreadsheet or a
// script, joins its rows by straight lines, so there are as many rows as straight lines need, and not only those of the cubics.
import { Arc } from "./arc.js";
import type { Trace } from "./trace.js";

/** The most that a straight line between two rows is off, as a share of the swing of its trace. */
export const straightTo = 1e-4;

/** What rounding may leave of a value's size: no bend is looked for below it. */
const rounding = 1e-12;

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

/**
 * Every instant at which any trace has a sample, and between two of its samples as many as it bends, in order of time; the others
 * are interpolated there.
 */
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

/** How many equal pieces an arc takes for none to be farther from its chord than a distance. */
function piecesOf(arc: Arc, distance: number): number {
  if (arc.straight) return 1;
  // A chord over h is off by at most h^2/8 times the largest second derivative, which a cubic has at one of its ends.
  const { bendFirst: A, bendLast: B, start, length } = arc;
  const bend = Math.max(Math.abs(4 * A + 2 * B), Math.abs(2 * A + 4 * B));
  const wanted = Math.ceil(Math.sqrt(bend / 8 / distance));
  // Doubles of one time are no rows of their own.
  const room = Math.floor(length / (4 * Number.EPSILON * (Math.abs(start) + length)));
  return Math.max(1, Math.min(wanted, room));
}

// A column that walks its trace in step with the others. `before` and `after` are the cells at the instant.
class Column {
  before: number | undefined;
  after: number | undefined;
  jumps = false;
  /** Instant of the next row of its own, or infinity. */
  next: number;
  private readonly arc = new Arc();
  private readonly distance: number;
  private i = 0; // first sample not yet written
  private piece = 1; // of the stretch before it, the first piece whose end is not yet written
  private pieces = 1;

  constructor(private readonly trace: Trace) {
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const v of trace.value) {
      if (v < low) low = v;
      if (v > high) high = v;
    }
    this.distance = Math.max(straightTo * (high - low), rounding * Math.max(-low, high), Number.MIN_VALUE);
    this.next = trace.from;
  }

  advance(t: number): void {
    const { arc, trace, piece, pieces } = this;
    const { time, value } = trace;
    this.jumps = false;
    if (this.next !== t) {
      const inside = this.i > 0 && this.i < time.length;
      this.before = inside ? arc.value((t - arc.start) / arc.length) : undefined;
      this.after = this.before;
      return;
    }
    if (piece < pieces) {
      this.before = arc.value(piece / pieces);
      this.after = this.before;
      this.piece++;
    } else {
      this.before = value[this.i];
      while (this.i + 1 < time.length && time[this.i + 1] === t) {
        this.i++;
        this.jumps = true;
      }
      this.after = value[this.i];
      this.i++;
      this.piece = 1;
      this.pieces = this.i < time.length ? piecesOf(arc.load(trace, this.i - 1), this.distance) : 1;
    }
    this.next = this.ahead();
  }

  private ahead(): number {
    const { arc, piece, pieces, trace } = this;
    if (piece < pieces) return arc.start + (arc.length * piece) / pieces;
    return this.i < trace.time.length ? trace.time[this.i] : Number.POSITIVE_INFINITY;
  }
}

/** One trace as a table has it: its instants (s) and values, such that straight lines between them show it. */
export function straightened(trace: Trace): { readonly time: Float64Array; readonly value: Float64Array } {
  const { time, value } = trace;
  if (!trace.slope) return { time, value };
  const rows: number[][] = [[], []];
  for (const { at, before, after, jumps } of sideBySide([trace])) {
    for (const cells of jumps ? [before, after] : [after]) {
      rows[0].push(at);
      rows[1].push(cells[0]!);
    }
  }
  return { time: Float64Array.from(rows[0]), value: Float64Array.from(rows[1]) };
}
