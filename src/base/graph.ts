// Connected sets: union-find, and the nodes that can be reached.

/** Disjoint sets of whole numbers from 0 on (union-find); a set is named by its smallest member. */
export class DisjointSets {
  private readonly parent: Int32Array;

  constructor(size: number) {
    this.parent = new Int32Array(size);
    for (let i = 0; i < size; i++) this.parent[i] = i;
  }

  find(p: number): number {
    const { parent } = this;
    // Path halving: each member passed is linked to its grandparent, so that no chain grows long.
    let at = p;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  }

  /** Joins the sets of two numbers; false if they were one set already. */
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
  // Iterating over a Set also visits what is added meanwhile.
  for (const node of met) for (const other of next(node)) met.add(other);
  return met;
}
