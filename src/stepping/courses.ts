// The straight system of each group of states, its leap matrices and the bounds of its guards, made on first use and shared by
// the marches of a run (one for each period of a settled start) and by whoever looks inside its leaps later. Groups (groups.ts)
// that move alike in several combinations of modes are one course, since they know nothing of the rest; a later run takes over
// what its own courses share with those. A combination as a whole also has a course.
import type { Fraction } from "../base/fraction.js";
import type { Combination } from "../equations/system.js";
import { CarrierBounds } from "./carrierbounds.js";
import type { Clock } from "./clock.js";
import { Forgetting } from "./forgetting.js";
import { type Group, groupsOf, wholeOf } from "./groups.js";
import { GuardBounds } from "./guardbounds.js";
import type { Inputs } from "./inputs.js";
import { LeapMatrices } from "./leapmatrices.js";
import { Motion } from "./motion.js";

/** A voltage that crosses zero is seen once it is above it by no more than this share of its largest. */
export const lateness = 1e-6;
/** Rounding is a smaller share than this of the level up to which all is taken for rounding. */
const nothing = 1 / 64;

/** How a group of states, or a whole combination, moves. */
export class Course {
  readonly matrices: LeapMatrices;
  readonly bounds: GuardBounds;
  readonly forgetting: Forgetting;
  /** Of each guard, the largest size so far where a leap began or ended, and the highest level taken for rounding while it might cross. */
  readonly reach: Float64Array;
  readonly sills: Float64Array;
  private rings: CarrierBounds | undefined | "unknown" = "unknown";

  /**
   * @param index number of the course within the run, from 0
   * @param elder an alike one of an earlier run: what it has made is not made again
   */
  constructor(
    readonly index: number,
    readonly motion: Motion,
    clock: Clock,
    elder?: Course,
  ) {
    this.matrices = new LeapMatrices(motion, clock, elder?.matrices);
    const { doubling } = this.matrices;
    this.bounds = new GuardBounds(motion, doubling, elder?.bounds);
    this.forgetting = new Forgetting(motion, doubling, elder?.forgetting);
    const { length } = motion.group.guards;
    this.reach = new Float64Array(length);
    this.sills = new Float64Array(length);
  }

  /** Bounds where carriers ring. */
  get ringing(): CarrierBounds | undefined {
    if (this.rings === "unknown") this.rings = CarrierBounds.of(this.motion);
    return this.rings;
  }
}

/** A group of a combination: its course, and the combination's guards that correspond to those of the course. */
interface Strand {
  readonly course: Course;
  readonly guards: readonly number[];
}

/** The courses of one run. */
export class Courses {
  private readonly courses: Course[] = [];
  private readonly wholes: Course[] = [];
  private readonly parted: (readonly Strand[])[] = [];
  /** By a hash of the motion; a list, since hashes may collide. */
  private readonly byContent = new Map<number, Course[]>();

  /**
   * @param inputs used only for the frequencies of carriers
   * @param earlier those of an earlier run, for courses that are alike; none of a third run behind these
   */
  constructor(
    private readonly inputs: Inputs,
    private readonly clock: Clock,
    private readonly earlier: Courses | undefined,
  ) {}

  /** Length of a tick, s. */
  get tick(): Fraction {
    return this.clock.tick;
  }

  /** The course of a whole combination. */
  of(at: Combination): Course {
    // Where all states are one group, this is that group's course and shares its matrices.
    this.wholes[at.index] ??= this.strand(at, wholeOf(at.equations)).course;
    return this.wholes[at.index];
  }

  /** The groups of a combination. */
  strands(at: Combination): readonly Strand[] {
    this.parted[at.index] ??= groupsOf(at.equations).map((group) => this.strand(at, group));
    return this.parted[at.index];
  }

  /** States whose leaps have lost digits, see `Doubling.doubtful`. */
  get doubtful(): Set<number> {
    return new Set(this.courses.flatMap(({ matrices }) => [...matrices.doubling.doubtful]));
  }

  /**
   * Parts that turned when their voltage was above zero by more than it may be off, as rounding covered that: off by a share of the
   * largest voltage that they and what they are joined with have shown.
   */
  get late(): Set<number> {
    const sizes = new Map<number, { reach: number; most: number; sill: number }>();
    for (const { motion, reach, sills } of this.courses) {
      const guards = motion.group.guards.map((g) => motion.equations.guardOf[g]);
      const volts = reach.map((size, k) => (guards[k].ofCurrent ? 0 : size));
      const most = volts.reduce((largest, size) => Math.max(largest, size), 0);
      for (const [k, { part, ofCurrent }] of guards.entries()) {
        // In modes that last for a moment a voltage has no time to go far.
        const before = sizes.get(part) ?? { reach: 0, most: 0, sill: 0 };
        sizes.set(part, {
          reach: Math.max(before.reach, volts[k]),
          most: Math.max(before.most, most),
          sill: Math.max(before.sill, ofCurrent ? 0 : sills[k]),
        });
      }
    }
    // A voltage that is always zero, but for rounding, hides nothing.
    const hides = [...sizes].filter(
      ([, { reach, most, sill }]) => sill > lateness * most && reach > nothing * sill,
    );
    return new Set(hides.map(([part]) => part));
  }

  /** Matrices made. */
  get matrices(): number {
    return this.courses.reduce((sum, { matrices }) => sum + matrices.size, 0);
  }

  private strand(at: Combination, group: Group): Strand {
    const motion = new Motion(at.equations, this.inputs, group);
    const content = contentOf(motion);
    let course = this.found(content, motion);
    if (!course) {
      course = new Course(this.courses.length, motion, this.clock, this.earlier?.found(content, motion));
      this.courses.push(course);
      this.byContent.set(content, [...(this.byContent.get(content) ?? []), course]);
    }
    return { course, guards: group.guards };
  }

  private found(content: number, motion: Motion): Course | undefined {
    return this.byContent.get(content)?.find((one) => alike(one.motion, motion));
  }
}

const double = new Float64Array(1);
const words = new Uint32Array(double.buffer);

/** A hash of everything in a motion, to the bit (after G. Fowler, L. C. Noll, P. Vo). */
function contentOf({ group, A, guards }: Motion): number {
  const { states, sources, dependent } = group;
  let hash = 0x811c9dc5 | 0;
  const whole = (list: ArrayLike<number>) => {
    for (let i = 0; i < list.length; i++) hash = Math.imul(hash ^ list[i], 0x01000193);
    hash = Math.imul(hash ^ list.length, 0x01000193);
  };
  const bits = (list: ArrayLike<number>) => {
    for (let i = 0; i < list.length; i++) {
      double[0] = list[i];
      hash = Math.imul(hash ^ words[0], 0x01000193);
      hash = Math.imul(hash ^ words[1], 0x01000193);
    }
  };
  whole(states);
  whole(sources);
  for (const { start, column, value } of [A, guards]) {
    whole(start);
    whole(column);
    bits(value);
  }
  for (const { state, row } of dependent) {
    whole([state]);
    whole(row.at);
    bits(row.of);
  }
  return hash;
}

/** Whether two motions are the same to the bit. */
function alike(a: Motion, b: Motion): boolean {
  const [one, other] = [a.group, b.group];
  return (
    same(one.states, other.states) &&
    same(one.sources, other.sources) &&
    [a.A, a.guards].every(({ start, column, value }, k) => {
      const rows = k === 0 ? b.A : b.guards;
      return same(start, rows.start) && same(column, rows.column) && same(value, rows.value);
    }) &&
    one.dependent.length === other.dependent.length &&
    one.dependent.every(({ state, row }, k) => {
      const follows = other.dependent[k];
      return state === follows.state && same(row.at, follows.row.at) && same(row.of, follows.row.of);
    })
  );
}

function same(a: ArrayLike<number>, b: ArrayLike<number>): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (!Object.is(a[i], b[i])) return false;
  return true;
}
