// A probe in one combination of modes: its forms over z, what they depend on, and which of them hold by the guards that the
// march leaves out.

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import type { ProbeReader } from "./forms.js";
import { dependenceOf, type FormDependence, formOver, type LeapForm, leapFormOf } from "./leapforms.js";
import { LeapPart } from "./leapparts.js";
import type { RailModes } from "./rails.js";
import { bitsOf } from "./samples.js";

/** The most lengths that forms are kept for. */
const mostKept = 16384;

/** A probe in one combination. */
export class ModeView {
  readonly course: Course;
  /** What is seen: the first, or where `products` is set the sum of the products of forms 2k and 2k + 1. */
  readonly forms: readonly LeapForm[];
  readonly products: boolean;
  /** Guards that the march leaves out, where what is seen depends on any of them. */
  readonly guards: readonly LeapForm[];
  /** What all of these depend on, and its states as bits. */
  readonly dependence: FormDependence;
  readonly mask: number;
  /** Entries of z that the forms look at; of these those that move, and levels of sources. */
  readonly entries: Int32Array;
  readonly moving: Int32Array;
  readonly levels: Int32Array;
  /** Sources that are not in z. */
  readonly apart: readonly number[];
  /** By the signs of the guards: the forms that hold then. */
  private readonly variants = new Map<string, readonly LeapForm[]>();
  /** By length in ticks: the forms over the z so long before. */
  private readonly kept = new Map<number, readonly LeapForm[]>();

  /** By length in ticks: leaps with the looks into them, and how many looks they hold in all. */
  private readonly leaps = new Map<number, LeapPart>();
  private looks = 0;
  private readonly tick: number;

  /** @param rails absent where what is seen has no current in it: the guards left out move no voltage */
  constructor(
    { courses, clock }: Assembly,
    private readonly at: Combination,
    private readonly read: ProbeReader,
    private readonly rails?: RailModes,
  ) {
    this.tick = clock.seconds;
    this.course = courses.of(at);
    this.products = read(at).products;
    this.forms = this.formsIn(at);
    const guards = rails?.forms(at, this.course) ?? [];
    this.guards = guards.some((_, g) => this.turnsWith(g)) ? guards : [];
    const all = [...this.forms, ...this.guards];
    this.apart = [...new Set(all.flatMap((form) => form.apart.map((t) => t.source)))];
    this.dependence = dependenceOf(at, this.course, all, this.products);
    this.mask = bitsOf(this.dependence.states);
    // What holds by the guards may look at more than what holds here.
    const open = this.guards.length > 0;
    const { moving, width, voices } = this.course.motion;
    this.moving = open ? Int32Array.from({ length: moving }, (_, j) => j) : this.dependence.moving;
    this.levels = open ? Int32Array.from(voices, ({ level }) => level) : this.dependence.levels;
    this.entries = open ? Int32Array.from({ length: width }, (_, j) => j) : this.dependence.entries;
  }

  /** The forms that hold by the signs of the guards, "1" for one that is violated. */
  variant(signs: string): readonly LeapForm[] {
    let forms = this.variants.get(signs);
    if (!forms) {
      forms = this.formsIn(this.rails!.variant(this.at, (g) => signs[g] === "1"));
      this.variants.set(signs, forms);
    }
    return forms;
  }

  /** The forms over the z so many ticks before, for lengths that are looked at again and again. */
  after(ticks: number): readonly LeapForm[] {
    const known = this.kept.get(ticks);
    if (known) return known;
    if (this.kept.size >= mostKept) this.kept.clear();
    const forms = this.before(ticks);
    this.kept.set(ticks, forms);
    return forms;
  }

  /** The same for a length that comes once. */
  before(ticks: number): readonly LeapForm[] {
    const moved = (row: Float64Array) => {
      const before = row.slice();
      this.course.matrices.pull(before, ticks);
      return before;
    };
    return this.forms.map(({ value, slope, apart }) => formOver(moved(value), moved(slope), apart));
  }

  /** A leap of so many ticks that comes again, where what is seen is the first form. */
  leap(ticks: number): LeapPart {
    let whole = this.leaps.get(ticks);
    if (whole) return whole;
    if (this.looks >= mostKept) {
      this.leaps.clear();
      this.looks = 0;
    }
    const after = (into: number) => {
      this.looks++;
      return this.after(into)[0];
    };
    whole = new LeapPart({ tick: this.tick, after }, 0, ticks);
    this.leaps.set(ticks, whole);
    return whole;
  }

  private formsIn(at: Combination): LeapForm[] {
    return this.read(at).forms.map((form) => leapFormOf(form, this.course));
  }

  /** Whether what is seen is another where a guard left out is violated. */
  private turnsWith(guard: number): boolean {
    const turned = this.formsIn(this.rails!.variant(this.at, (g) => g === guard));
    return turned.some(({ value }, k) => !sameButForRounding(value, this.forms[k].value));
  }
}

function sameButForRounding(a: Float64Array, b: Float64Array): boolean {
  return a.every((v, j) => Math.abs(v - b[j]) <= 1e-9 * Math.max(Math.abs(v), Math.abs(b[j])));
}
