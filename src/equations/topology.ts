// The graph of a combination of modes: a spanning tree that prefers held voltages, then capacitors, resistors,
// inductors. A capacitor that closes a loop of capacitors and held voltages, and an inductor without which the
// circuit would fall apart, have no free choice of state: they depend on the others. Loops of held voltages and
// places that only current sources reach have no solution at all and are faults, found here by counting and
// not by a small pivot.
import type { Place } from "../parts/contract.js";
import type { Element } from "./elements.js";

/** Why a combination of modes has no solution. */
export class Fault extends Error {
  override readonly name = "Fault";
  constructor(
    /** `source-loop`: ideal voltages in a loop; `no-path`: a current source without a way back. */
    readonly code: "source-loop" | "no-path" | "ill-conditioned",
    /** Parts that form the loop, or that stand in the cut. */
    readonly parts: readonly number[],
    /** Places cut off from ground. */
    readonly places: readonly Place[] = [],
  ) {
    super(code);
  }
}

/** What a dependent state follows: other states, and sources, with whole factors. */
export interface Dependence {
  readonly state: number;
  readonly states: readonly { readonly state: number; readonly factor: number }[];
  readonly levels: readonly { readonly level: Element["level"]; readonly factor: number }[];
}

/** The tree and what follows from it. */
export interface Topology {
  /** Places, one of each part of the circuit that floats, to be held at ground. */
  readonly pins: readonly Place[];
  /** Places of those parts: their voltage against ground is anything. */
  readonly floating: ReadonlySet<Place>;
  readonly dependent: readonly Dependence[];
}

const rank = (e: Element): number => {
  // A steered voltage is no fixed one, even without resistance: nothing may depend on it as on a source.
  if (e.type === "hold") return e.size === 0 && !e.steer ? 0 : 2;
  return { capacitor: 1, resistor: 2, inductor: 3, push: 4 }[e.type];
};

/** Finds the tree. @throws Fault where the elements have no solution. */
export function topology(places: number, elements: readonly Element[]): Topology {
  const sets = new Sets(places);
  const tree: Element[] = [];
  const loose: Element[] = [];
  for (let r = 0; r <= 3; r++) {
    for (const e of elements) {
      if (rank(e) !== r) continue;
      const joins = sets.join(e.a, e.b);
      if (joins) tree.push(e);
      if (r === 0 && !joins) throw new Fault("source-loop", loopParts(places, tree, e));
      if ((r === 1 && !joins) || (r === 3 && joins)) loose.push(e);
    }
  }
  for (const e of elements) {
    if (e.type !== "push" || sets.find(e.a) === sets.find(e.b)) continue;
    const cut = [e.a, e.b].find((p) => sets.find(p) !== sets.find(0))!;
    const island = range(places).filter((p) => sets.find(p) === sets.find(cut));
    const crossing = elements.filter((x) => x.type === "push" && sets.find(x.a) !== sets.find(x.b));
    throw new Fault("no-path", unique(crossing.map((x) => x.part)), island);
  }
  const pins = range(places).filter((p) => p > 0 && sets.find(p) === p && sets.find(0) !== p);
  const floating = new Set(range(places).filter((p) => sets.find(p) !== sets.find(0)));
  const links = elements.filter((e) => !tree.includes(e));
  const dependent = loose.map((e) =>
    e.type === "capacitor" ? byLoop(places, tree, e) : byCut(places, tree, links, e),
  );
  return { pins, floating, dependent };
}

// Kirchhoff's voltage law along the tree between the capacitor's ends.
function byLoop(places: number, tree: readonly Element[], link: Element): Dependence {
  const stiff = tree.filter((e) => rank(e) <= 1);
  const path = walk(places, stiff, link.a, link.b);
  return {
    state: link.state,
    states: path.flatMap(({ e, along }) =>
      e.type === "capacitor" ? [{ state: e.state, factor: along }] : [],
    ),
    levels: path.flatMap(({ e, along }) => (e.type === "hold" ? [{ level: e.level, factor: along }] : [])),
  };
}

// Kirchhoff's current law over the cut that the tree inductor alone bridges.
function byCut(
  places: number,
  tree: readonly Element[],
  links: readonly Element[],
  bridge: Element,
): Dependence {
  const sets = new Sets(places);
  for (const e of tree) if (e !== bridge) sets.join(e.a, e.b);
  const near = (p: Place) => sets.find(p) === sets.find(bridge.a);
  const crossing = links.filter((e) => near(e.a) !== near(e.b));
  const factor = (e: Element) => (near(e.a) ? -1 : 1);
  return {
    state: bridge.state,
    states: crossing.flatMap((e) => (e.type === "inductor" ? [{ state: e.state, factor: factor(e) }] : [])),
    levels: crossing.flatMap((e) => (e.type === "push" ? [{ level: e.level, factor: factor(e) }] : [])),
  };
}

function loopParts(places: number, tree: readonly Element[], closing: Element): number[] {
  return unique([closing.part, ...walk(places, tree, closing.a, closing.b).map(({ e }) => e.part)]);
}

/** The edges of the tree from one place to another, and whether each is walked from its `a` to its `b`. */
function walk(
  places: number,
  tree: readonly Element[],
  from: Place,
  to: Place,
): { e: Element; along: 1 | -1 }[] {
  const cameBy: ({ e: Element; along: 1 | -1; previous: Place } | undefined)[] = new Array(places);
  const seen = new Set([from]);
  const queue = [from];
  for (let at = queue.shift(); at !== undefined && !seen.has(to); at = queue.shift()) {
    for (const e of tree) {
      const next = e.a === at ? e.b : e.b === at ? e.a : undefined;
      if (next === undefined || seen.has(next)) continue;
      seen.add(next);
      cameBy[next] = { e, along: e.a === at ? 1 : -1, previous: at };
      queue.push(next);
    }
  }
  const path: { e: Element; along: 1 | -1 }[] = [];
  for (let at = to; at !== from; ) {
    const step = cameBy[at]!;
    path.unshift({ e: step.e, along: step.along });
    at = step.previous;
  }
  return path;
}

/** Disjoint sets of places (union-find); a set is known by its smallest place. */
export class Sets {
  private readonly parent: number[];
  constructor(size: number) {
    this.parent = range(size);
  }
  find(p: number): number {
    let root = p;
    while (this.parent[root] !== root) root = this.parent[root]!;
    this.parent[p] = root;
    return root;
  }
  /** Joins two sets; false when they were one already. */
  join(a: number, b: number): boolean {
    const ra = this.find(a);
    const rb = this.find(b);
    if (ra === rb) return false;
    this.parent[Math.max(ra, rb)] = Math.min(ra, rb);
    return true;
  }
}

function range(n: number): number[] {
  return Array.from({ length: n }, (_, i) => i);
}

function unique(list: readonly number[]): number[] {
  return [...new Set(list)].sort((a, b) => a - b);
}
