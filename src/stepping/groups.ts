// Which states move together. Nothing behind an ideal amplifier is felt before it, and what an open switch parts is not
// joined: in one combination of modes the states fall into groups that know nothing of each other. Each is carried on by
// itself, with its own matrices, so the ramps need not stop at the corners of the picture.
// Always: states that move each other, that follow each other, or that one guard looks at, are in one group.

import { DisjointSets } from "../base/graph.js";
import type { Condensed, Rows } from "../equations/condense.js";
import type { DependentState } from "../equations/dependent.js";

/** States that move together, with everything that depends on them. */
export interface Group {
  /** Indices of states, ascending; empty where guards look at sources alone. */
  readonly states: readonly number[];
  /** Sources (1…) whose levels matter here, ascending. */
  readonly sources: readonly number[];
  /** Guards of the combination that look at these states or sources, ascending. */
  readonly guards: readonly number[];
  /** States of the group that follow others. */
  readonly dependent: readonly DependentState[];
}

/** All states as one group. */
export function wholeOf(equations: Condensed): Group {
  const { nx, guards, dependent } = equations;
  const states = Array.from({ length: nx }, (_, i) => i);
  const all = Array.from({ length: guards.count }, (_, g) => g);
  return { states, guards: all, dependent, sources: sourcesOf(equations, states, all, dependent) };
}

/** The groups of a combination, by their first states; then those without states. */
export function groupsOf(equations: Condensed): Group[] {
  const { nx, rowsOfA, guards, dependent } = equations;
  const sets = new DisjointSets(nx);
  for (let i = 0; i < nx; i++)
    for (let p = rowsOfA.start[i]; p < rowsOfA.start[i + 1]; p++) sets.join(i, rowsOfA.column[p]);
  for (const { state, row } of dependent) for (const j of row.at) if (j < nx) sets.join(state, j);
  const looksAt = Array.from({ length: guards.count }, (_, g) => statesIn(guards, g));
  for (const seen of looksAt) for (const j of seen) sets.join(seen[0], j);

  const byRoot = new Map<number, { states: number[]; guards: number[] }>();
  for (let i = 0; i < nx; i++) {
    const root = sets.find(i);
    const group = byRoot.get(root);
    if (group) group.states.push(i);
    else byRoot.set(root, { states: [i], guards: [] });
  }
  const stateless = new Map<string, number[]>();
  for (const [g, seen] of looksAt.entries()) {
    if (seen.length > 0) byRoot.get(sets.find(seen[0]))!.guards.push(g);
    else {
      const key = sourcesOf(equations, [], [g], []).join();
      const known = stateless.get(key);
      if (known) known.push(g);
      else stateless.set(key, [g]);
    }
  }
  const groups = [...byRoot.values()].map(({ states, guards: own }) => {
    const tied = dependent.filter(({ state }) => states.includes(state));
    return { states, guards: own, dependent: tied, sources: sourcesOf(equations, states, own, tied) };
  });
  const watching = [...stateless.values()].map((own) => {
    return { states: [], guards: own, dependent: [], sources: sourcesOf(equations, [], own, []) };
  });
  return [...groups, ...watching];
}

function statesIn({ sparse }: Rows, g: number): readonly number[] {
  return Array.from(sparse.column.subarray(sparse.start[g], sparse.start[g + 1]));
}

/** Sources that matter: they move a state, set a dependent one, or are looked at by a guard. */
function sourcesOf(
  { nu, B, D, nx, guards }: Condensed,
  states: readonly number[],
  own: readonly number[],
  ties: readonly DependentState[],
): number[] {
  const live = new Set<number>();
  for (let s = 1; s < nu; s++) {
    const moves = states.some((i) => B[i * nu + s] !== 0 || D[i * nu + s] !== 0);
    const seen = own.some((g) => guards.U[g * nu + s] !== 0 || guards.D[g * nu + s] !== 0);
    if (moves || seen) live.add(s);
  }
  for (const { row } of ties) for (const j of row.at) if (j > nx) live.add(j - nx);
  return [...live].sort((a, b) => a - b);
}
