// The graph of a combination of modes: a spanning tree that prefers held voltages, then capacitors, resistors, inductors.
// Among equals, states with an initial value come first or last, whichever keeps them free, so that the order of the parts
// does not decide which state follows which. A capacitor that closes a loop of capacitors and held voltages, and an inductor
// without which the circuit would fall apart, have no free choice of state: they depend on the others. Loops of held
// voltages and places that only current sources reach have no solution at all and are errors, found here by counting and
// not by a small pivot.
import { DisjointSets } from "../base/graph.js";
import type { Place } from "../parts/contract.js";
import type { Element } from "./elements.js";
import { Forest, incidence } from "./forest.js";

/** Why a combination of modes has no solution. */
export class Unsolvable extends Error {
  override readonly name = "Unsolvable";
  constructor(
    /** `source-loop`: ideal voltages in a loop; `no-path`: a current source without a way back. */
    readonly code: "source-loop" | "no-path" | "ill-conditioned",
    /** Parts that form the loop, or are in the cut. */
    readonly parts: readonly number[],
    /** Places cut off from ground. */
    readonly places: readonly Place[] = [],
  ) {
    super(code);
  }
}

/** A given voltage or current times a factor, and the element if it is steered as well. */
interface Pull {
  readonly level: Element["level"];
  readonly factor: number;
  readonly steered?: Element;
}

/** What a dependent state follows: other states and sources, with whole factors. */
export interface Dependence {
  readonly state: number;
  readonly states: readonly { readonly state: number; readonly factor: number }[];
  readonly levels: readonly Pull[];
}

/** The tree and what follows from it. */
export interface Topology {
  /** One place of each floating part of the circuit, to be held at ground. */
  readonly pins: readonly Place[];
  /** All places of those parts, whose voltage against ground is arbitrary, each with the pin of its part. */
  readonly floating: ReadonlyMap<Place, Place>;
  readonly dependent: readonly Dependence[];
}

/** Rank of each sort of element: the order in which they enter the tree. */
const ranks = {
  held: 0,
  steered: 1,
  begun: 2,
  capacitor: 3,
  resistor: 4,
  inductor: 5,
  begunInductor: 6,
  push: 7,
};

function rank({ type, size, steer, state }: Element, begun: ReadonlySet<number>): number {
  // Steered voltages come after fixed ones, so that they are blamed where both meet.
  if (type === "hold" && size === 0) return steer ? ranks.steered : ranks.held;
  if (type === "hold") return ranks.resistor;
  if (type === "capacitor") return begun.has(state) ? ranks.begun : ranks.capacitor;
  if (type === "inductor") return begun.has(state) ? ranks.begunInductor : ranks.inductor;
  return ranks[type];
}

/**
 * Finds the tree.
 * @param begun states with an initial value
 * @throws Unsolvable where the elements have no solution
 */
export function topology(
  places: number,
  elements: readonly Element[],
  begun: ReadonlySet<number> = new Set(),
): Topology {
  const sets = new DisjointSets(places);
  const tree: Element[] = [];
  const inTree = new Uint8Array(elements.length);
  const loose: { readonly e: Element; readonly edge: number }[] = [];
  const ranked = new Uint8Array(elements.length);
  for (let i = 0; i < elements.length; i++) ranked[i] = rank(elements[i], begun);
  for (let r = ranks.held; r < ranks.push; r++) {
    for (let i = 0; i < elements.length; i++) {
      if (ranked[i] !== r) continue;
      const e = elements[i];
      const joins = sets.join(e.a, e.b);
      if (r <= ranks.steered && !joins) throw new Unsolvable("source-loop", loopParts(places, tree, e));
      const follows = e.type === "capacitor" ? !joins : e.type === "inductor" && joins;
      if (follows) loose.push({ e, edge: joins ? tree.length : -1 });
      if (!joins) continue;
      tree.push(e);
      inTree[i] = 1;
    }
  }
  for (const e of elements) {
    if (e.type !== "push" || sets.find(e.a) === sets.find(e.b)) continue;
    const cut = [e.a, e.b].find((p) => sets.find(p) !== sets.find(0))!;
    const island = sets.groups().find((places) => places.includes(cut));
    const crossing = elements.filter((x) => x.type === "push" && sets.find(x.a) !== sets.find(x.b));
    throw new Unsolvable("no-path", unique(crossing.map((x) => x.part)), island);
  }
  const pins: Place[] = [];
  const floating = new Map<Place, Place>();
  for (let p = 1; p < places; p++) {
    if (sets.find(p) === sets.find(0)) continue;
    floating.set(p, sets.find(p));
    if (sets.find(p) === p) pins.push(p);
  }
  if (loose.length === 0) return { pins, floating, dependent: [] };
  const forest = new Forest(places, tree);
  const links = elements.filter((_, i) => inTree[i] === 0);
  const cuts = loose.some(({ edge }) => edge >= 0);
  const at = cuts ? incidence(places, links) : undefined;
  const dependent = loose.map(({ e, edge }) =>
    edge < 0 ? byLoop(forest, tree, e) : byCut(forest, links, at!, e, edge),
  );
  return { pins, floating, dependent };
}

// Kirchhoff's voltage law along the tree between the capacitor's ends. These were joined by capacitors and held voltages
// before anything else entered the tree, so the path consists of those alone.
function byLoop(forest: Forest, tree: readonly Element[], link: Element): Dependence {
  const states: { state: number; factor: number }[] = [];
  const levels: Pull[] = [];
  forest.walk(link.a, link.b, (edge, lower, way) => {
    const e = tree[edge];
    const factor = e.a === lower ? way : -way;
    if (e.type === "capacitor") states.push({ state: e.state, factor });
    else levels.push(pull(e, factor));
  });
  return { state: link.state, states, levels };
}

// Kirchhoff's current law over the cut that the tree inductor alone bridges.
function byCut(
  forest: Forest,
  links: readonly Element[],
  { start, edges }: ReturnType<typeof incidence>,
  bridge: Element,
  edge: number,
): Dependence {
  const top = forest.edge[bridge.a] === edge ? bridge.a : bridge.b;
  const crossing: number[] = [];
  for (let t = forest.first[top]; t < forest.end[top]; t++) {
    const v = forest.order[t];
    for (let p = start[v]; p < start[v + 1]; p++) {
      const { a, b } = links[edges[p]];
      if (forest.below(a, top) !== forest.below(b, top)) crossing.push(edges[p]);
    }
  }
  crossing.sort((i, j) => i - j);
  const near = (p: Place) => forest.below(p, top) === (top === bridge.a);
  const states: { state: number; factor: number }[] = [];
  const levels: Pull[] = [];
  for (const i of crossing) {
    const e = links[i];
    const factor = near(e.a) ? -1 : 1;
    if (e.type === "inductor") states.push({ state: e.state, factor });
    else if (e.type === "push") levels.push(pull(e, factor));
  }
  return { state: bridge.state, states, levels };
}

function pull(e: Element, factor: number): Pull {
  return { level: e.level, factor, steered: e.steer && e };
}

function loopParts(places: number, tree: readonly Element[], closing: Element): number[] {
  const parts = [closing.part];
  new Forest(places, tree).walk(closing.a, closing.b, (edge) => parts.push(tree[edge].part));
  return unique(parts);
}

function unique(list: readonly number[]): number[] {
  return [...new Set(list)].sort((a, b) => a - b);
}
