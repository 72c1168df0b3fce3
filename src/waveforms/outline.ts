// The outline of a trace for a picture: few points that look the same as all of them. It keeps, of every column (a pixel
// or half a pixel), its first, lowest, highest and last point, in order of time. Each is a true point of the curve, and the
// lowest and highest of each column are exact, so a spike of one sample among a million is still drawn. (The same four
// points are shown sufficient for line charts by Jugel et al., "M4", Proc. VLDB 7(10), 2014.)
import { Arc } from "./arc.js";
import type { Trace } from "./trace.js";

// Working space for bent stretches.
const turns = [Number.NaN, Number.NaN];
const shares: number[] = [];

/** A polyline; `time` never decreases. */
export interface Outline {
  readonly time: Float64Array;
  readonly value: Float64Array;
}

/**
 * Reduces a trace to its outline. Where samples are few and the curve between them is bent, points are put in
 * at column borders and turning points.
 * @param from s, and `to`, s: the span; clipped to the trace
 * @param columns how many columns the span is divided into, at least 1
 * @returns at most 4 points a column; none where span and trace do not meet or no value is finite
 */
export function extremes(trace: Trace, from: number, to: number, columns: number): Outline {
  const start = Math.max(from, trace.from);
  const end = Math.min(to, trace.to);
  const columnsPerSecond = columns / (to - from);
  const gather = new Gather(columns + 1);
  const put = (t: number, v: number) => gather.put(Math.floor((t - from) * columnsPerSecond), t, v);
  if (!(from < to) || !(start <= end) || !(columns >= 1)) return gather.done();
  const { time, value } = trace;
  const arc = new Arc();
  // First the last sample at or before the start; samples that share its time are an earlier jump.
  let i = trace.index(start);
  put(start, time[i] === start ? value[i] : trace.at(start));
  for (; i + 1 < time.length && time[i] < end; i++) {
    if (time[i] >= start) i = gather.skim(trace, i, from, columnsPerSecond, end);
    if (i + 1 >= time.length || time[i] >= end) break;
    const stop = time[i + 1];
    if (stop <= start) continue;
    if (stop === time[i]) {
      put(stop, value[i + 1]);
      continue;
    }
    arc.load(trace, i);
    const s0 = Math.max(0, (start - time[i]) / arc.length);
    const s1 = stop > end ? (end - time[i]) / arc.length : 1;
    if (!arc.straight) bent(arc, s0, s1, (s1 - s0) * arc.length * columnsPerSecond, put);
    if (s1 === 1) put(stop, value[i + 1]);
    else put(end, arc.value(s1));
  }
  // A jump exactly at the end is shown whole.
  for (; i + 1 < time.length && time[i + 1] === end; i++) put(end, value[i + 1]);
  return gather.done();
}

// Inner points of a bent stretch between two of its shares: its turning points and one point per column, in order.
function bent(
  arc: Arc,
  from: number,
  to: number,
  columns: number,
  put: (t: number, v: number) => void,
): void {
  const n = arc.turns(turns);
  shares.length = 0;
  for (let k = 0; k < n; k++) if (turns[k] > from && turns[k] < to) shares.push(turns[k]);
  const pieces = Math.ceil(columns);
  for (let k = 1; k < pieces; k++) shares.push(from + ((to - from) * k) / pieces);
  if (n > 0 && pieces > 1) shares.sort((a, b) => a - b);
  for (const s of shares) put(arc.start + s * arc.length, arc.value(s));
}

// Gathers points column by column. Points arrive in order of time; four are kept of the current column.
class Gather {
  private readonly time: Float64Array;
  private readonly value: Float64Array;
  private count = 0;
  private column = -1;
  // Time, value and order of arrival of the first, lowest, highest and last point.
  private readonly t = new Float64Array(4);
  private readonly v = new Float64Array(4);
  private readonly order = new Float64Array(4);
  private arrivals = 0;

  constructor(columns: number) {
    this.time = new Float64Array(4 * (columns + 1));
    this.value = new Float64Array(4 * (columns + 1));
  }

  put(where: number, t: number, v: number): void {
    if (!Number.isFinite(v)) return;
    // Rounding at a border must not lead back into a finished column.
    const column = Math.max(where, this.column);
    const order = this.arrivals++;
    if (column !== this.column) {
      this.flush();
      this.column = column;
      for (let k = 0; k < 4; k++) this.set(k, t, v, order);
      return;
    }
    if (v < this.v[1]) this.set(1, t, v, order);
    if (v > this.v[2]) this.set(2, t, v, order);
    this.set(3, t, v, order);
  }

  /**
   * Goes on from sample `i`, which has been put, while the curve stays in the current column and only samples can be its lowest
   * and highest point there. Returns the sample reached; what follows it needs a closer look.
   */
  skim({ time, value, slope, slopeBefore }: Trace, i: number, from: number, perSecond: number, end: number) {
    const border = this.column + 1;
    let [low, high] = [this.v[1], this.v[2]];
    let [lowest, highest] = [-1, -1];
    let k = i;
    for (; k + 1 < time.length; k++) {
      const stop = time[k + 1];
      if (!(stop < end && (stop - from) * perSecond < border)) break;
      const [v, next] = [value[k], value[k + 1]];
      const rise = next - v;
      // End slopes of the cubic of arc.ts: it is off its chord by at most 4/27 of their differences from the chord.
      const first = slope ? (stop - time[k]) * slope[k] : rise;
      const last = slopeBefore ? (stop - time[k]) * slopeBefore[k + 1] : rise;
      const stray = (Math.abs(first - rise) + Math.abs(last - rise)) * (4 / 27);
      if (Math.min(v, next) - stray >= low && Math.max(v, next) + stray <= high) continue;
      const [most, one, other] = [3 * rise * rise, first * rise, last * rise];
      // Monotone: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980).
      if (!(most > 0 && one >= 0 && one <= most && other >= 0 && other <= most)) break;
      if (next < low) [low, lowest] = [next, k + 1];
      if (next > high) [high, highest] = [next, k + 1];
    }
    if (k === i) return i;
    const order = this.arrivals;
    this.arrivals += k - i;
    if (lowest >= 0) this.set(1, time[lowest], low, order + lowest - i - 1);
    if (highest >= 0) this.set(2, time[highest], high, order + highest - i - 1);
    this.set(3, time[k], value[k], order + k - i - 1);
    return k;
  }

  done(): Outline {
    this.flush();
    return { time: this.time.slice(0, this.count), value: this.value.slice(0, this.count) };
  }

  private set(k: number, t: number, v: number, order: number): void {
    this.t[k] = t;
    this.v[k] = v;
    this.order[k] = order;
  }

  private flush(): void {
    if (this.column < 0) return;
    const lowFirst = this.order[1] <= this.order[2];
    let last = -1;
    for (const k of lowFirst ? [0, 1, 2, 3] : [0, 2, 1, 3]) {
      if (this.order[k] === last) continue;
      last = this.order[k];
      this.time[this.count] = this.t[k];
      this.value[this.count++] = this.v[k];
    }
  }
}
