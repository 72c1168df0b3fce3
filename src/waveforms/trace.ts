// A trace: one quantity of a run against time, with jumps. Between samples the curve is the guarded cubic of arc.ts, so
// `at`, `resample`, the measures and the pictures all see the same curve.
import { firstAbove, firstFrom } from "../base/search.js";
import { Arc, type Samples } from "./arc.js";

/** Spikes without bound that last no time, e.g. the current of an ideal switch through which charge was shared. */
export interface Impulses {
  /** Instants, s, never decreasing. */
  readonly time: Float64Array;
  /** Their areas, in the trace's unit times seconds. */
  readonly size: Float64Array;
}

/** What a trace is made of. All arrays have one length, at least 1. */
export interface TraceData extends Samples {
  /** What it shows, e.g. `ramp` or `reset.current`. */
  readonly name: string;
  /** SI unit of the values: `V`, `A`, `W`. */
  readonly unit: string;
  /** Impulses, which the curve does not show; absent where there are none. */
  readonly impulses?: Impulses;
  /** The curve that was sampled, at an instant (s) between two samples; absent where no more is known than the samples. */
  readonly curve?: (time: number) => CurvePoint;
  /** The area from one instant (s) to another, in the trace's unit times seconds; absent or NaN where it is not known. */
  readonly gathered?: (from: number, to: number) => number;
}

/** A curve at an instant. */
export interface CurvePoint {
  /** In the unit of the trace. */
  readonly value: number;
  /** Per second. */
  readonly slope: number;
}

/** The impulses from one instant on and before another, or up to it at the end of the trace; s. */
export function struckIn({ time, size }: Impulses, from: number, to: number, end: number): readonly Struck[] {
  const found: Struck[] = [];
  for (let i = firstFrom(time, from); time[i] < to || (time[i] === to && to === end); i++)
    found.push({ time: time[i], size: size[i] });
  return found;
}

/** The most values `resample` makes: 400 MB of doubles. */
export const mostResampled = 5e7;

/** For values at single instants. */
const single = new Arc();

/** An impulse: no length, no bound, and a known area. */
export interface Struck {
  /** Instant, s. */
  readonly time: number;
  /** Area, in the unit of the trace times seconds. */
  readonly size: number;
}

/**
 * One quantity against time.
 *
 * @category Numbers and files
 * @example
 * ```ts
 * const ramp = new Trace({ name: "ramp", unit: "V", time: Float64Array.of(0, 1), value: Float64Array.of(0, 4) });
 * ramp.at(0.25); // 1
 * ```
 */
export class Trace implements TraceData {
  // What consoles call it, where a bundle has shortened the name.
  static {
    Object.defineProperty(Trace, "name", { value: "Trace" });
  }
  readonly name: string;
  readonly unit: string;
  readonly time: Float64Array;
  readonly value: Float64Array;
  readonly slope?: Float64Array;
  readonly slopeBefore?: Float64Array;
  readonly exact?: boolean;
  readonly impulses?: Impulses;
  /** Private, so that a trace can be cloned and written as plain data. */
  readonly #curve?: (time: number) => CurvePoint;
  readonly #gathered?: (from: number, to: number) => number;

  /**
   * Keeps the arrays, without a copy.
   * @throws RangeError when the arrays are empty, differ in length, or time decreases or is not a number.
   */
  constructor(data: TraceData) {
    const n = data.time.length;
    if (n === 0) throw new RangeError(`trace ${data.name} has no samples`);
    for (const other of [data.value, data.slope, data.slopeBefore]) {
      if (other && other.length !== n) throw new RangeError(`trace ${data.name}: arrays differ in length`);
    }
    if (!Number.isFinite(data.time[0]) || !Number.isFinite(data.time[n - 1]))
      throw new RangeError(`trace ${data.name}: an instant is not finite`);
    for (let i = 1; i < n; i++) {
      if (!(data.time[i] >= data.time[i - 1]))
        throw new RangeError(`trace ${data.name}: time runs backwards`);
    }
    this.name = data.name;
    this.unit = data.unit;
    this.time = data.time;
    this.value = data.value;
    this.slope = data.slope;
    this.slopeBefore = data.slopeBefore ?? data.slope;
    if (data.exact) this.exact = true;
    this.impulses = data.impulses;
    this.#curve = data.curve;
    this.#gathered = data.gathered;
  }

  /**
   * The area from one instant (s) to another, where it is known better than from the curve; else NaN.
   * @internal
   */
  knownArea(from: number, to: number): number {
    return this.#gathered?.(from, to) ?? Number.NaN;
  }

  /**
   * The sampled curve at an instant (s) within an arc of this trace; undefined where no more is known than the arc. The object is
   * reused.
   * @internal
   */
  sampled(arc: Arc, time: number): CurvePoint | undefined {
    return arc.straight ? undefined : this.#curve?.(time);
  }

  /** The impulses from one instant on and before another, or up to it at the end of the trace. */
  struck(from: number, to: number): readonly Struck[] {
    return this.impulses ? struckIn(this.impulses, from, to, this.to) : [];
  }

  /** First instant, s. */
  get from(): number {
    return this.time[0];
  }

  /** Last instant, s. */
  get to(): number {
    return this.time[this.time.length - 1];
  }

  /** Index of the last sample at or before `t`; -1 when `t` lies before all of them. Takes log n steps. */
  index(t: number): number {
    return firstAbove(this.time, t) - 1;
  }

  /**
   * Value at an instant; at a jump the value after it.
   * @throws RangeError when `t` lies outside the trace.
   */
  at(t: number): number {
    this.demand(t, t);
    const i = this.index(t);
    if (this.time[i] === t) return this.value[i];
    const arc = single.load(this, i);
    return arc.value((t - arc.start) / arc.length);
  }

  /**
   * Values on a uniform grid: entry k is the value at `from + k * step`. The end is included when it falls on
   * the grid to within 1e-9 of a step.
   * @throws RangeError when the step is not positive, the span lies outside the trace, or more than
   * `mostResampled` values would be needed (checked before memory is taken).
   */
  resample(step: number, from = this.from, to = this.to): Float64Array {
    if (typeof step !== "number") demandSeconds(step);
    if (!(step > 0) || !Number.isFinite(step)) {
      throw new RangeError(`step ${step} s is not a positive time`);
    }
    this.demand(from, to);
    const count = Math.floor((to - from) / step + 1e-9) + 1;
    if (count > mostResampled)
      throw new RangeError(`${count} values are more than the ${mostResampled} that resampling may make`);
    const out = new Float64Array(count);
    const arc = new Arc();
    const { time, value } = this;
    let i = this.index(from);
    let loaded = -1;
    for (let k = 0; k < count; k++) {
      const t = Math.min(from + k * step, to);
      while (i + 1 < time.length && time[i + 1] <= t) i++;
      if (time[i] === t) {
        out[k] = value[i];
        continue;
      }
      if (loaded !== i) arc.load(this, i);
      loaded = i;
      out[k] = arc.value((t - arc.start) / arc.length);
    }
    return out;
  }

  /**
   * The part between two instants, with end samples put in where there were none. Where an end falls on a jump,
   * the cut holds the value after it at `from` and the value before it at `to`: the curve inside the span.
   * @throws RangeError when the span lies outside the trace.
   */
  between(from: number, to: number): Trace {
    this.demand(from, to);
    const first = this.index(from);
    if (from === to) return this.rebuilt([from], [this.at(from)], [this.slope?.[first] ?? 0], undefined);
    // The last sample kept as it stands is the last one before `to`.
    let last = first;
    while (this.time[last + 1] < to) last++;
    const count = last - first + 2;
    const time = this.time.slice(first, first + count);
    const value = this.value.slice(first, first + count);
    const after = this.slope?.slice(first, first + count);
    const before = this.slopeBefore?.slice(first, first + count);
    const head = new Arc().load(this, first);
    const tail = new Arc().load(this, last);
    const s0 = (from - head.start) / head.length;
    const s1 = (to - tail.start) / tail.length;
    time[0] = from;
    time[count - 1] = to;
    value[0] = head.value(s0);
    value[count - 1] = s1 === 1 ? this.value[last + 1] : tail.value(s1);
    if (after && before) {
      // A part of a cubic is the cubic of its own ends. Where the guard chose a straight line the cut gets the line's slopes, so
      // that it stays straight.
      after[0] = head.slope(s0);
      before[0] = after[0];
      before[count - 1] = tail.slope(s1);
      after[count - 1] = before[count - 1];
      if (head.straight) before[1] = head.slope(1);
      if (tail.straight) after[count - 2] = tail.slope(0);
    }
    return this.rebuilt(time, value, after, before);
  }

  private rebuilt(
    time: ArrayLike<number>,
    value: ArrayLike<number>,
    slope: ArrayLike<number> | undefined,
    slopeBefore: ArrayLike<number> | undefined,
  ): Trace {
    const struck = this.struck(time[0], time[time.length - 1]);
    const impulses = {
      time: Float64Array.from(struck, (one) => one.time),
      size: Float64Array.from(struck, (one) => one.size),
    };
    const pack = (from: ArrayLike<number> | undefined) => from && this.slope && Float64Array.from(from);
    return new Trace({
      name: this.name,
      unit: this.unit,
      time: Float64Array.from(time),
      value: Float64Array.from(value),
      slope: pack(slope),
      slopeBefore: pack(slopeBefore),
      exact: this.exact,
      impulses: struck.length > 0 ? impulses : undefined,
    });
  }

  private demand(from: number, to: number): void {
    if (typeof from === "number" && typeof to === "number")
      if (from >= this.from && to <= this.to && from <= to) return;
    demandSeconds(from, to);
    throw new RangeError(
      `${from === to ? `${from} s` : `${from} s to ${to} s`} lies outside trace ${this.name}, ` +
        `which runs from ${this.from} s to ${this.to} s`,
    );
  }
}

/** Refuses times that are not numbers, such as texts; called only where the values fail a check. */
function demandSeconds(...times: readonly unknown[]): void {
  if (times.some((time) => typeof time !== "number"))
    throw new RangeError("a time is a number of seconds here, not a text or anything else");
}
