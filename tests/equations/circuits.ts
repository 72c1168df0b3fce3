// Circuits for the tests of the equations, by what their parts stamp.
import { Condensed, type PartGuard } from "../../src/equations/condense.js";
import type { Coupling } from "../../src/equations/elements.js";
import { Collector, type Element } from "../../src/equations/elements.js";

/** What parts stamp, numbered in the order given. */
export interface Stamped {
  readonly elements: readonly Element[];
  readonly couplings: readonly Coupling[];
  /** The first element of each part. */
  readonly firsts: Int32Array;
  /** Number of states. */
  readonly nx: number;
}

/** Collects parts. */
export function collect(...parts: ((into: Collector) => void)[]): Stamped {
  const elements: Element[] = [];
  const couplings: Coupling[] = [];
  const firsts: number[] = [];
  let nx = 0;
  parts.forEach((stamp, part) => {
    const into = new Collector(part, nx);
    stamp(into);
    firsts.push(elements.length);
    elements.push(...into.elements);
    couplings.push(...into.couplings);
    nx += into.elements.filter((e) => e.state >= 0).length;
  });
  return { elements, couplings, firsts: Int32Array.from(firsts), nx };
}

/** The condensed equations of a circuit. */
export function condensed(
  places: number,
  stamped: Stamped,
  sources = 0,
  guards: readonly PartGuard[] = [],
): Condensed {
  return new Condensed({ ...stamped, places, nu: sources + 1, guards, sparse: false, begun: new Set() });
}
