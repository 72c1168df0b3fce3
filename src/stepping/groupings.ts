// The flights that carry the groups of a combination, made when first asked for. A group that is the same in two
// combinations is one flight, so that it goes on where only others change.
import type { Combination } from "../equations/system.js";
import type { Courses } from "./courses.js";
import { GroupState } from "./groupstate.js";

/** The flights of a combination, and the guards of the combination that each looks at. */
export interface Grouping {
  readonly at: Combination;
  readonly flights: readonly GroupState[];
  readonly guards: readonly (readonly number[])[];
}

/** Crews by combination. */
export class Groupings {
  /** By course; with holes. */
  readonly flights: GroupState[] = [];
  private readonly made: Grouping[] = [];

  /** @param together all states go together, whatever their groups */
  constructor(
    private readonly courses: Courses,
    private readonly together: boolean,
  ) {}

  of(at: Combination): Grouping {
    const { courses, flights, made } = this;
    let crew = made[at.index];
    if (!crew) {
      const strands = this.together
        ? [{ course: courses.of(at), guards: at.equations.guardOf.map((_, g) => g) }]
        : courses.strands(at);
      const own = strands.map(({ course }) => {
        flights[course.index] ??= new GroupState(course);
        return flights[course.index];
      });
      crew = { at, flights: own, guards: strands.map((strand) => strand.guards) };
      made[at.index] = crew;
    }
    return crew;
  }
}
