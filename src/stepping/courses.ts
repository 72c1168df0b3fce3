// The straight system of each group of states and its leap matrices, made when first asked for and shared by the march of
// a run and by whoever looks inside its leaps afterwards. Groups (groups.ts) that move alike in several combinations of
// modes are one course: of what stands beside them they know nothing. A combination also has a course as a whole.
import type { Combination } from "../equations/system.js";
import type { Clock } from "./clock.js";
import { type Group, groupsOf, wholeOf } from "./groups.js";
import type { Inputs } from "./inputs.js";
import { LeapMatrices } from "./leapmatrices.js";
import { Motion } from "./motion.js";

/** How a group of states moves, or all of a combination. */
export interface Course {
  /** One for each course of a run, from 0. */
  readonly index: number;
  readonly motion: Motion;
  readonly matrices: LeapMatrices;
}

/** A group of a combination: its course, and which guards of the combination are those of the course. */
interface Strand {
  readonly course: Course;
  readonly guards: readonly number[];
}

/** The courses of one run. */
export class Courses {
  private readonly courses: Course[] = [];
  private readonly wholes: Course[] = [];
  private readonly parted: (readonly Strand[])[] = [];
  private readonly byContent = new Map<string, Course>();

  /**
   * @param inputs asked for the frequencies of carriers only
   */
  constructor(
    private readonly inputs: Inputs,
    private readonly clock: Clock,
  ) {}

  /** All of a combination. */
  of(at: Combination): Course {
    // Where all states are one group it is that group's, with its matrices.
    this.wholes[at.index] ??= this.strand(at, wholeOf(at.equations)).course;
    return this.wholes[at.index];
  }

  /** The groups of a combination. */
  strands(at: Combination): readonly Strand[] {
    this.parted[at.index] ??= groupsOf(at.equations).map((group) => this.strand(at, group));
    return this.parted[at.index];
  }

  /** States of which a leap has lost digits, see `Doubling.doubtful`. */
  get doubtful(): Set<number> {
    return new Set(this.courses.flatMap(({ matrices }) => [...matrices.doubling.doubtful]));
  }

  /** Matrices made. */
  get matrices(): number {
    return this.courses.reduce((sum, { matrices }) => sum + matrices.size, 0);
  }

  private strand(at: Combination, group: Group): Strand {
    const motion = new Motion(at.equations, this.inputs, group);
    const content = contentOf(motion);
    let course = this.byContent.get(content);
    if (!course) {
      course = this.made(motion);
      this.byContent.set(content, course);
    }
    return { course, guards: group.guards };
  }

  private made(motion: Motion): Course {
    const course = { index: this.courses.length, motion, matrices: new LeapMatrices(motion, this.clock) };
    this.courses.push(course);
    return course;
  }
}

/** All that a motion is, to the bit. */
function contentOf({ group, A, guards }: Motion): string {
  const { states, sources, dependent } = group;
  return [
    states.join(),
    sources.join(),
    ...[A, guards].flatMap((rows) => [rows.start.join(), rows.column.join(), bitsOf(rows.value)]),
    ...dependent.flatMap(({ state, row }) => [state, row.at.join(), bitsOf(Float64Array.from(row.of))]),
  ].join(";");
}

function bitsOf({ buffer, byteOffset, byteLength }: Float64Array): string {
  return String.fromCharCode(...new Uint16Array(buffer, byteOffset, byteLength / 2));
}
