// How the edges of a group of nodes that given voltages tie together share out around each of its ties: below it, and above.
// Summed without a subtraction, so that a small share beside a large one keeps its digits.
import type { Arithmetic } from "./arithmetic.js";
import type { Forest } from "./forest.js";

/** For each node of a group, in its order: the shares at it and below its tie, and those above. */
export interface GroupSides<T> {
  readonly inside: readonly T[];
  readonly beyond: readonly T[];
}

/**
 * The sides of a group.
 * @param from of each edge, the node within the group
 * @param share of each edge, its part of all that leaves the group
 */
export function sides<T>(
  tied: Forest,
  root: number,
  from: readonly number[],
  share: readonly T[],
  { zero, add }: Arithmetic<T>,
): GroupSides<T> {
  const first = tied.first[root];
  const count = tied.end[root] - first;
  const above = (i: number) => tied.first[tied.above[tied.order[first + i]]] - first;
  const own = new Array<T>(count).fill(zero);
  for (const [p, a] of from.entries()) own[tied.first[a] - first] = add(own[tied.first[a] - first], share[p]);
  const inside = own.slice();
  for (let i = count - 1; i > 0; i--) inside[above(i)] = add(inside[above(i)], inside[i]);
  // The outside of a node is the outside of the node above, that node's own share, and its other branches: those before this
  // one are summed on the way down the list, those after it on the way up.
  const beyond = new Array<T>(count).fill(zero);
  for (const down of [true, false]) {
    const gathered = new Array<T>(count).fill(zero);
    for (let step = 1; step < count; step++) {
      const i = down ? step : count - step;
      beyond[i] = add(beyond[i], gathered[above(i)]);
      gathered[above(i)] = add(gathered[above(i)], inside[i]);
    }
  }
  for (let i = 1; i < count; i++) beyond[i] = add(beyond[i], add(own[above(i)], beyond[above(i)]));
  return { inside, beyond };
}
