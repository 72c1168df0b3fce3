// Samples of a trace as they come. They are kept in pieces that are not copied until the trace is whole: a trace of a second has
// a million of them, and a column that doubles would be copied each time it grows.
import type { Seen } from "./accuracy.js";

/** Samples of the first piece, and of the largest. */
const fewest = 1024;
const most = 65536;

/** Bytes that a sample is counted at: instant, value and slope. */
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
  /** How many samples the last piece holds. */
  private used = 0;

  /**
   * @param room the most bytes that the samples may take
   * @param beyond called where they would take more
   */
  constructor(
    private readonly room = Number.POSITIVE_INFINITY,
    private readonly beyond: () => never = refuseToGrow,
  ) {}

  /** Adds what was seen at a tick, at its instant in seconds. */
  add(time: number, { value, slope }: Seen): void {
    this.push(time, value, slope);
  }

  /** The same from single figures. */
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

  /** Instant (s) and value of the last sample; NaN where there is none. */
  get time(): number {
    return this.count > 0 ? this.last.time[this.used - 1] : Number.NaN;
  }

  get value(): number {
    return this.count > 0 ? this.last.value[this.used - 1] : Number.NaN;
  }

  /** Gives the curve another slope after the last sample. */
  turn(slope: number): void {
    this.last.after[this.used - 1] = slope;
  }

  /** Makes the curve straight from the last sample to a point; returns its slope. */
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
