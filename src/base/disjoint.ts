// Which of some numbered things hang together: disjoint sets (union-find), each known by its smallest member.

/** Disjoint sets of the numbers 0 … size − 1; to begin with each is a set of its own. */
export class DisjointSets {
  private readonly parent: Int32Array;

  constructor(size: number) {
    this.parent = new Int32Array(size);
    for (let i = 0; i < size; i++) this.parent[i] = i;
  }

  /** The set of a member, by its smallest one. */
  find(member: number): number {
    const { parent } = this;
    // Each one passed is hung two higher, so that no chain grows long.
    let at = member;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  }

  /** Joins the sets of two members; false when they were one already. */
  join(a: number, b: number): boolean {
    const one = this.find(a);
    const other = this.find(b);
    if (one === other) return false;
    this.parent[Math.max(one, other)] = Math.min(one, other);
    return true;
  }

  /** The members of each set, ascending; the sets by their smallest member. */
  groups(): number[][] {
    const lists = new Map<number, number[]>();
    for (let i = 0; i < this.parent.length; i++) {
      const list = lists.get(this.find(i));
      if (list) list.push(i);
      else lists.set(this.find(i), [i]);
    }
    return [...lists.values()];
  }
}
