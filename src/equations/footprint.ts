// The memory that the equations of a circuit take, before any are made: the number of entries that are not zero in a generic
// circuit with these connections. Never less than what is then allocated for rows, within the engine's bookkeeping.
//
// A place that voltages tie to ground is known from the states and sources on its way there. The others fall into clusters
// that conduct inside: every place and every element of a cluster depends on each known place at its border and on each
// state or source in it.
import { DisjointSets } from "../base/graph.js";
import type { Element } from "./elements.js";
import type { Stamps } from "./stamps.js";

/** Bytes of an entry with its column, and of the copies that readers hold. */
const perEntry = 64;
/** Bytes of an element or a place, besides its entries. */
const perThing = 512;

/** @param given what all parts stamp in one combination of modes */
export function footprint({
  places,
  nx,
  nu,
  elements,
  sparse,
}: Pick<Stamps, "places" | "nx" | "nu" | "elements" | "sparse">): number {
  const tied = new DisjointSets(places);
  const ties = (e: Element) => e.type === "capacitor" || (e.type === "hold" && e.size === 0);
  for (const e of elements) if (ties(e)) tied.join(e.a, e.b);
  const known = (place: number) => tied.find(place) === tied.find(0);
  const cluster = new DisjointSets(places);
  for (const e of elements) if (e.type !== "push" && !known(e.a) && !known(e.b)) cluster.join(e.a, e.b);
  const columns = new Map<number, Set<number>>();
  const members = new Map<number, number>();
  let entries = 0;
  for (let i = 0; i < elements.length; i++) {
    const e = elements[i];
    // Border places count by their number, states and sources inside by that of their element, below zero.
    const [borderA, borderB] = [known(e.a), known(e.b)];
    if (borderA && borderB) {
      entries += 4;
      continue;
    }
    const root = cluster.find(borderA ? e.b : e.a);
    const own = columns.get(root) ?? new Set();
    columns.set(root, own);
    if (borderA) own.add(e.a);
    if (borderB) own.add(e.b);
    if (e.type !== "resistor") own.add(-1 - i);
    members.set(root, (members.get(root) ?? 0) + 2);
  }
  for (const [root, own] of columns) entries += own.size * members.get(root)!;
  const rows = places + 2 * elements.length + 2 * nx;
  // The full motion, its factors, and the step matrices made from both.
  const full = sparse ? 0 : 8 * nx * nx;
  return perEntry * entries + perThing * rows + 8 * (2 * rows * nu + full);
}
