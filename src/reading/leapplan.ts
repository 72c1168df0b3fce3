// A plan draws again, at the same places, a leap like one drawn before. What is seen at a sample is a row over z at the start of
// the leap, and so is the error of the cubic between two samples. A leap whose z is so near that no cubic can be off by more than
// is allowed takes the samples as they are, without looks. Leaps that begin alike may differ in length.
import { cubic } from "./accuracy.js";
import { lossShare } from "./roundoff.js";

/** A leap from its start, as its samples divide it. */
export interface LeapSteps {
  /** The samples after the start, in ticks from it. */
  readonly ticks: readonly number[];
  /** Where the cubic before each sample was looked at, in ticks from the start. */
  readonly between: readonly (readonly number[])[];
  /** The largest error of a look; that of a slope counts times the length of its cubic, by a fourth. */
  readonly worst: number;
  /** The error allowed. */
  readonly allowed: number;
}

/** A single form over z that is all that is read. */
export interface PlannedForm {
  /** The entries of z that it depends on. */
  readonly entries: Int32Array;
  /** The form over the z `ticks` earlier: coefficients of value and slope in turn, a pair for each of these entries. */
  pairs(ticks: number): Float64Array;
}

/** Samples of leaps that begin alike. */
export class LeapPlan {
  /** The samples, in ticks from the start of the leap. */
  readonly ticks: Float64Array;
  readonly allowed: number;
  /** The plan that the leap after this one followed last time. */
  next: LeapPlan | undefined = undefined;
  private readonly worst: number;
  private readonly entries: Int32Array;
  /** The rows, sample by sample, as the form gives them. */
  private readonly pairs: Float64Array;
  /** The most that a cubic is off for each unit of an entry, of the first so many cubics. */
  private readonly errors: Float64Array;
  private known = 0;
  private readonly between: LeapSteps["between"];
  /** z where the plan was made, and where it is used. */
  private readonly at: Float64Array;
  private readonly here: Float64Array;
  private readonly looks: Float64Array;

  /**
   * @param z at the start of the leap that was looked into
   * @param second length of a tick, s
   */
  constructor(
    { ticks, between, worst, allowed }: LeapSteps,
    z: Float64Array,
    private readonly form: PlannedForm,
    private readonly second: number,
  ) {
    const { entries } = form;
    this.between = between;
    this.entries = entries;
    const wide = 2 * entries.length;
    this.ticks = Float64Array.from(ticks);
    this.allowed = allowed;
    this.worst = worst;
    this.at = Float64Array.from(entries, (j) => z[j]);
    this.here = new Float64Array(entries.length);
    this.looks = new Float64Array(2 * ticks.length);
    this.pairs = new Float64Array(wide * ticks.length);
    this.errors = new Float64Array(entries.length);
    for (let k = 0; k < ticks.length; k++) this.pairs.set(form.pairs(ticks[k]), k * wide);
  }

  /** Includes the errors of the next cubic: most plans are refused by the first few. */
  private widen(): void {
    const { form, between, ticks, pairs, second } = this;
    const k = this.known++;
    const wide = 2 * this.entries.length;
    const from = k > 0 ? ticks[k - 1] : 0;
    const before = k > 0 ? pairs.subarray((k - 1) * wide, k * wide) : form.pairs(0);
    const behind = pairs.subarray(k * wide, (k + 1) * wide);
    for (const middle of between[k]) {
      const inside = middle === from ? before : form.pairs(middle);
      this.raise(before, behind, inside, (ticks[k] - from) * second, (middle - from) / (ticks[k] - from));
    }
  }

  /** Includes the error of a cubic at a share of its length; `h` is its length, s. */
  private raise(a: Float64Array, b: Float64Array, m: Float64Array, h: number, share: number): void {
    const { errors } = this;
    for (let k = 0, p = 0; k < errors.length; k++, p += 2) {
      const rise = b[p] - a[p];
      const { bend, slope: steep } = cubic(rise, h * a[p + 1] - rise, h * b[p + 1] - rise, share);
      const value = a[p] + rise * share + bend - m[p];
      const slope = steep - h * m[p + 1];
      errors[k] = Math.max(errors[k], Math.abs(value), Math.abs(slope) / 4);
    }
  }

  /**
   * Whether the samples fit a leap.
   * @param allowed the error allowed now: less than when the plan was made if the swing is smaller
   * @param spare by how much more a cubic may be off
   */
  fits(z: Float64Array, allowed: number, spare: number): boolean {
    const room = Math.min(this.allowed, allowed) - this.worst + spare;
    // What the first cubics refuse the others would refuse as well.
    for (;;) {
      if (!this.holds(z, room)) return false;
      if (this.known === this.ticks.length) return true;
      this.widen();
    }
  }

  /** Whether, by what is known of its errors, no cubic is off by more than `room` for z. */
  private holds(z: Float64Array, room: number): boolean {
    const { entries, errors, at } = this;
    let left = room;
    for (let k = 0; k < entries.length; k++) {
      left -= errors[k] * Math.abs(z[entries[k]] - at[k]);
      if (!(left >= 0)) return false;
    }
    return true;
  }

  /** The rounding of what is seen at the samples, and of their cubics; `second` is the length of a tick. */
  blur(z: Float64Array, second: number): number {
    const { entries, pairs, ticks } = this;
    let most = 0;
    for (let k = 0, p = 0, from = 0; k < ticks.length; from = ticks[k++]) {
      let v = 0;
      let d = 0;
      for (let e = 0; e < entries.length; e++, p += 2) {
        const size = Math.abs(z[entries[e]]);
        v += Math.abs(pairs[p]) * size;
        d += Math.abs(pairs[p + 1]) * size;
      }
      most = Math.max(
        most,
        lossShare * (v + ticks[k] * second * d),
        lossShare * (ticks[k] - from) * second * d,
      );
    }
    return most;
  }

  /** How many samples lie within a leap of `whole` ticks without leaving a sliver at its end. */
  within(whole: number): number {
    const { ticks } = this;
    let count = ticks.length;
    while (count > 0 && ticks[count - 1] >= whole) count--;
    if (count === 0 || ticks[count] === whole) return count;
    const [last, before] = [ticks[count - 1], count > 1 ? ticks[count - 2] : 0];
    return whole - last < 0.5 * (last - before) ? count - 1 : count;
  }

  /** What is seen at the first samples: value and slope of each in turn, in an array that is reused. */
  seen(count: number, z: Float64Array): Float64Array {
    const { entries, pairs, looks, here } = this;
    const wide = entries.length;
    for (let k = 0; k < wide; k++) here[k] = z[entries[k]];
    for (let p = 0, w = 0; w < 2 * count; w += 2) {
      let v = 0;
      let d = 0;
      for (let k = 0; k < wide; k++, p += 2) {
        v += pairs[p] * here[k];
        d += pairs[p + 1] * here[k];
      }
      looks[w] = v;
      looks[w + 1] = d;
    }
    return looks;
  }
}
