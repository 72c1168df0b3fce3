// Forms over z that hold together, carried to the start of leaps that come again: once for each length, so that a look into such
// a leap costs some short sums.
import type { Course } from "../stepping/courses.js";
import type { Sight } from "./forms.js";
import { formOver, type LeapForm } from "./leapforms.js";
import { LeapPart } from "./leapparts.js";

/** The most lengths that forms are kept for. */
const mostKept = 16384;

/** Forms of one combination of modes. */
export class FormSet {
  /** By length in ticks: the forms over the z so long before. */
  private readonly kept = new Map<number, readonly LeapForm[]>();
  /** By length in ticks: leaps with the looks into them, and how many looks they hold in all. */
  private readonly leaps = new Map<number, LeapPart>();
  private looks = 0;
  /** A row over z in hand, and its slope. */
  private readonly row: Float64Array;
  private readonly before: Float64Array;

  /**
   * @param sights what is seen of the forms
   * @param entries of z, that the forms depend on
   */
  constructor(
    readonly forms: readonly LeapForm[],
    readonly sights: readonly Sight[],
    private readonly course: Course,
    private readonly entries: Int32Array,
  ) {
    this.row = new Float64Array(course.motion.width);
    this.before = new Float64Array(course.motion.width);
  }

  /** The forms over the z so many ticks before, for lengths that are looked at again and again. */
  after(ticks: number): readonly LeapForm[] {
    const known = this.kept.get(ticks);
    if (known) return known;
    if (this.kept.size >= mostKept) this.kept.clear();
    const forms = this.pulled(ticks);
    this.kept.set(ticks, forms);
    return forms;
  }

  /** The same for a length that comes once. */
  pulled(ticks: number): readonly LeapForm[] {
    const { motion, matrices } = this.course;
    return this.forms.map(({ value, apart }) => {
      const before = value.slice();
      matrices.pull(before, ticks);
      return formOver(before, motion.before(before), apart);
    });
  }

  /** A leap of so many ticks that comes again, parted where it is looked at. */
  leap(ticks: number): LeapPart {
    let whole = this.leaps.get(ticks);
    if (whole) return whole;
    if (this.looks >= mostKept) {
      this.leaps.clear();
      this.looks = 0;
    }
    const { entries, course } = this;
    const pairs = (into: number) => this.pairs(into);
    whole = new LeapPart({ tick: course.matrices.tick, entries, pairs }, 0, ticks);
    this.leaps.set(ticks, whole);
    return whole;
  }

  /** All forms and their slopes over the z so many ticks before, form by form as pairs for the entries that they depend on. */
  private pairs(ticks: number): Float64Array {
    const { course, entries, row, before, forms } = this;
    const pairs = new Float64Array(2 * entries.length * forms.length);
    let p = 0;
    for (const { value } of forms) {
      this.looks++;
      row.set(value);
      course.matrices.pull(row, ticks);
      course.motion.before(row, before);
      for (const entry of entries) {
        pairs[p++] = row[entry];
        pairs[p++] = before[entry];
      }
    }
    return pairs;
  }
}
