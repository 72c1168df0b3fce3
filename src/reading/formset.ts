// Forms over z that share one motion, carried to the start of leaps that recur: once per length, so that a look into such a leap
// costs a few short sums. Where something is so quick that rounding of its slope would show, the forms are first carried over the
// longest power of two ticks in double-doubles: what has decayed by then is gone from both value and slope.
import { powerOfTwo } from "../stepping/binary.js";
import type { Course } from "../stepping/courses.js";
import { PulledRow } from "../stepping/pulledrow.js";
import type { Sight } from "./forms.js";
import { type FormDependence, formOver, type LeapForm } from "./leapforms.js";
import { LeapPart } from "./leapparts.js";
import { LeapPlans } from "./leapplans.js";

/** The most lengths, and looks into leaps, for which forms are kept. */
const mostKept = 16384;

/** Forms of one combination of modes. */
export class FormSet {
  /** By the error allowed to a cubic: plans of leaps that were drawn, for leaps that begin alike. */
  private readonly plans = new Map<number, LeapPlans>();
  /** By length in ticks: the forms over the z that much earlier. */
  private readonly kept = new Map<number, readonly LeapForm[]>();
  /** By length in ticks: recurring leaps with the looks into them; and how many looks they hold in all. */
  private readonly leaps = new Map<number, LeapPart>();
  private looks = 0;
  /** By exponent: the forms over the z 2^exponent ticks earlier, as rows of value and slope, from double-doubles. */
  private readonly far: (readonly { readonly value: PulledRow; readonly slope: PulledRow }[] | undefined)[] =
    [];
  /** The forms as they are carried, where nothing is that quick. */
  private readonly near: PulledRow[] = [];
  /** The form, where it is the only one and is all that is seen. */
  readonly single: LeapForm | undefined;
  /** The entries of z that the forms depend on. */
  readonly entries: Int32Array;
  /** They depend on none that moves: a source's voltage has nothing quick in it that could die away. */
  private readonly still: boolean;
  /** Scratch: a form carried, and its slope. */
  private readonly value: Float64Array;
  private readonly slope: Float64Array;

  /**
   * @param sights what is seen of the forms
   * @param course how z moves
   * @param dependence what the forms depend on
   */
  constructor(
    readonly forms: readonly LeapForm[],
    readonly sights: readonly Sight[],
    private readonly course: Course,
    { entries, moving }: Pick<FormDependence, "entries" | "moving">,
  ) {
    this.entries = entries;
    this.still = moving.length === 0;
    this.value = new Float64Array(course.motion.width);
    this.slope = new Float64Array(course.motion.width);
    this.single = sights.length === 1 && sights[0].length === 1 ? forms[sights[0][0]] : undefined;
  }

  /** The plans of traces drawn this accurately: a coarse trace for a picture must not lend its plans to one that is measured. */
  plansFor(within: number): LeapPlans {
    const plans = this.plans.get(within) ?? new LeapPlans();
    this.plans.set(within, plans);
    return plans;
  }

  /** Whether within `ticks` something decays that is so quick that the rounding of slopes might show. */
  outlasts(ticks: number): boolean {
    return !this.still && this.course.matrices.doubling.farWithin(ticks) >= 0;
  }

  /** The same for a whole stretch, whose forms must also stay finite: nothing could be read of others. */
  outlastsWhole(ticks: number): boolean {
    const finite = (row: Float64Array) => row.every((x) => Number.isFinite(x));
    return (
      this.outlasts(ticks) && this.after(ticks).every(({ value, slope }) => finite(value) && finite(slope))
    );
  }

  /** Lengths in ticks, up to the longest, for which `outlasts` holds: powers of two, so many binary places apart. */
  *lasting(longest: number, places: number): Generator<number> {
    for (let length = this.course.matrices.doubling.farLeast; length <= longest; length *= powerOfTwo(places))
      yield length;
  }

  /** A length in seconds. */
  seconds(ticks: number): number {
    return ticks * this.course.matrices.tick;
  }

  /** The forms over the z `ticks` earlier, for lengths that are looked at again and again. */
  after(ticks: number): readonly LeapForm[] {
    const known = this.kept.get(ticks);
    if (known) return known;
    if (this.kept.size >= mostKept) this.kept.clear();
    const forms = this.pulled(ticks);
    this.kept.set(ticks, forms);
    return forms;
  }

  /** The same for a length that occurs once. */
  pulled(ticks: number): readonly LeapForm[] {
    const { width } = this.course.motion;
    return this.forms.map(({ apart }, f) => {
      const [value, slope] = [new Float64Array(width), new Float64Array(width)];
      this.carry(f, ticks, value, slope);
      return formOver(value, slope, apart);
    });
  }

  /** A recurring leap of `ticks`, parted where it is looked at. */
  leap(ticks: number): LeapPart {
    let whole = this.leaps.get(ticks);
    if (whole) return whole;
    if (this.looks >= mostKept) {
      this.leaps.clear();
      this.looks = 0;
    }
    const { entries, course } = this;
    const pairs = (into: number) => {
      this.looks += this.forms.length;
      return this.pairs(into);
    };
    whole = new LeapPart({ tick: course.matrices.tick, entries, pairs, early: [] }, 0, ticks);
    this.leaps.set(ticks, whole);
    return whole;
  }

  /** All forms and their slopes over the z `ticks` earlier: form by form, a pair for each entry that they depend on. */
  pairs(ticks: number): Float64Array {
    const { entries, forms, value, slope } = this;
    const pairs = new Float64Array(2 * entries.length * forms.length);
    let p = 0;
    for (let f = 0; f < forms.length; f++) {
      this.carry(f, ticks, value, slope);
      for (const entry of entries) {
        pairs[p++] = value[entry];
        pairs[p++] = slope[entry];
      }
    }
    return pairs;
  }

  /** Writes a form and its slope over the z `ticks` earlier. */
  private carry(form: number, ticks: number, value: Float64Array, slope: Float64Array): void {
    const { motion, matrices } = this.course;
    const exponent = matrices.doubling.farWithin(ticks);
    if (exponent < 0) {
      const { near } = this;
      near[form] ??= new PulledRow(this.forms[form].value);
      matrices.pullOf(near[form], ticks, value);
      motion.before(value, slope);
      return;
    }
    this.far[exponent] ??= this.forms.map(({ value: row, rest }) => {
      const far = matrices.doubling.farBefore(row, rest?.(), exponent);
      return { value: new PulledRow(far.value), slope: new PulledRow(far.slope) };
    });
    const far = this.far[exponent][form];
    const rest = ticks - powerOfTwo(exponent);
    matrices.pullOf(far.value, rest, value);
    matrices.pullOf(far.slope, rest, slope);
  }
}
