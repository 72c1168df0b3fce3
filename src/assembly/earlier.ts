// The circuits that later ones may share equations with. Cases and trials of a design differ from it in their signals, or in a
// part or two: most are nearest to the first of its runs, some to the last.
import type { System } from "../equations/system.js";

/** A circuit is remembered if each of its combinations needs no more than this, bytes. */
const mostBytes = 2 ** 19;
/** Of how many designs circuits are remembered: a run, and the same on its mean signals, begin with other states given. */
const mostFamilies = 2;

/** The first and the last of the circuits that resemble each other. */
interface Family {
  readonly first: System;
  last: System;
}

/** Some earlier circuits; the rest is forgotten. */
export class EarlierCircuits {
  /** The one in use last comes first. */
  private families: Family[] = [];

  /** All of them, the nearest first. */
  get all(): System[] {
    return this.families.flatMap(({ first, last }) => (first === last ? [first] : [last, first]));
  }

  /** Remembers a circuit. */
  add(system: System): void {
    if (system.sparse || system.bytes > mostBytes) return;
    const own = this.families.find(({ first }) => first.resembles(system));
    const others = this.families.filter((one) => one !== own);
    if (own && own.last !== own.first) own.last.part();
    if (own) own.last = system;
    for (const { first, last } of others.splice(mostFamilies - 1)) {
      first.part();
      last.part();
    }
    this.families = [own ?? { first: system, last: system }, ...others];
  }
}
