// The groups of each combination of modes as they move, made when first asked for. A group that is the same in two
// combinations has one state, so that it goes on where only others change.
import type { Combination } from "../equations/system.js";
import type { Courses } from "./courses.js";
import { GroupState } from "./groupstate.js";

/** The groups of a combination, and the guards of the combination that each looks at. */
export interface Grouping {
  readonly at: Combination;
  readonly groups: readonly GroupState[];
  readonly guards: readonly (readonly number[])[];
}

/** Groupings by combination. */
export class Groupings {
  /** By course; with holes. */
  readonly groups: GroupState[] = [];
  private readonly made: Grouping[] = [];

  constructor(private readonly courses: Courses) {}

  of(at: Combination): Grouping {
    const { courses, groups, made } = this;
    let grouping = made[at.index];
    if (!grouping) {
      const strands = courses.strands(at);
      const own = strands.map(({ course }) => {
        groups[course.index] ??= new GroupState(course);
        return groups[course.index];
      });
      grouping = { at, groups: own, guards: strands.map((strand) => strand.guards) };
      made[at.index] = grouping;
    }
    return grouping;
  }
}
