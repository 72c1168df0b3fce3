// Voltages of a net of resistors, free of the cancellation that loses small ones beside large ones. Takes the conductances
// between nodes, the nodes that are tied together by given voltages, and the currents pushed into nodes; gives the
// voltage between any two nodes as a row over the columns. What always holds: in the elimination nothing is ever
// subtracted, so every conductance that it makes is right to a few roundings, however far apart the given ones are.
//
// Method: a node with conductances g_j to its neighbours j is replaced by g_j g_k / Σ g between every two of them (star
// to mesh: A. Rosen, J. IEE 62, 1924), where Σ g is summed anew and not taken from a diagonal. That is the elimination
// of W. Grassmann, M. Taksar and D. Heyman (Operations Research 33(5), 1985), right entry by entry: C. O'Cinneide,
// Numerische Mathematik 65, 1993 (both from memory). Nodes that given voltages tie together are eliminated as one.
// Which goes first: the one with the fewest neighbours (minimum degree).
//
// Backwards, it is not the voltages that are worked out but the differences across what conducts: of a node a of the
// star and its neighbour b, v_a − v_b = Σ_k (g_k / Σ g) (v_k − v_b) + (what is pushed in) / Σ g, and v_k − v_b stands across
// the mesh that took the star's place. So 1 fV across 1 µohm beside 1 kV across 1 Tohm is as right as the 1 kV.
//
// Notation: a node within the group under elimination, b and k outside of it; share = g / Σ g.
import type { Forest } from "./forest.js";
import { none, Sum, type Vector } from "./vector.js";

/** What became of a group of nodes: its edges with their shares, and the voltage that what is pushed into it makes. */
interface Star {
  readonly to: readonly number[];
  readonly share: readonly number[];
  readonly lift: Vector;
  /** For each node of a group of several: the shares at it and below its tie, and those above. */
  readonly inside?: Float64Array;
  readonly beyond?: Float64Array;
}

/** Voltages of a net: connect and push, eliminate, then ask. */
export class Reduction {
  /** What a node conducts to, as long as it is not eliminated; none for ground. */
  private readonly near: (Neighbours | undefined)[];
  /** By root, what is pushed into its group. */
  private readonly pushed: (Vector | undefined)[];
  private readonly stars: (Star | undefined)[];
  /** When the group of each root was eliminated; ground never is. */
  private readonly turn: Int32Array;
  private readonly known = new Map<number, Vector>();
  private readonly sum: Sum;

  /**
   * @param tied groups of nodes tied together by given voltages; the group of node 0 is ground
   * @param rows voltage of the lower end of each tie against its upper end
   * @param width number of columns
   * @param fault what to throw where a group has no finite conductance to anything
   */
  constructor(
    private readonly tied: Forest,
    private readonly rows: readonly Vector[],
    width: number,
    private readonly fault: (nodes: readonly number[]) => Error,
  ) {
    const { root } = tied;
    const nodes = root.length;
    this.sum = new Sum(width);
    this.near = [];
    this.pushed = [];
    this.stars = [];
    for (let v = 0; v < nodes; v++) {
      this.near.push(root[v] === 0 ? undefined : new Neighbours());
      this.pushed.push(undefined);
      this.stars.push(undefined);
    }
    this.turn = new Int32Array(nodes).fill(nodes);
  }

  /** Puts a conductance between two nodes, S. */
  connect(a: number, b: number, siemens: number): void {
    const { root } = this.tied;
    if (root[a] === root[b]) return;
    this.near[a]?.add(b, siemens);
    this.near[b]?.add(a, siemens);
  }

  /** Pushes a current into the group of a node, so many times a row. */
  push(node: number, row: Vector, factor: number): void {
    const root = this.tied.root[node];
    if (root === 0 || row.at.length === 0) return;
    const before = this.pushed[root];
    if (before) this.sum.add(before, 1);
    this.sum.add(row, factor);
    this.pushed[root] = this.sum.take();
  }

  /** Adds v(a) − v(b) times a factor to a sum. */
  addDifference(into: Sum, a: number, b: number, factor: number): void {
    this.addReady(into, a, b, factor, (x, y) => this.settle(x, y));
  }

  /** Eliminates everything but ground. @throws what `fault` gives */
  eliminate(): void {
    const { tied, turn } = this;
    const nodes = tied.root.length;
    const waiting = new Waiting(nodes);
    let left = 0;
    for (let v = nodes - 1; v > 0; v--) {
      if (tied.root[v] !== v) continue;
      waiting.set(v, this.degree(v));
      left++;
    }
    for (let t = 0; t < left; t++) {
      const root = waiting.least();
      turn[root] = t;
      for (const other of this.remove(root)) waiting.set(other, this.degree(other));
    }
  }

  private degree(root: number): number {
    const { order, first, end } = this.tied;
    let all = 0;
    for (let t = first[root]; t < end[root]; t++) all += this.near[order[t]]!.to.length;
    return all;
  }

  /** Replaces a group by a mesh between its neighbours; gives the groups among these. */
  private remove(root: number): number[] {
    const { tied, near, sum } = this;
    const several = tied.end[root] - tied.first[root] > 1;
    const from: number[] = [];
    const to: number[] = [];
    const siemens: number[] = [];
    // What each neighbour conducts to the group as a whole.
    const outside = new Neighbours();
    let total = 0;
    for (let t = tied.first[root]; t < tied.end[root]; t++) {
      const a = tied.order[t];
      const own = near[a]!;
      for (let p = 0; p < own.to.length; p++) {
        const b = own.to[p];
        const g = own.siemens[p];
        from.push(a);
        to.push(b);
        siemens.push(g);
        total += g;
        outside.add(b, g);
        near[b]?.remove(a);
      }
      near[a] = undefined;
    }
    if (!(total > 0 && total < Number.POSITIVE_INFINITY))
      throw this.fault(Array.from(tied.order.subarray(tied.first[root], tied.end[root])));
    const share = siemens.map((g) => g / total);
    const pushed = this.pushed[root] ?? none;
    sum.add(pushed, 1 / total);
    const star = { to, share, lift: sum.take(), ...(several && sides(tied, root, from, share)) };
    this.stars[root] = star;
    const groups: number[] = [];
    for (let i = 0; i < outside.to.length; i++) {
      const b = outside.to[i];
      const g = outside.siemens[i];
      for (let j = 0; j < i; j++) this.connect(b, outside.to[j], g * (outside.siemens[j] / total));
      const group = tied.root[b];
      if (group === 0) continue;
      if (!groups.includes(group)) groups.push(group);
      this.push(b, pushed, g / total);
    }
    // What the given voltages within the group drive out of it.
    if (several) {
      for (let p = 0; p < to.length; p++) {
        if (tied.root[to[p]] === 0) continue;
        this.addMean(sum, star, from[p], siemens[p]);
        this.push(to[p], sum.take(), 1);
      }
    }
    return groups;
  }

  /** Adds the voltage of a node against the mean of its group, each of the group's edges with its share. */
  private addMean(into: Sum, { inside, beyond }: Star, x: number, factor: number): void {
    if (!inside || !beyond) return;
    const { tied, rows } = this;
    const first = tied.first[tied.root[x]];
    for (let i = 1; i < inside.length; i++) {
      const v = tied.order[first + i];
      const weight = tied.below(x, v) ? beyond[i] : -inside[i];
      if (weight !== 0) into.add(rows[tied.edge[v]], weight * factor);
    }
  }

  /** Adds the voltage between two nodes of one group. */
  private addTied(into: Sum, a: number, b: number, factor: number): void {
    const { above, edge, depth } = this.tied;
    let [x, y] = [a, b];
    while (x !== y) {
      const up = depth[x] >= depth[y];
      into.add(this.rows[edge[up ? x : y]], up ? factor : -factor);
      if (up) x = above[x];
      else y = above[y];
    }
  }

  /** Adds v(a) − v(b) by what is known, asking for what is not. */
  private addReady(
    into: Sum,
    a: number,
    b: number,
    factor: number,
    ask: (a: number, b: number) => Vector,
  ): void {
    const { root } = this.tied;
    if (root[a] === root[b]) this.addTied(into, a, b, factor);
    else if (this.turn[root[a]] < this.turn[root[b]]) this.addFrom(into, a, b, factor, ask);
    else this.addFrom(into, b, a, -factor, ask);
  }

  /** The same where a's group was eliminated before b's. */
  private addFrom(
    into: Sum,
    a: number,
    b: number,
    factor: number,
    ask: (a: number, b: number) => Vector,
  ): void {
    const star = this.stars[this.tied.root[a]]!;
    // Across what does not conduct there is no mesh: by the voltages against ground.
    if (b === 0 || star.to.includes(b)) into.add(ask(a, b), factor);
    else {
      into.add(ask(a, 0), factor);
      this.addReady(into, b, 0, -factor, ask);
    }
  }

  /** The row of v(a) − v(b), a's group eliminated before b's; what it needs is worked out first, without recursion. */
  private settle(a: number, b: number): Vector {
    const { root } = this.tied;
    const nodes = root.length;
    const goal = a * nodes + b;
    const found = this.known.get(goal);
    if (found) return found;
    const stack = [goal];
    const missing = (x: number, y: number): Vector => {
      const key = x * nodes + y;
      const row = this.known.get(key);
      if (!row) stack.push(key);
      return row ?? none;
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
      for (let p = 0; p < star.to.length; p++) this.addReady(this.sum, star.to[p], y, star.share[p], missing);
      this.addMean(this.sum, star, x, 1);
      this.sum.add(star.lift, 1);
      const row = this.sum.take();
      // Incomplete where something was missing: that comes first, and then this again.
      if (stack.length > before) continue;
      this.known.set(key, row);
      stack.pop();
    }
    return this.known.get(goal)!;
  }
}

/** Of each node of a group, the shares inside its subtree and those outside, each summed without a subtraction. */
function sides(tied: Forest, root: number, from: readonly number[], share: readonly number[]) {
  const first = tied.first[root];
  const own = new Float64Array(tied.end[root] - first);
  for (const [p, a] of from.entries()) own[tied.first[a] - first] += share[p];
  const inside = own.slice();
  const beyond = new Float64Array(own.length);
  for (let i = own.length - 1; i > 0; i--)
    inside[tied.first[tied.above[tied.order[first + i]]] - first] += inside[i];
  // Outside of a node is what is outside of the one above, that one's own, and its other branches: those before this
  // one are gathered on the way down the list, those after it on the way up.
  const gathered = new Float64Array(own.length);
  const above = (i: number) => tied.first[tied.above[tied.order[first + i]]] - first;
  for (let i = 1; i < own.length; i++) {
    beyond[i] = gathered[above(i)];
    gathered[above(i)] += inside[i];
  }
  gathered.fill(0);
  for (let i = own.length - 1; i > 0; i--) {
    beyond[i] += gathered[above(i)];
    gathered[above(i)] += inside[i];
  }
  for (let i = 1; i < own.length; i++) beyond[i] += own[above(i)] + beyond[above(i)];
  return { inside, beyond };
}

/** What a node conducts to. With few, looking along the list is quickest. */
class Neighbours {
  readonly to: number[] = [];
  readonly siemens: number[] = [];
  private places: Map<number, number> | undefined;

  add(node: number, siemens: number): void {
    const p = this.find(node);
    if (p >= 0) {
      this.siemens[p] += siemens;
      return;
    }
    this.places?.set(node, this.to.length);
    this.to.push(node);
    this.siemens.push(siemens);
  }

  /** The last one takes its place. */
  remove(node: number): void {
    const p = this.find(node);
    const last = this.to.pop()!;
    const siemens = this.siemens.pop()!;
    this.places?.delete(node);
    if (last === node) return;
    this.to[p] = last;
    this.siemens[p] = siemens;
    this.places?.set(last, p);
  }

  private find(node: number): number {
    if (this.to.length > 16 && !this.places) this.places = new Map(this.to.map((b, p) => [b, p]));
    return this.places ? (this.places.get(node) ?? -1) : this.to.indexOf(node);
  }
}

/** Roots by degree; what was put in last is taken first. An entry that is out of date is passed over. */
class Waiting {
  private readonly lists: number[][] = [];
  private readonly degree: Int32Array;
  private lowest = 0;

  constructor(nodes: number) {
    this.degree = new Int32Array(nodes).fill(-1);
  }

  set(root: number, degree: number): void {
    if (this.degree[root] === degree) return;
    this.degree[root] = degree;
    while (this.lists.length <= degree) this.lists.push([]);
    this.lists[degree].push(root);
    if (degree < this.lowest) this.lowest = degree;
  }

  /** Takes out a root of least degree; there must be one. */
  least(): number {
    for (;;) {
      const root = this.lists[this.lowest].pop();
      if (root === undefined) this.lowest++;
      else if (this.degree[root] === this.lowest) {
        this.degree[root] = -1;
        return root;
      }
    }
  }
}
