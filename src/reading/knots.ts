// Samples of a trace as they come. A trace of a second has a million of them, so room for all of them is made once the first have
// shown how many there will be: what is never written costs nothing, and little is copied.
import type { Seen } from "./accuracy.js";

/** Samples that there is room for at first. */
const fewest = 256;
/** How many times as much room there is after more was needed, at least and at most. */
const least = 2;
const most = 64;
/** Room beyond what is expected. */
const spare = 1.25;
/** A column of which at least this share was written is handed on as it is. */
const handed = 0.5;

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
  private columns: Columns = columns(fewest);

  /**
   * @param room the most bytes that the samples may take
   * @param beyond called where they would take more
   * @param span from where to where they will be, s, if that is known
   */
  constructor(
    private readonly room = Number.POSITIVE_INFINITY,
    private readonly beyond: () => never = refuseToGrow,
    private readonly span?: { readonly from: number; readonly to: number },
  ) {}

  /** Adds what was seen at a tick, at its instant in seconds. */
  add(time: number, { value, slope }: Seen): void {
    this.push(time, value, slope);
  }

  /** The same from single figures. */
  push(at: number, seen: number, rise: number): void {
    if (this.count === this.columns.time.length) this.extend();
    const { time, value, slope, after } = this.columns;
    const i = this.count++;
    time[i] = at;
    value[i] = seen;
    slope[i] = rise;
    after[i] = rise;
  }

  /** Instant (s) and value of the last sample; NaN where there is none. */
  get time(): number {
    return this.count > 0 ? this.columns.time[this.count - 1] : Number.NaN;
  }

  get value(): number {
    return this.count > 0 ? this.columns.value[this.count - 1] : Number.NaN;
  }

  /** Gives the curve another slope after the last sample. */
  turn(slope: number): void {
    this.columns.after[this.count - 1] = slope;
  }

  /** Makes the curve straight from the last sample to a point; returns its slope. */
  straight(time: number, value: number): number {
    const slope = (value - this.value) / (time - this.time);
    this.turn(slope);
    return slope;
  }

  /** A column of all samples. */
  column(key: keyof Columns): Float64Array {
    const column = this.columns[key];
    return this.count < handed * column.length ? column.slice(0, this.count) : column.subarray(0, this.count);
  }

  private extend(): void {
    const { count, room, columns: before } = this;
    if (count * wide > room) this.beyond();
    const expected = Math.min(Math.max(spare * this.expected(), least * count), most * count);
    this.columns = columns(Math.ceil(Math.min(expected, room / wide + 1)));
    for (const key of keys) this.columns[key].set(before[key]);
  }

  /** How many samples there will be, if they go on as they have come. */
  private expected(): number {
    const { count, span } = this;
    return span && this.time > span.from ? (count * (span.to - span.from)) / (this.time - span.from) : 0;
  }
}

const keys = ["time", "value", "slope", "after"] as const;

function columns(size: number): Columns {
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
