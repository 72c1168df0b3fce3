// A recurring leap, parted where a trace may look at it. Each part has forms over z at the start of the leap for the place where
// it would be parted. The matrix work is done once for all leaps of a length; a look is two short sums.
import { doubtShares, mostPartings, partingShare } from "./accuracy.js";
import { lossShare } from "./roundoff.js";

/** What is read. */
interface RecurringForms {
  /** Length of a tick, s. */
  readonly tick: number;
  /** The entries of z that the forms depend on. */
  readonly entries: Int32Array;
  /**
   * The forms over the z `ticks` earlier, form by form: coefficients of value and slope in turn, a pair for each of these
   * entries.
   */
  readonly pairs: (ticks: number) => Float64Array;
}

/** A look into a part: the first, and two more for cases of doubt. */
export type PartLook = 0 | 1 | 2;

/** A part of a leap. Its ticks are counted from the start of the leap. */
export class LeapPart {
  /** Where it is parted, or 0 if it is not; and the share of the part before that. */
  readonly middle: number;
  readonly share: number;
  /** Its length, s. */
  readonly seconds: number;
  /** The coefficients of each look. */
  private readonly rows: (Float64Array | undefined)[] = [undefined, undefined, undefined];
  private readonly entries: Int32Array;
  private head: LeapPart | undefined;
  private tail: LeapPart | undefined;

  /** @param depth how often the leap has been parted already */
  constructor(
    private readonly leap: RecurringForms,
    readonly from: number,
    readonly to: number,
    private readonly depth = 0,
  ) {
    const step = Math.floor(partingShare * (to - from));
    this.share = step / (to - from);
    this.seconds = (to - from) * leap.tick;
    this.middle = step > 0 && depth < mostPartings ? from + step : 0;
    this.entries = leap.entries;
  }

  /** The tick of a look: the first where the part is parted, the others for cases of doubt. */
  private tick(look: PartLook): number {
    if (look === 0) return this.middle;
    return this.from + Math.floor(doubtShares[look - 1] * (this.to - this.from));
  }

  /** The share of the part that lies before a look. */
  before(look: PartLook): number {
    return look === 0 ? this.share : (this.tick(look) - this.from) / (this.to - this.from);
  }

  private pairs(look: PartLook): Float64Array {
    let rows = this.rows[look];
    if (!rows) {
      rows = this.leap.pairs(this.tick(look));
      this.rows[look] = rows;
    }
    return rows;
  }

  /** Takes a look: value and slope of each form, written from `at` on. */
  look(z: Float64Array, into: Float64Array, at: number, look: PartLook = 0): void {
    const { entries } = this;
    const pairs = this.pairs(look);
    for (let p = 0, w = at; p < pairs.length; w += 2) {
      let v = 0;
      let d = 0;
      for (let k = 0; k < entries.length; k++, p += 2) {
        const x = z[entries[k]];
        v += pairs[p] * x;
        d += pairs[p + 1] * x;
      }
      into[w] = v;
      into[w + 1] = d;
    }
  }

  /** Rounding of value and slope of that look, written from the start. */
  round(z: Float64Array, into: Float64Array, look: PartLook = 0): void {
    const { entries } = this;
    const pairs = this.pairs(look);
    const elapsed = this.tick(look) * this.leap.tick;
    for (let p = 0, w = 0; p < pairs.length; w += 2) {
      let v = 0;
      let d = 0;
      for (let k = 0; k < entries.length; k++, p += 2) {
        const size = Math.abs(z[entries[k]]);
        v += Math.abs(pairs[p]) * size;
        d += Math.abs(pairs[p + 1]) * size;
      }
      into[w] = lossShare * (v + elapsed * d);
      into[w + 1] = lossShare * d;
    }
  }

  /** The parts before and after the middle. */
  get earlier(): LeapPart {
    this.head ??= new LeapPart(this.leap, this.from, this.middle, this.depth + 1);
    return this.head;
  }

  get later(): LeapPart {
    this.tail ??= new LeapPart(this.leap, this.middle, this.to, this.depth + 1);
    return this.tail;
  }
}
