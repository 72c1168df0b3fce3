// The moving groups of each combination of modes, made on first use. A group that is the same in two combinations shares
// one state, so that it goes on undisturbed where only others change.
import type { Combination } from "../equations/system.js";
import type { Courses } from "./courses.js";
import { GroupState } from "./groupstate.js";

/** The groups of a combination, and the combination's guards that belong to each. */
export interface Grouping {
  readonly at: Combination;
  readonly groups: readonly GroupState[];
  readonly guards: readonly (readonly number[])[];
  /** By the index of the combination that follows; sparse. */
  readonly passages: Passage[];
}

/** What changes from one combination to another. */
interface Passage {
  /** Groups that end. */
  readonly going: readonly GroupState[];
  /** Indices of the groups of the second that go on, and of those that begin. */
  readonly staying: readonly number[];
  readonly coming: readonly number[];
}

/** Groupings by combination. */
export class Groupings {
  /** By course index; sparse. */
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
      grouping = { at, groups: own, guards: strands.map((strand) => strand.guards), passages: [] };
      made[at.index] = grouping;
    }
    return grouping;
  }

  /** What changes from one grouping to the next. */
  passage({ groups, passages }: Grouping, to: Grouping): Passage {
    const known = passages[to.at.index];
    if (known) return known;
    const all = [...to.groups.keys()];
    const made = {
      going: groups.filter((group) => !to.groups.includes(group)),
      staying: all.filter((i) => groups.includes(to.groups[i])),
      coming: all.filter((i) => !groups.includes(to.groups[i])),
    };
    passages[to.at.index] = made;
    return made;
  }
}
