// What a curve amounts to over a stretch of time, taken piece by piece: its lowest and highest value with the first instant of
// each, its integral and that of its square.
import { CompensatedSum, squareArea } from "../measures/average.js";
import { type Window, walk } from "../measures/window.js";
import { traceAccuracy } from "../reading/accuracy.js";
import type { Arc } from "../waveforms/arc.js";
import type { Struck, Trace } from "../waveforms/trace.js";

/** A value and its instant, s. */
interface Extreme {
  readonly value: number;
  readonly at: number;
}

const turns = [Number.NaN, Number.NaN];

/** Takes in a curve between two instants. */
export class Tally {
  private lowest = Number.POSITIVE_INFINITY;
  private lowestAt = Number.NaN;
  private highest = Number.NEGATIVE_INFINITY;
  private highestAt = Number.NaN;
  private readonly area = new CompensatedSum();
  private readonly squares = new CompensatedSum();

  /**
   * @param from s, and `to`, s: the stretch; anything beyond it does not count
   * @param struck the impulses within it
   */
  constructor(
    private readonly from: number,
    private readonly to: number,
    readonly struck: readonly Struck[],
  ) {}

  /** The tally of a trace between two instants that it covers. */
  static of({ trace, from, to }: Window): Tally {
    const tally = new Tally(from, to, trace.struck(from, to));
    if (from < to) walk(trace, from, to, (arc, s0, s1) => tally.between(arc, s0, s1));
    else tally.still(trace);
    return tally;
  }

  /** Over a stretch of no length the value there counts. */
  private still(trace: Trace): void {
    const value = trace.at(this.from);
    this.meet(value, this.from);
    this.area.add(value);
    this.squares.add(value * value);
  }

  /** Takes a piece of the curve. */
  add(arc: Arc): void {
    const { from, to } = this;
    const end = arc.start + arc.length;
    const s0 = arc.start < from ? (from - arc.start) / arc.length : 0;
    const s1 = end > to ? (to - arc.start) / arc.length : 1;
    if (s0 < s1) this.between(arc, s0, s1);
  }

  private between(arc: Arc, s0: number, s1: number): void {
    this.meet(arc.value(s0), arc.start + s0 * arc.length);
    this.meet(arc.value(s1), arc.start + s1 * arc.length);
    const n = arc.turns(turns);
    for (let k = 0; k < n; k++)
      if (turns[k] > s0 && turns[k] < s1) this.meet(arc.value(turns[k]), arc.start + turns[k] * arc.length);
    this.area.add(arc.area(s0, s1));
    this.squares.add(squareArea(arc, s0, s1));
  }

  private meet(value: number, at: number): void {
    // Values that the curve's accuracy cannot tell apart count as equal, and the first of them is named.
    const play = traceAccuracy * (this.highest - this.lowest);
    const lower = this.lowest - value;
    const higher = value - this.highest;
    if (!(lower <= play) || (at < this.lowestAt && lower >= -play)) this.lowestAt = at;
    if (!(higher <= play) || (at < this.highestAt && higher >= -play)) this.highestAt = at;
    if (lower > 0) this.lowest = value;
    if (higher > 0) this.highest = value;
  }

  /** The lowest value; −Infinity at an impulse below zero. */
  get low(): Extreme {
    const struck = this.struck.find(({ size }) => size < 0);
    return struck
      ? { value: Number.NEGATIVE_INFINITY, at: struck.time }
      : { value: this.lowest, at: this.lowestAt };
  }

  /** The highest value, likewise. */
  get high(): Extreme {
    const struck = this.struck.find(({ size }) => size > 0);
    return struck
      ? { value: Number.POSITIVE_INFINITY, at: struck.time }
      : { value: this.highest, at: this.highestAt };
  }

  private get length(): number {
    return this.from < this.to ? this.to - this.from : 1;
  }

  /** Mean over the stretch. */
  get mean(): number {
    return (this.area.total + this.struck.reduce((sum, { size }) => sum + size, 0)) / this.length;
  }

  /** Root of the mean square over it. */
  get rms(): number {
    return this.struck.length > 0 ? Number.POSITIVE_INFINITY : Math.sqrt(this.squares.total / this.length);
  }
}
