// A recurring leap, parted where a trace may look at it. Each part has forms over z at the start of the leap for the place where
// it would be parted. The matrix work is done once for all leaps of a length; a look is two short sums.
import { powerOfTwo } from "../stepping/binary.js";
import { cubic, doubtful, furtherOf, furtherShares, mostPartings, partingShare } from "./accuracy.js";
import { lossShare, triedPlaces } from "./roundoff.js";

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
  /** Those over some lengths from the start on, as far as they have been asked for: what has decayed since has left its rounding. */
  readonly early: Float64Array[];
}

/** A look into a part: 0 where it would be parted, then one for each of `furtherShares`. */
export type PartLook = number;

const further: readonly PartLook[] = furtherShares.map((_, k) => k + 1);
/** How still a form is that nothing early moves, as a share of the terms that it is summed from. */
const stillness = 1e-9;

/** A part of a leap. Its ticks are counted from the start of the leap. */
export class LeapPart {
  /** Where it is parted, or 0 if it is not; and the share of the part before that. */
  readonly middle: number;
  readonly share: number;
  /** Its length, s. */
  readonly seconds: number;
  /** The coefficients of each look. */
  private readonly rows: (Float64Array | undefined)[] = [];
  private sum: Float64Array | undefined = undefined;
  private readonly entries: Int32Array;
  private head: LeapPart | undefined = undefined;
  private tail: LeapPart | undefined = undefined;

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

  private tick(look: PartLook): number {
    if (look === 0) return this.middle;
    return this.from + Math.floor(furtherShares[look - 1] * (this.to - this.from));
  }

  /**
   * The looks to take after the first.
   * @param doubted the first may have met the cubic by chance
   * @param allowed as for `still`
   */
  further(doubted: boolean, z: Float64Array, allowed: number): readonly PartLook[] {
    const still = this.still(z, allowed);
    return still && !doubted ? [] : this.looks(doubted, !still);
  }

  /** Further looks, but those that round to the start. */
  private looks(doubted: boolean, begins: boolean): readonly PartLook[] {
    return furtherOf(further, doubted, begins).filter((look) => this.tick(look) > this.from);
  }

  /**
   * Whether no early look can be off the cubic of the part. What all of them are off is added up, each with a weight of its own,
   * so that one sum over z tells; a form of which it does not tell has to be looked at.
   * @param allowed by how much each form may be off; 0: by rounding alone
   */
  private still(z: Float64Array, allowed: number): boolean {
    if (this.from > 0) return true;
    this.sum ??= this.earlyErrors();
    const { entries, sum } = this;
    for (let p = 0; p < sum.length; ) {
      let off = 0;
      let terms = 0;
      for (let k = 0; k < entries.length; k++, p++) {
        const term = sum[p] * z[entries[k]];
        off += term;
        terms += Math.abs(term);
      }
      if (Math.abs(off) > (allowed || stillness * terms)) return false;
    }
    return true;
  }

  // For each form and entry the weighted errors of the cubic at all early looks.
  private earlyErrors(): Float64Array {
    const [a, b] = [this.leap.pairs(0), this.leap.pairs(this.to)];
    const sum = new Float64Array(a.length / 2);
    const h = this.seconds;
    this.looks(false, true).forEach((look, n) => {
      const m = this.pairs(look);
      const share = this.before(look);
      for (let k = 0, p = 0; k < sum.length; k++, p += 2) {
        const rise = b[p] - a[p];
        const { bend } = cubic(rise, h * a[p + 1] - rise, h * b[p + 1] - rise, share);
        sum[k] += (1 + 0.618 * n) * (a[p] + rise * share + bend - m[p]);
      }
    });
    return sum;
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

  /** Rounding of value and slope of that look, written from the start. @param outer how often what holds the leap has been parted */
  round(z: Float64Array, into: Float64Array, look: PartLook = 0, outer = 0): void {
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
    if (outer + this.depth >= doubtful) this.leave(z, into, this.tick(look));
  }

  /** Raises the rounding of values to the largest at any time up to a tick (leftrounding.ts). */
  private leave(z: Float64Array, into: Float64Array, tick: number): void {
    const { entries, leap } = this;
    for (let n = 0, ticks = 1; ticks <= tick; ticks = powerOfTwo(triedPlaces * ++n)) {
      leap.early[n] ??= leap.pairs(ticks);
      const pairs = leap.early[n];
      for (let p = 0, w = 0; p < pairs.length; w += 2) {
        let v = 0;
        for (let k = 0; k < entries.length; k++, p += 2) v += Math.abs(pairs[p] * z[entries[k]]);
        into[w] = Math.max(into[w], lossShare * v);
      }
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
