// What hangs together: disjoint sets, and what can be reached.

/** Disjoint sets of whole numbers from 0 on (union-find); a set is known by its smallest member. */
export class DisjointSets {
  private readonly parent: Int32Array;

  constructor(size: number) {
    this.parent = new Int32Array(size);
    for (let i = 0; i < size; i++) this.parent[i] = i;
  }

  /** The set that a number is in. */
  find(p: number): number {
    const { parent } = this;
    // Each one passed is hung two higher, so that no chain grows long.
    let at = p;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  }

  /** Joins two sets; false when they were one already. */
  join(a: number, b: number): boolean {
    const ra = this.find(a);
    const rb = this.find(b);
    if (ra === rb) return false;
    if (ra < rb) this.parent[rb] = ra;
    else this.parent[ra] = rb;
    return true;
  }

  /** The members of each set, ascending; the sets by their smallest member. */
  groups(): number[][] {
    const lists = new Map<number, number[]>();
    for (let i = 0; i < this.parent.length; i++) {
      const set = this.find(i);
      const list = lists.get(set);
      if (list) list.push(i);
      else lists.set(set, [i]);
    }
    return [...lists.values()];
  }
}

/** All that can be reached from some nodes, these included. `next` is asked once for each node. */
export function reachable<T>(from: Iterable<T>, next: (node: T) => Iterable<T>): Set<T> {
  const met = new Set(from);
  // A set hands out what is added while it is walked.
  for (const node of met) for (const other of next(node)) met.add(other);
  return met;
}
