// Quantities that nothing in a circuit can change: the charge on an island that only capacitors tie to the rest, and the
// flux of a loop of coils and held voltages. A steady state leaves each as it was; where a source pushes into one, it
// runs away. They are read off the graph, not the equations, where rounding would let them leak.
import { DisjointSets } from "../base/graph.js";
import type { Condensed } from "../equations/condense.js";
import type { Element } from "../equations/elements.js";
import { Forest } from "../equations/forest.js";

/** Weights over all states, signed, in farads and henries: Σ weight · state is constant. */
type Weights = Float64Array;

/**
 * The conserved sums of one combination of modes.
 * @param given states held at a value, which therefore take part in none
 */
export function conserved(eq: Condensed, given: readonly boolean[]): Weights[] {
  return [...charges(eq, given), ...fluxes(eq, given)].filter((weights) => weights.some((w) => w !== 0));
}

/** Charge: the capacitors at the border of each island of everything that conducts. */
function charges({ elements, nx, spots }: Condensed, given: readonly boolean[]): Weights[] {
  const sets = new DisjointSets(spots);
  const stays = (e: Element) => e.type === "capacitor" && !given[e.state];
  for (const e of elements) if (e.type !== "push" && !stays(e)) sets.join(e.a, e.b);
  const islands = new Map<number, Weights>();
  const add = (place: number, state: number, farads: number) => {
    const island = sets.find(place);
    if (island === sets.find(0)) return;
    let weights = islands.get(island);
    if (!weights) {
      weights = new Float64Array(nx);
      islands.set(island, weights);
    }
    weights[state] += farads;
  };
  for (const e of elements) {
    if (!stays(e) || sets.find(e.a) === sets.find(e.b)) continue;
    add(e.a, e.state, e.size);
    add(e.b, e.state, -e.size);
  }
  return independent([...islands.values()], sets, elements, stays);
}

/** The charges of islands that touch only each other sum to zero: one of each such group is redundant. */
function independent(
  found: Weights[],
  sets: DisjointSets,
  elements: readonly Element[],
  stays: (e: Element) => boolean,
): Weights[] {
  for (const e of elements) if (stays(e)) sets.join(e.a, e.b);
  const floats = elements.some((e) => stays(e) && sets.find(e.a) !== sets.find(0));
  if (!floats) return found;
  // The sum over a floating group is zero, so one member of it is left out.
  const groups = new Map<number, Weights[]>();
  for (const weights of found) {
    const e = elements.find((x) => stays(x) && weights[x.state] !== 0);
    if (!e) continue;
    const group = sets.find(e.a);
    groups.set(group, [...(groups.get(group) ?? []), weights]);
  }
  return [...groups].flatMap(([group, list]) => (group === sets.find(0) ? list : list.slice(1)));
}

/** Flux: each coil that closes a loop of coils and held voltages, and the coils of that loop. */
function fluxes({ elements, nx, spots, mass }: Condensed, given: readonly boolean[]): Weights[] {
  const sets = new DisjointSets(spots);
  const tree: Element[] = [];
  const closing: Element[] = [];
  const holds = (e: Element) =>
    (e.type === "hold" && e.size === 0) || (e.type === "capacitor" && given[e.state]);
  for (const e of elements) if (holds(e) && sets.join(e.a, e.b)) tree.push(e);
  for (const e of elements) {
    if (e.type !== "inductor" || given[e.state]) continue;
    if (sets.join(e.a, e.b)) tree.push(e);
    else closing.push(e);
  }
  if (closing.length === 0) return [];
  const forest = new Forest(spots, tree);
  return closing.map((coil) => {
    const weights = new Float64Array(nx);
    // Its own flux, and the flux of the coils coupled to it.
    const linked = (state: number, along: number) => {
      for (const [j, henries] of mass.rows[state]) if (!given[j]) weights[j] += along * henries;
    };
    linked(coil.state, 1);
    // Around the loop: along this coil from a to b, and back to a through the tree.
    forest.walk(coil.b, coil.a, (edge, lower, way) => {
      const e = tree[edge];
      if (e.type === "inductor") linked(e.state, e.a === lower ? way : -way);
    });
    return weights;
  });
}
