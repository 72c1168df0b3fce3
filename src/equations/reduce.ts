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

/** The net as it is given. */
export interface Net {
  /** Groups of nodes tied together by given voltages; the group of node 0 is ground. */
  readonly tied: Forest;
  /** Voltage of the lower end of a tie against its upper end. */
  readonly tie: (edge: number) => Vector;
  /** Conductances: ends and siemens. */
  readonly from: readonly number[];
  readonly to: readonly number[];
  readonly siemens: readonly number[];
  /** Pushes a current into a node, so many times a row. */
  readonly pushed: readonly { readonly node: number; readonly row: Vector; readonly factor: number }[];
  /** Number of columns. */
  readonly width: number;
  /** What to throw where a group has no finite conductance to anything. */
  readonly fault: (nodes: readonly number[]) => Error;
}

/** Voltages of a net. */
export class Reduction {
  private readonly near: (Map<number, number> | undefined)[];
  private readonly pushed: (Vector | undefined)[];
  private readonly stars: (Star | undefined)[];
  /** When the group of each root was eliminated; ground never is. */
  private readonly turn: Int32Array;
  private readonly known = new Map<number, Vector>();
  private readonly sum: Sum;

  constructor(private readonly net: Net) {
    const { tied, from, to, siemens, pushed, width } = net;
    const nodes = tied.root.length;
    this.sum = new Sum(width);
    this.near = new Array(nodes);
    this.pushed = new Array(nodes);
    this.stars = new Array(nodes);
    this.turn = new Int32Array(nodes).fill(nodes);
    for (let v = 0; v < nodes; v++) if (tied.root[v] !== 0) this.near[v] = new Map();
    for (let e = 0; e < from.length; e++) this.connect(from[e], to[e], siemens[e]);
    for (const { node, row, factor } of pushed) {
      const root = tied.root[node];
      if (root !== 0) this.push(root, row, factor);
    }
    this.eliminate();
  }

  /** Adds v(a) − v(b) times a factor to a sum. */
  addDifference(into: Sum, a: number, b: number, factor: number): void {
    this.addReady(into, a, b, factor, (x, y) => this.settle(x, y));
  }

  private connect(a: number, b: number, g: number): void {
    const { root } = this.net.tied;
    if (root[a] === root[b]) return;
    this.meet(a, b, g);
    this.meet(b, a, g);
  }

  private meet(a: number, b: number, g: number): void {
    const near = this.near[a];
    near?.set(b, (near.get(b) ?? 0) + g);
  }

  private push(root: number, row: Vector, factor: number): void {
    const before = this.pushed[root];
    if (before) this.sum.add(before, 1);
    this.sum.add(row, factor);
    this.pushed[root] = this.sum.take();
  }

  private eliminate(): void {
    const { tied } = this.net;
    const nodes = tied.root.length;
    const waiting = new Waiting(nodes);
    const degree = (root: number): number => {
      let all = 0;
      for (let t = tied.first[root]; t < tied.end[root]; t++) all += this.near[tied.order[t]]!.size;
      return all;
    };
    let left = 0;
    for (let v = nodes - 1; v > 0; v--) {
      if (tied.root[v] !== v || this.turn[v] < nodes) continue;
      waiting.set(v, degree(v));
      left++;
    }
    for (let turn = 0; turn < left; turn++) {
      const root = waiting.least();
      this.turn[root] = turn;
      for (const other of this.remove(root)) waiting.set(other, degree(other));
    }
  }

  /** Replaces a group by a mesh between its neighbours; gives the groups among these. */
  private remove(root: number): Set<number> {
    const { tied, fault } = this.net;
    const { near, sum } = this;
    const from: number[] = [];
    const to: number[] = [];
    const share: number[] = [];
    const outside = new Map<number, number>();
    let total = 0;
    for (let t = tied.first[root]; t < tied.end[root]; t++) {
      const a = tied.order[t];
      for (const [b, g] of near[a]!) {
        from.push(a);
        to.push(b);
        share.push(g);
        outside.set(b, (outside.get(b) ?? 0) + g);
        near[b]?.delete(a);
        total += g;
      }
      near[a] = undefined;
    }
    if (!(total > 0 && total < Number.POSITIVE_INFINITY))
      throw fault(Array.from(tied.order.subarray(tied.first[root], tied.end[root])));
    const conductances = share.slice();
    for (let p = 0; p < share.length; p++) share[p] /= total;
    const pushed = this.pushed[root] ?? none;
    sum.add(pushed, 1 / total);
    const several = tied.end[root] - tied.first[root] > 1;
    const star = { to, share, lift: sum.take(), ...(several && sides(tied, root, from, share)) };
    this.stars[root] = star;

    const groups = new Set<number>();
    const list = [...outside];
    for (const [i, [b, g]] of list.entries()) {
      const group = tied.root[b];
      for (let j = 0; j < i; j++) {
        const [k, h] = list[j];
        if (tied.root[k] === group) continue;
        const between = g * (h / total);
        this.meet(b, k, between);
        this.meet(k, b, between);
      }
      if (group === 0) continue;
      groups.add(group);
      if (pushed.at.length > 0) this.push(group, pushed, g / total);
    }
    // What the given voltages within the group drive out of it.
    if (several) {
      for (let p = 0; p < to.length; p++) {
        if (tied.root[to[p]] === 0) continue;
        this.addMean(sum, star, from[p], conductances[p]);
        this.push(tied.root[to[p]], sum.take(), 1);
      }
    }
    return groups;
  }

  /** Adds the voltage of a node against the mean of its group, each of the group's edges with its share. */
  private addMean(into: Sum, { inside, beyond }: Star, x: number, factor: number): void {
    if (!inside || !beyond) return;
    const { tied, tie } = this.net;
    const first = tied.first[tied.root[x]];
    for (let i = 1; i < inside.length; i++) {
      const v = tied.order[first + i];
      const weight = tied.below(x, v) ? beyond[i] : -inside[i];
      if (weight !== 0) into.add(tie(tied.edge[v]), weight * factor);
    }
  }

  /** Adds the voltage between two nodes of one group. */
  private addTied(into: Sum, a: number, b: number, factor: number): void {
    this.net.tied.walk(a, b, (edge, _, way) => into.add(this.net.tie(edge), way * factor));
  }

  /** Adds v(a) − v(b) by what is known, asking for what is not. */
  private addReady(
    into: Sum,
    a: number,
    b: number,
    factor: number,
    ask: (a: number, b: number) => Vector,
  ): void {
    const { root } = this.net.tied;
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
    const star = this.stars[this.net.tied.root[a]]!;
    // Across what does not conduct there is no mesh: by the voltages against ground.
    if (b === 0 || star.to.includes(b)) into.add(ask(a, b), factor);
    else {
      into.add(ask(a, 0), factor);
      this.addReady(into, b, 0, -factor, ask);
    }
  }

  /** The row of v(a) − v(b), a's group eliminated before b's; what it needs is worked out first, without recursion. */
  private settle(a: number, b: number): Vector {
    const { root } = this.net.tied;
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
