// Trees over numbered nodes, rooted, with the nodes of every subtree side by side. Takes edges that close no loop, gives
// for each node its way to its root. What always holds: node 0 is a root; of each other tree its smallest node is.
import { DisjointSets } from "../base/graph.js";

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
    const { start, edges } = incidence(nodes, from, to);
    const root = new Int32Array(nodes).fill(-1);
    const above = new Int32Array(nodes).fill(-1);
    const edge = new Int32Array(nodes).fill(-1);
    const depth = new Int32Array(nodes);
    const order = new Int32Array(nodes);
    const first = new Int32Array(nodes);
    const end = new Int32Array(nodes);
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
          const below = from[e] === v ? to[e] : from[e];
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

  /** True where a node stands in the subtree of another. */
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

/** The edges of the first loop that a list of edges closes, the closing one first; none where they are trees. */
export function loopOf(
  nodes: number,
  from: readonly number[],
  to: readonly number[],
): readonly number[] | undefined {
  const sets = new DisjointSets(nodes);
  let closing = 0;
  while (closing < from.length && sets.join(from[closing], to[closing])) closing++;
  if (closing === from.length) return undefined;
  const loop = [closing];
  const before = new Forest(nodes, from.slice(0, closing), to.slice(0, closing));
  before.walk(from[closing], to[closing], (edge) => loop.push(edge));
  return loop;
}

/** Which edges stand at which node: those of node v are edges[start[v]] … edges[start[v + 1] − 1], ascending. */
export function incidence(
  nodes: number,
  from: readonly number[],
  to: readonly number[],
  counts?: (edge: number) => boolean,
): { readonly start: Int32Array; readonly edges: Int32Array } {
  // Counted two places on, so that filling in moves the starts to where they belong.
  const start = new Int32Array(nodes + 2);
  for (let e = 0; e < from.length; e++) {
    if (counts && !counts(e)) continue;
    start[from[e] + 2]++;
    start[to[e] + 2]++;
  }
  for (let v = 2; v < nodes + 2; v++) start[v] += start[v - 1];
  const edges = new Int32Array(start[nodes + 1]);
  for (let e = 0; e < from.length; e++) {
    if (counts && !counts(e)) continue;
    edges[start[from[e] + 1]++] = e;
    edges[start[to[e] + 1]++] = e;
  }
  return { start, edges };
}
