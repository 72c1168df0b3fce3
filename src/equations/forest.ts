// Trees over numbered nodes, rooted, with the nodes of every subtree side by side. Takes edges that close no loop, gives
// for each node its way to its root. What always holds: node 0 is a root; of each other tree its smallest node is.

/** Rooted trees; an edge is known by its index in the lists it was given in. */
export class Forest {
  /** The root of each node. */
  readonly root: Int32Array;
  /** The node above, and the edge that leads there; −1 at a root. */
  readonly above: Int32Array;
  readonly edge: Int32Array;
  readonly depth: Int32Array;
  /** Nodes so that each subtree is a stretch: that of node v is order[first[v]] … order[end[v] − 1]. */
  readonly order: Int32Array;
  readonly first: Int32Array;
  readonly end: Int32Array;

  /** @param from, to the ends of each edge */
  constructor(nodes: number, from: readonly number[], to: readonly number[]) {
    const { start, edges } = incidence(nodes, [from, to]);
    this.root = new Int32Array(nodes).fill(-1);
    this.above = new Int32Array(nodes).fill(-1);
    this.edge = new Int32Array(nodes).fill(-1);
    this.depth = new Int32Array(nodes);
    this.order = new Int32Array(nodes);
    this.first = new Int32Array(nodes);
    this.end = new Int32Array(nodes);
    const { root, above, edge, depth, order, first, end } = this;
    const stack: number[] = [];
    let count = 0;
    for (let r = 0; r < nodes; r++) {
      if (root[r] >= 0) continue;
      root[r] = r;
      stack.push(r);
      for (let v = stack.pop(); v !== undefined; v = stack.pop()) {
        first[v] = count;
        order[count++] = v;
        for (let p = start[v]; p < start[v + 1]; p++) {
          const e = edges[p];
          if (e === edge[v]) continue;
          const below = from[e] === v ? to[e] : from[e];
          root[below] = r;
          above[below] = v;
          edge[below] = e;
          depth[below] = depth[v] + 1;
          stack.push(below);
        }
      }
    }
    end.set(first.map((at) => at + 1));
    for (let t = nodes - 1; t >= 0; t--) {
      const v = order[t];
      if (above[v] >= 0) end[above[v]] = Math.max(end[above[v]], end[v]);
    }
  }

  /** True where a node stands in the subtree of another. */
  below(node: number, top: number): boolean {
    return this.first[node] >= this.first[top] && this.first[node] < this.end[top];
  }

  /**
   * Visits the edges between two nodes of one tree: first those from `a` upwards, then those from `b` upwards.
   * @param visit gets the edge, its lower node, and 1 where the way from a to b goes up along it, −1 where down
   */
  walk(a: number, b: number, visit: (edge: number, lower: number, way: 1 | -1) => void): void {
    const { above, edge, depth } = this;
    let [x, y] = [a, b];
    while (x !== y) {
      if (depth[x] >= depth[y]) {
        visit(edge[x], x, 1);
        x = above[x];
      } else {
        visit(edge[y], y, -1);
        y = above[y];
      }
    }
  }
}

/** The edges of the first loop that a list of edges closes, the closing one first; none where they are trees. */
export function loopOf(
  nodes: number,
  from: readonly number[],
  to: readonly number[],
): readonly number[] | undefined {
  const sets = new Sets(nodes);
  const closing = from.findIndex((a, i) => !sets.join(a, to[i]));
  if (closing < 0) return undefined;
  const loop = [closing];
  const before = new Forest(nodes, from.slice(0, closing), to.slice(0, closing));
  before.walk(from[closing], to[closing], (edge) => loop.push(edge));
  return loop;
}

/** Which edges stand at which node: those of node v are edges[start[v]] … edges[start[v + 1] − 1], ascending. */
export function incidence(
  nodes: number,
  ends: readonly (readonly number[])[],
): { readonly start: Int32Array; readonly edges: Int32Array } {
  const start = new Int32Array(nodes + 1);
  for (const list of ends) for (const v of list) if (v >= 0) start[v + 1]++;
  for (let v = 0; v < nodes; v++) start[v + 1] += start[v];
  const next = start.slice(0, nodes);
  const edges = new Int32Array(start[nodes]);
  const count = ends[0].length;
  for (let e = 0; e < count; e++) for (const list of ends) if (list[e] >= 0) edges[next[list[e]]++] = e;
  return { start, edges };
}

/** Disjoint sets of places (union-find); a set is known by its smallest place. */
export class Sets {
  private readonly parent: Int32Array;
  constructor(size: number) {
    this.parent = Int32Array.from({ length: size }, (_, i) => i);
  }
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
    this.parent[Math.max(ra, rb)] = Math.min(ra, rb);
    return true;
  }
}
