// Rooted trees over numbered nodes, with the nodes of every subtree side by side. The root of a tree is its smallest node,
// so node 0 is a root.

/** The two nodes of an edge. */
export interface Ends {
  readonly a: number;
  readonly b: number;
}

/** Rooted trees; an edge is known by its index in the lists it was given in. */
export class Forest {
  /** The root of each node. */
  readonly root: Int32Array;
  /** The node above, and the edge that leads there; −1 at a root. */
  readonly above: Int32Array;
  readonly edge: Int32Array;
  readonly depth: Int32Array;
  /** Nodes in an order in which each subtree is a stretch: that of node v is order[first[v]] … order[end[v] − 1]. */
  readonly order: Int32Array;
  readonly first: Int32Array;
  readonly end: Int32Array;

  /** @param ends of each edge; they close no loop */
  constructor(nodes: number, ends: readonly Ends[]) {
    const { start, edges } = incidence(nodes, ends);
    const root = new Int32Array(nodes).fill(-1);
    const above = root.slice();
    const edge = root.slice();
    const depth = new Int32Array(nodes);
    const order = depth.slice();
    const first = depth.slice();
    const end = depth.slice();
    const stack: number[] = [];
    let count = 0;
    for (let r = 0; r < nodes; r++) {
      if (root[r] >= 0) continue;
      root[r] = r;
      stack.push(r);
      for (let v = stack.pop(); v !== undefined; v = stack.pop()) {
        first[v] = count;
        order[count++] = v;
        end[v] = count;
        for (let p = start[v]; p < start[v + 1]; p++) {
          const e = edges[p];
          if (e === edge[v]) continue;
          const { a, b } = ends[e];
          const below = a === v ? b : a;
          root[below] = r;
          above[below] = v;
          edge[below] = e;
          depth[below] = depth[v] + 1;
          stack.push(below);
        }
      }
    }
    for (let t = nodes - 1; t >= 0; t--) {
      const v = order[t];
      if (above[v] >= 0 && end[above[v]] < end[v]) end[above[v]] = end[v];
    }
    this.root = root;
    this.above = above;
    this.edge = edge;
    this.depth = depth;
    this.order = order;
    this.first = first;
    this.end = end;
  }

  /** Whether a node is in the subtree of another. */
  below(node: number, top: number): boolean {
    return this.first[node] >= this.first[top] && this.first[node] < this.end[top];
  }

  /**
   * Visits the edges between two nodes of one tree: from the deeper one upwards, and from both where they are level.
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

/** Which edges stand at which node: those of node v are edges[start[v]] … edges[start[v + 1] − 1], ascending. */
export function incidence(
  nodes: number,
  ends: readonly Ends[],
  counts?: (edge: number) => boolean,
): { readonly start: Int32Array; readonly edges: Int32Array } {
  // Counted two entries ahead, so that filling in shifts the starts to their places.
  const start = new Int32Array(nodes + 2);
  for (let e = 0; e < ends.length; e++) {
    if (counts && !counts(e)) continue;
    start[ends[e].a + 2]++;
    start[ends[e].b + 2]++;
  }
  for (let v = 2; v < nodes + 2; v++) start[v] += start[v - 1];
  const edges = new Int32Array(start[nodes + 1]);
  for (let e = 0; e < ends.length; e++) {
    if (counts && !counts(e)) continue;
    edges[start[ends[e].a + 1]++] = e;
    edges[start[ends[e].b + 1]++] = e;
  }
  return { start, edges };
}
