// The circuits that later ones may share equations and leaps with. Cases and trials of a design differ from it in their signals, or in a
// part or two: most are nearest to the first of its runs, some to the last.
import type { Fraction } from "../base/fraction.js";
import type { System } from "../equations/system.js";
import type { Courses } from "../stepping/courses.js";

/** A circuit is remembered if each of its combinations needs no more than this, bytes. */
const mostBytes = 2 ** 19;
/** Of how many designs circuits are remembered: a run, and the same on its mean signals, begin with other states given. */
const mostFamilies = 2;

/** Of how many lengths of a tick leaps are remembered: runs of about the same length have the same. */
const mostTicks = 2;

/** The first and the last of the circuits that resemble each other, and the courses of the first run with each tick. */
interface Family {
  readonly first: System;
  last: System;
  readonly courses: Courses[];
}

/** Some earlier circuits; the rest is forgotten. */
class EarlierCircuits {
  /** The one in use last comes first. */
  private families: Family[] = [];
  private remembers = true;

  /** All of them, the nearest first. */
  get all(): System[] {
    return this.families.flatMap(({ first, last }) => (first === last ? [first] : [last, first]));
  }

  /** Courses of a circuit that resembles one, with ticks of the same length, s. */
  courses(system: System, tick: Fraction): Courses | undefined {
    return this.of(system)?.courses.find((one) => one.tick.equals(tick));
  }

  private of(system: System): Family | undefined {
    return this.families.find(({ first }) => first.resembles(system));
  }

  /** Remembers none from here on: where few runs are made, each of much else, they take memory and save no time. */
  end(): void {
    this.families = [];
    this.remembers = false;
  }

  add(system: System, courses: Courses): void {
    if (!this.remembers || system.sparse || system.bytes > mostBytes) return;
    const own = this.of(system) ?? { first: system, last: system, courses: [] };
    const others = this.families.filter((one) => one !== own);
    if (own.last !== own.first) own.last.part();
    own.last = system;
    if (own.courses.length < mostTicks && !own.courses.some(({ tick }) => tick.equals(courses.tick)))
      own.courses.push(courses);
    for (const { first, last } of others.splice(mostFamilies - 1)) {
      first.part();
      last.part();
    }
    this.families = [own, ...others];
  }
}

/** Those of this process. No bit depends on them. */
export const earlierCircuits = new EarlierCircuits();
