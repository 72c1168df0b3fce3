// Samples of a trace as they come. They are kept in pieces that are never copied until the trace is whole: a trace of a second
// has a million of them, and columns that double would be written twice and thrown away.
import type { Seen } from "./accuracy.js";

/** The first piece has so many samples, and no piece more than the most. */
const fewest = 1024;
const most = 65536;

/** Bytes that a sample counts for: instant, value and slope. */
const wide = 24;

/** Samples by column: instant (s), value, slope just before and just after. */
interface Columns {
  readonly time: Float64Array;
  readonly value: Float64Array;
  readonly slope: Float64Array;
  readonly after: Float64Array;
}

/** The samples of one trace. */
export class Knots {
  /** How many there are. */
  count = 0;
  private readonly full: Columns[] = [];
  private last: Columns = piece(fewest);
  /** How many of the last piece are there. */
  private used = 0;

  /**
   * @param room the most bytes that the samples may take
   * @param beyond says so where they would take more
   */
  constructor(
    private readonly room = Number.POSITIVE_INFINITY,
    private readonly beyond: () => never = refuseToGrow,
  ) {}

  /** Adds what was seen at an instant. */
  add(time: number, { value, slope }: Seen): void {
    this.push(time, value, slope);
  }

  /** The same. */
  push(at: number, seen: number, rise: number): void {
    if (this.used === this.last.time.length) this.extend();
    const { time, value, slope, after } = this.last;
    const i = this.used++;
    this.count++;
    time[i] = at;
    value[i] = seen;
    slope[i] = rise;
    after[i] = rise;
  }

  /** Instant (s) and value of the sample added last; NaN where there is none. */
  get time(): number {
    return this.count > 0 ? this.last.time[this.used - 1] : Number.NaN;
  }

  get value(): number {
    return this.count > 0 ? this.last.value[this.used - 1] : Number.NaN;
  }

  /** From the sample added last on the curve has another slope. */
  turn(slope: number): void {
    this.last.after[this.used - 1] = slope;
  }

  /** From the sample added last on the curve is a straight line to a point; its slope. */
  straight(time: number, value: number): number {
    const slope = (value - this.value) / (time - this.time);
    this.turn(slope);
    return slope;
  }

  /** A column of all samples. */
  column(key: keyof Columns): Float64Array {
    const end = this.last[key].subarray(0, this.used);
    if (this.full.length === 0) return end.slice();
    const whole = new Float64Array(this.count);
    let at = 0;
    for (const one of this.full) {
      whole.set(one[key], at);
      at += one[key].length;
    }
    whole.set(end, at);
    return whole;
  }

  private extend(): void {
    if (this.count * wide > this.room) this.beyond();
    this.full.push(this.last);
    this.last = piece(Math.min(this.count, most));
    this.used = 0;
  }
}

function piece(size: number): Columns {
  return {
    time: new Float64Array(size),
    value: new Float64Array(size),
    slope: new Float64Array(size),
    after: new Float64Array(size),
  };
}

function refuseToGrow(): never {
  throw new RangeError("more samples than there is room for");
}
