// Voltages between the nodes of a net of resistors, free of the cancellation that loses small ones beside large ones: the
// elimination never subtracts, so every conductance that it makes is right to a few roundings, however far apart the given
// ones are. Given voltages tie nodes together, and currents are pushed into them.
//
// Method: a node with conductances g_j to its neighbours j is replaced by g_j g_k / Σ g between every two of them (star
// to mesh: A. Rosen, J. IEE 62, 1924), where Σ g is summed again and not taken from a diagonal. That is the elimination
// of W. Grassmann, M. Taksar and D. Heyman (Operations Research 33(5), 1985), right entry by entry: C. O'Cinneide,
// Numerische Mathematik 65, 1993 (both from memory). Nodes that given voltages tie together are eliminated as one.
// The node with the fewest neighbours goes first (minimum degree).
//
// Back substitution computes not voltages but the differences across what conducts: for a node a of the star and its
// neighbour b, v_a − v_b = Σ_k (g_k / Σ g) (v_k − v_b) + (current pushed in) / Σ g, and v_k − v_b is a difference across
// the mesh that replaced the star. So 1 fV across 1 µohm beside 1 kV across 1 Tohm is as right as the 1 kV.
//
// Notation: a node within the group being eliminated, b and k outside it; share = g / Σ g.

import type { Arithmetic } from "./arithmetic.js";
import { Conductances, type Edges } from "./conductances.js";
import { DegreeQueue } from "./degrees.js";
import type { Forest } from "./forest.js";
import { type GroupSides, sides } from "./sides.js";
import { type TrackedRow, type TrackedSum, trackedSum } from "./vector.js";

/** The record of an eliminated group of nodes: its edges with their shares, and the voltage from currents pushed into it. */
interface Star<T> {
  /** Entries from `first` up to `end`. */
  readonly to: readonly number[];
  readonly share: readonly T[];
  readonly first: number;
  readonly end: number;
  readonly lift: TrackedRow<T>;
  /** Of a group of several nodes. */
  readonly sides?: GroupSides<T>;
}

/** Voltages of a net: connect and push, eliminate, then read. */
export class StarMesh<T> {
  /** The conductances of each node until it is eliminated; none of ground. */
  private readonly near: Conductances<T>;
  /** By root, the current pushed into its group. */
  private readonly pushed: (TrackedRow<T> | undefined)[];
  private readonly stars: (Star<T> | undefined)[];
  /** When the group of each root was eliminated; ground never is. */
  private readonly turn: Int32Array;
  private readonly known = new Map<number, TrackedRow<T>>();
  private readonly sum: TrackedSum<T>;
  private readonly one: T;

  /**
   * @param tied groups of nodes tied together by given voltages; the group of node 0 is ground
   * @param rows voltage of the lower end of each tie against its upper end
   * @param width number of columns
   * @param fault makes the error to throw where a group has no finite conductance to anything
   */
  constructor(
    private readonly tied: Forest,
    private readonly rows: readonly TrackedRow<T>[],
    private readonly numbers: Arithmetic<T>,
    width: number,
    private readonly fault: (nodes: readonly number[]) => Error,
  ) {
    const { root } = tied;
    const nodes = root.length;
    this.sum = trackedSum(numbers, width);
    this.one = numbers.of(1);
    this.near = new Conductances(numbers, nodes);
    this.pushed = new Array(nodes).fill(undefined);
    this.stars = new Array(nodes).fill(undefined);
    for (let v = 0; v < nodes; v++) if (root[v] === 0) this.near.close(v);
    this.turn = new Int32Array(nodes).fill(nodes);
  }

  /** Adds a conductance between two nodes, S. */
  connect(a: number, b: number, siemens: T): void {
    const { root } = this.tied;
    if (root[a] === root[b]) return;
    this.near.add(a, b, siemens);
    this.near.add(b, a, siemens);
  }

  /** Pushes a current into the group of a node: a row times ±1. */
  push(node: number, row: TrackedRow<T>, way: number): void {
    const root = this.tied.root[node];
    if (root === 0 || row.at.length === 0) return;
    const before = this.pushed[root];
    if (before) this.sum.join(before, 1);
    this.sum.join(row, way);
    this.pushed[root] = this.sum.take();
  }

  /** Adds v(a) − v(b) to a sum, times a factor if given. */
  addDifference(into: TrackedSum<T>, a: number, b: number, factor?: T): void {
    const { root } = this.tied;
    if (root[a] === root[b]) this.addTied(into, a, b, factor);
    else this.addReady(into, a, b, factor ?? this.one, (x, y) => this.settle(x, y));
  }

  /** Eliminates everything but ground. @throws what `fault` gives */
  eliminate(): void {
    const { tied, turn } = this;
    const nodes = tied.root.length;
    const queue = new DegreeQueue(nodes);
    let left = 0;
    for (let v = nodes - 1; v > 0; v--) {
      if (tied.root[v] !== v) continue;
      queue.add(v, this.degree(v));
      left++;
    }
    for (let t = 0; t < left; t++) {
      const root = queue.takeLeast();
      turn[root] = t;
      const { to, first, end } = this.remove(root);
      for (let p = first; p < end; p++) {
        const group = tied.root[to[p]];
        if (group !== 0) queue.move(group, this.degree(group));
      }
    }
  }

  private degree(root: number): number {
    const { order, first, end } = this.tied;
    let all = 0;
    for (let t = first[root]; t < end[root]; t++) all += this.near.degree(order[t]);
    return all;
  }

  /** Replaces a group by a mesh between its neighbours; gives the edges to these. */
  private remove(root: number): Edges<T> {
    const { tied, near } = this;
    if (tied.end[root] - tied.first[root] > 1) return this.removeSeveral(root);
    const edges = near.take(root);
    const { to, first, end } = edges;
    const total = this.total(root, edges);
    const lift = this.lifted(root, total);
    this.join(root, edges, total);
    // Nobody else reads them from here on.
    const { siemens: share } = near;
    for (let p = first; p < end; p++) share[p] = this.numbers.over(share[p], total);
    this.stars[root] = { to, share, first, end, lift };
    return edges;
  }

  /** The same of a group of several nodes. */
  private removeSeveral(root: number): Edges<T> {
    const { tied, sum, numbers } = this;
    const { from, to, siemens, outside } = this.boundary(root);
    const end = to.length;
    const total = this.total(root, { to, siemens, first: 0, end });
    const lift = this.lifted(root, total);
    const share = siemens.map((g) => numbers.over(g, total));
    const star = { to, share, first: 0, end, lift, sides: sides(tied, root, from, share, numbers) };
    this.stars[root] = star;
    this.join(root, outside, total);
    // Currents that the given voltages within the group drive out of it.
    for (let p = 0; p < end; p++) {
      if (tied.root[to[p]] === 0) continue;
      this.addMean(sum, star, from[p], siemens[p]);
      this.push(to[p], sum.take(), 1);
    }
    return outside;
  }

  /** Takes a group of several nodes out of the net: of each edge, the node within and beyond the group, and its conductance. */
  private boundary(root: number) {
    const { tied, near, numbers } = this;
    const from: number[] = [];
    const to: number[] = [];
    const siemens: T[] = [];
    const outside = new Conductances(numbers, 1);
    for (let t = tied.first[root]; t < tied.end[root]; t++) {
      const a = tied.order[t];
      const own = near.take(a);
      for (let p = own.first; p < own.end; p++) {
        from.push(a);
        to.push(own.to[p]);
        siemens.push(own.siemens[p]);
        outside.add(0, own.to[p], own.siemens[p]);
      }
    }
    // The conductance of each neighbour to the group as a whole.
    return { from, to, siemens, outside: outside.of(0) };
  }

  /** The sum of all conductances at a group. */
  private total(root: number, { siemens, first, end }: Edges<T>): T {
    const { numbers, tied } = this;
    let total = numbers.zero;
    for (let p = first; p < end; p++) total = numbers.add(total, siemens[p]);
    const size = numbers.value(total);
    if (size > 0 && size < Number.POSITIVE_INFINITY) return total;
    throw this.fault(Array.from(tied.order.subarray(tied.first[root], tied.end[root])));
  }

  /** The voltage of a group from the current pushed into it. */
  private lifted(root: number, total: T): TrackedRow<T> {
    const { sum, numbers, one } = this;
    const pushed = this.pushed[root];
    if (pushed) sum.add(pushed, numbers.over(one, total));
    return sum.take();
  }

  /** Joins the neighbours of a group to each other, and shares what is pushed into it among them. */
  private join(root: number, { to, siemens, first, end }: Edges<T>, total: T): void {
    const { tied, sum, numbers } = this;
    const pushed = this.pushed[root];
    for (let i = first; i < end; i++) {
      const b = to[i];
      const part = numbers.over(siemens[i], total);
      for (let j = first; j < i; j++) this.connect(b, to[j], numbers.times(siemens[j], part));
      if (!pushed || tied.root[b] === 0) continue;
      sum.add(pushed, part);
      this.push(b, sum.take(), 1);
    }
  }

  /** Adds the voltage of a node against the mean of its group, in which each edge of the group counts by its share. */
  private addMean(into: TrackedSum<T>, { sides }: Star<T>, x: number, factor: T): void {
    if (!sides) return;
    const { inside, beyond } = sides;
    const { tied, rows, numbers } = this;
    const first = tied.first[tied.root[x]];
    for (let i = 1; i < inside.length; i++) {
      const v = tied.order[first + i];
      const weight = tied.below(x, v) ? beyond[i] : numbers.negative(inside[i]);
      if (numbers.value(weight) !== 0) into.add(rows[tied.edge[v]], numbers.times(weight, factor));
    }
  }

  /** Adds the voltage between two nodes of one group; without a factor it is added exactly. */
  private addTied(into: TrackedSum<T>, a: number, b: number, factor?: T): void {
    const { above, edge, depth } = this.tied;
    const { rows, numbers } = this;
    // `Forest.walk`, written out, since most terms are added here.
    let [x, y] = [a, b];
    while (x !== y) {
      const up = depth[x] >= depth[y];
      const row = rows[edge[up ? x : y]];
      if (factor === undefined) into.join(row, up ? 1 : -1);
      else into.add(row, up ? factor : numbers.negative(factor));
      if (up) x = above[x];
      else y = above[y];
    }
  }

  /** Adds v(a) − v(b) from known rows, and asks for those missing. */
  private addReady(
    into: TrackedSum<T>,
    a: number,
    b: number,
    factor: T,
    ask: (a: number, b: number) => TrackedRow<T>,
  ): void {
    const { root } = this.tied;
    if (root[a] === root[b]) this.addTied(into, a, b, factor);
    else if (this.turn[root[a]] < this.turn[root[b]]) this.addFrom(into, a, b, factor, ask);
    else this.addFrom(into, b, a, this.numbers.negative(factor), ask);
  }

  /** The same where a's group was eliminated before b's. */
  private addFrom(
    into: TrackedSum<T>,
    a: number,
    b: number,
    factor: T,
    ask: (a: number, b: number) => TrackedRow<T>,
  ): void {
    const star = this.stars[this.tied.root[a]]!;
    // Between nodes that no conductance joins there is no mesh, so take the voltages against ground.
    if (b === 0 || leads(star, b)) into.add(ask(a, b), factor);
    else {
      into.add(ask(a, 0), factor);
      this.addReady(into, b, 0, this.numbers.negative(factor), ask);
    }
  }

  /** The row of v(a) − v(b), a's group eliminated before b's; the rows it needs are computed first, without recursion. */
  private settle(a: number, b: number): TrackedRow<T> {
    const { root } = this.tied;
    const nodes = root.length;
    const goal = a * nodes + b;
    const found = this.known.get(goal);
    if (found) return found;
    const stack = [goal];
    const missing = (x: number, y: number): TrackedRow<T> => {
      const key = x * nodes + y;
      const row = this.known.get(key);
      if (!row) stack.push(key);
      return row ?? { at: [], of: [], off: [] };
    };
    while (stack.length > 0) {
      const key = stack[stack.length - 1];
      if (this.known.has(key)) {
        stack.pop();
        continue;
      }
      const before = stack.length;
      const y = key % nodes;
      const x = (key - y) / nodes;
      const star = this.stars[root[x]]!;
      for (let p = star.first; p < star.end; p++)
        this.addReady(this.sum, star.to[p], y, star.share[p], missing);
      this.addMean(this.sum, star, x, this.one);
      this.sum.join(star.lift, 1);
      const row = this.sum.take();
      // The row is incomplete if something was missing: compute that first, then this again.
      if (stack.length > before) continue;
      this.known.set(key, row);
      stack.pop();
    }
    return this.known.get(goal)!;
  }
}

/** Whether a star has an edge to a node. */
function leads({ to, first, end }: Star<unknown>, node: number): boolean {
  for (let p = first; p < end; p++) if (to[p] === node) return true;
  return false;
}
