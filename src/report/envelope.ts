// Where a picture cannot tell one period from the next, a curve would be a solid block. There its outline is parted: stretches
// that can be followed stay lines; the others become bands from lowest to highest, with the mean inside.
import { Arc } from "../waveforms/arc.js";
import type { Outline } from "../waveforms/outline.js";
import type { Trace } from "../waveforms/trace.js";

/** Points of an outline, from one index to another inclusive, that are drawn as a line. */
export interface LinePiece {
  readonly type: "line";
  readonly first: number;
  readonly last: number;
}

/** A band: its values at the middle of each of its columns. */
export interface BandPiece {
  readonly type: "band";
  readonly time: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
  readonly mean: Float64Array;
}

/** What a band means, written below a picture. */
export const bandWords = "band: low to high, mean";
/** Opacity of a band. */
export const bandInk = 0.3;
/** Least height of a band, px; anything lower is a rough line. */
export const leastBand = 6;

/** Most columns without a turn between two with one: a line a pixel and a half wide leaves no white between them. */
const mostGap = 2;
/** Least number of turns in a band. */
const fewest = 8;
/** Columns on each side over which a mean is smoothed, twice: fewer would show the beat of periods and pixels. */
const reach = 4;

/** The integral of a trace from its start, which gives the mean of any stretch at once. */
export class Means {
  private readonly sums: Float64Array;
  private readonly arc = new Arc();

  constructor(private readonly trace: Trace) {
    const { time } = trace;
    this.sums = new Float64Array(time.length);
    for (let i = 0; i + 1 < time.length; i++) {
      const area = time[i + 1] > time[i] ? this.arc.load(trace, i).area() : 0;
      this.sums[i + 1] = this.sums[i] + (Number.isFinite(area) ? area : 0);
    }
  }

  /** The mean between two instants, within the trace. */
  between(from: number, to: number): number {
    const [a, b] = [Math.max(from, this.trace.from), Math.min(to, this.trace.to)];
    if (!(a < b)) return this.trace.at(Math.min(Math.max(from, this.trace.from), this.trace.to));
    return (this.until(b) - this.until(a)) / (b - a);
  }

  private until(t: number): number {
    const { trace, sums, arc } = this;
    const i = trace.index(t);
    if (i + 1 >= trace.time.length || trace.time[i] === t) return sums[i];
    arc.load(trace, i);
    const area = arc.area(0, (t - arc.start) / arc.length);
    return sums[i] + (Number.isFinite(area) ? area : 0);
  }
}

interface SeenPart {
  readonly from: number;
  readonly to: number;
  /** Pixels from `from` to `to`. */
  readonly columns: number;
  /** Least swing of a band, in the trace's unit; smaller turns make a rough line. */
  readonly least: number;
}

/**
 * Parts the visible outline.
 * @param means those of the trace; called only if there is a band
 */
export function parted(
  { time, value }: Outline,
  { from, to, columns, least }: SeenPart,
  means: () => Means,
): (LinePiece | BandPiece)[] {
  const width = (to - from) / columns;
  const columnOf = (i: number) => Math.min(columns - 1, Math.max(0, Math.floor((time[i] - from) / width)));
  const pieces: (LinePiece | BandPiece)[] = [];
  let done = 0;
  for (const { first, last } of crowded(value, columnOf, least)) {
    if (first > done) pieces.push({ type: "line", first: done, last: first });
    pieces.push(band({ time, value }, { first, last }, columnOf, { from, width }, means()));
    done = last;
  }
  if (done + 1 < time.length || pieces.length === 0)
    pieces.push({ type: "line", first: done, last: time.length - 1 });
  return pieces;
}

/** Stretches of points in which the curve turns by `least` or more at least every few columns. */
function crowded(
  value: Float64Array,
  columnOf: (i: number) => number,
  least: number,
): { first: number; last: number }[] {
  const found: { first: number; last: number }[] = [];
  let [first, last, turns] = [0, 0, 0];
  const close = () => {
    if (turns >= fewest && columnOf(last) - columnOf(first) >= fewest / 2) found.push({ first, last });
    turns = 0;
  };
  // The farthest point since the last turn; the direction that led there is up, down, or not yet known.
  let far = 0;
  let way = 0;
  for (let i = 1; i < value.length; i++) {
    const by = value[i] - value[far];
    if (way === 0 ? Math.abs(by) >= least : by * way > 0) {
      way = Math.sign(by);
      far = i;
      continue;
    }
    if (way === 0 || -by * way < least) continue;
    if (turns > 0 && columnOf(far) - columnOf(last) > mostGap + 1) close();
    if (turns === 0) first = far;
    last = far;
    turns++;
    way = -way;
    far = i;
  }
  close();
  return found;
}

function band(
  { time, value }: Outline,
  { first, last }: { readonly first: number; readonly last: number },
  columnOf: (i: number) => number,
  { from, width }: { readonly from: number; readonly width: number },
  means: Means,
): BandPiece {
  const start = columnOf(first);
  const count = columnOf(last) - start + 1;
  const lowest = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const highest = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
  for (let i = first; i <= last; i++) {
    const c = columnOf(i) - start;
    lowest[c] = Math.min(lowest[c], value[i]);
    highest[c] = Math.max(highest[c], value[i]);
  }
  const at = (c: number) => from + (start + c + 0.5) * width;
  const whole = (list: Float64Array, c: number, of: (...all: number[]) => number) =>
    of(...list.subarray(Math.max(0, c - mostGap), c + mostGap + 1));
  const boxes = Float64Array.from({ length: count }, (_, c) =>
    means.between(Math.max(time[first], at(c) - reach * width), Math.min(time[last], at(c) + reach * width)),
  );
  const instants = Float64Array.from({ length: count }, (_, c) => at(c));
  // A band begins and ends where the lines beside it do.
  instants[0] = time[first];
  instants[count - 1] = time[last];
  return {
    type: "band",
    time: instants,
    low: Float64Array.from(lowest, (_, c) => whole(lowest, c, Math.min)),
    high: Float64Array.from(highest, (_, c) => whole(highest, c, Math.max)),
    mean: Float64Array.from(boxes, (_, c) => {
      const some = boxes.subarray(Math.max(0, c - reach), c + reach + 1);
      return some.reduce((sum, v) => sum + v, 0) / some.length;
    }),
  };
}
