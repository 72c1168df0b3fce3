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
class EarlierCircuits {
  /** The one in use last comes first. */
  private families: Family[] = [];
  private remembers = true;

  /** All of them, the nearest first. */
  get all(): System[] {
    return this.families.flatMap(({ first, last }) => (first === last ? [first] : [last, first]));
  }

  /** Remembers none from here on: where few runs are made, each of much else, they take memory and save no time. */
  end(): void {
    this.families = [];
    this.remembers = false;
  }

  /** Remembers a circuit. */
  add(system: System): void {
    if (!this.remembers || system.sparse || system.bytes > mostBytes) return;
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

/** Those of this process. No bit depends on them. */
export const earlierCircuits = new EarlierCircuits();
