// A probe in one combination of modes: its forms over z, what they depend on, and the forms that hold for each set of signs of
// the guards that the march leaves out.

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import type { Motion } from "../stepping/motion.js";
import type { ProbeReader } from "./forms.js";
import { FormSet } from "./formset.js";
import { dependenceOf, type FormDependence, type LeapForm, leapFormOf } from "./leapforms.js";
import type { RailModes } from "./rails.js";
import { bitsOf } from "./samples.js";

/** A probe in one combination. */
export class ModeView {
  readonly course: Course;
  /** What is read where none of the guards left out is violated. */
  readonly plain: FormSet;
  /** Guards that the march leaves out, if what is read depends on any of them. */
  readonly guards: readonly LeapForm[];
  /** What all of these depend on, and its states as bits. */
  readonly dependence: FormDependence;
  readonly mask: number;
  /** Entries of z that the forms read; those of them that move, and the levels of sources. */
  readonly entries: Int32Array;
  readonly moving: Int32Array;
  readonly levels: Int32Array;
  /** The states and the sources among them. */
  readonly states: Int32Array;
  readonly voices: Motion["voices"];
  /** Ticks per turn of the quickest carrier that is read; Infinity without one. */
  readonly turn: number;
  /** Sources that are not in z. */
  readonly apart: readonly number[];
  /** By the signs of the guards: the forms that hold then. */
  private readonly variants = new Map<string, FormSet>();

  /** @param rails absent where no current is read: the guards left out move no voltage */
  constructor(
    { courses }: Assembly,
    private readonly at: Combination,
    private readonly read: ProbeReader,
    readonly rails?: RailModes,
  ) {
    this.course = courses.of(at);
    const forms = this.formsIn(at);
    const guards = rails?.forms(at, this.course) ?? [];
    this.guards = guards.some((_, g) => this.turnsWith(g, forms)) ? guards : [];
    const all = [...forms, ...this.guards];
    this.apart = [...new Set(all.flatMap((form) => form.apart.map((t) => t.source)))];
    const { sights } = read(at);
    this.dependence = dependenceOf(at, this.course, all, sights);
    this.plain = new FormSet(forms, sights, this.course, this.dependence);
    this.mask = bitsOf(this.dependence.states);
    // The forms that hold where guards are violated may read more than those that hold here.
    const open = this.guards.length > 0;
    const { moving, width, voices, group } = this.course.motion;
    this.moving = open ? Int32Array.from({ length: moving }, (_, j) => j) : this.dependence.moving;
    this.levels = open ? Int32Array.from(voices, ({ level }) => level) : this.dependence.levels;
    this.entries = open ? Int32Array.from({ length: width }, (_, j) => j) : this.dependence.entries;
    this.states = Int32Array.from(open ? group.states : this.dependence.states).sort();
    this.voices = open ? voices : voices.filter(({ source }) => this.dependence.sources.includes(source));
    const quickest = voices.reduce(
      (most, { carrier, speed }) => (this.entries.includes(carrier) ? Math.max(most, speed) : most),
      0,
    );
    this.turn = (2 * Math.PI) / (quickest * this.course.matrices.tick);
  }

  /** What is read for given signs of the guards, "1" for one that is violated. */
  variant(signs: string): FormSet {
    let set = this.variants.get(signs);
    if (!set) {
      const at = this.rails!.variant(this.at, (g) => signs[g] === "1");
      const forms = this.formsIn(at);
      const { sights } = this.read(at);
      set = new FormSet(forms, sights, this.course, dependenceOf(at, this.course, forms, sights));
      this.variants.set(signs, set);
    }
    return set;
  }

  private formsIn(at: Combination): LeapForm[] {
    return this.read(at).forms.map((form) => leapFormOf(form, this.course));
  }

  /** Whether what is read changes where a guard left out is violated. */
  private turnsWith(guard: number, forms: readonly LeapForm[]): boolean {
    const turned = this.formsIn(this.rails!.variant(this.at, (g) => g === guard));
    return turned.some(({ value }, k) => !sameButForRounding(value, forms[k].value));
  }
}

function sameButForRounding(a: Float64Array, b: Float64Array): boolean {
  return a.every((v, j) => Math.abs(v - b[j]) <= 1e-9 * Math.max(Math.abs(v), Math.abs(b[j])));
}
