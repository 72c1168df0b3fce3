// The order of elimination that keeps fill low. It is a permutation that depends on no value, and ties always fall the same
// way (what was added to its degree last is taken first; at the start, the smallest index).
//
// Method: minimum degree on the pattern of B + Bᵀ, B the rows brought to their columns, as a quotient graph: an
// eliminated column becomes an element that stands for the clique of its neighbours, elements inside it are
// absorbed, and degrees are bounded from above in time proportional to the lists. P. Amestoy, T. Davis, I. Duff,
// An approximate minimum degree ordering algorithm, SIAM J. Matrix Anal. Appl. 17(4), 1996. Columns with the same
// neighbours are not merged beforehand (circuits have few), only eliminated together when they turn up. Columns with
// very many neighbours (a supply rail) are set aside and go last, as in that paper's program: every elimination
// would walk their long lists, and they end up last anyway.
//
// Notation: i, v variables (columns not yet eliminated); e elements; p the pivot, which becomes an element.
// list[begin[i] …] holds, for a variable, its elements[i] elements and then its variables, size[i] in all; for an
// element, its size[e] variables.
import { DegreeQueue } from "./degrees.js";
import type { Singletons } from "./singletons.js";
import type { SparseColumns } from "./sparsecolumns.js";

// What an index stands for; at first a variable, 0.
const element = 1;
const gone = 2;

/**
 * Columns in order of elimination.
 * @param rowOf the pivot row preferred for each column, see `matching`
 * @param first columns that go first and fill nothing
 */
export function minimumDegree(a: SparseColumns, rowOf: Int32Array, first: Singletons): Int32Array {
  const { n } = a;
  // Columns that the graph leaves out: those that go first, and later those that go last.
  const aside = new Uint8Array(n);
  for (const j of first.columns) aside[j] = 1;
  const pattern = neighbours(a, rowOf, aside);
  const order = new Int32Array(n);
  order.set(first.columns);
  let done = first.columns.length;
  const graph = new QuotientGraph(n, pattern);
  const queue = new DegreeQueue(n);
  for (let i = n - 1; i >= 0; i--) if (!aside[i]) queue.add(i, pattern.size[i]);
  const few = n - pattern.crowded.length;
  while (done < few) {
    const p = queue.takeLeast();
    order[done++] = p;
    graph.eliminate(p);
    done = graph.renew(p, queue, order, done);
    graph.measure(p, queue, few - done - 1);
  }
  order.set(pattern.crowded, done);
  return order;
}

/** The graph of what remains to be eliminated. */
class QuotientGraph {
  private list: Int32Array;
  private used: number;
  private readonly begin: Int32Array;
  private readonly size: Int32Array;
  private readonly elements: Int32Array;
  private readonly state: Uint8Array;
  /** Of an element, how many of its variables are not neighbours of the pivot; of a variable, its neighbours outside. */
  private readonly beyond: Int32Array;
  /** The last pivot that each variable was gathered for, and the last from which each element was met. */
  private readonly mark: Int32Array;
  private readonly met: Int32Array;

  constructor(n: number, { begin, size, list }: Pattern) {
    this.begin = begin;
    this.size = size;
    this.list = list;
    this.used = list.length;
    this.elements = new Int32Array(n);
    this.state = new Uint8Array(n);
    this.beyond = new Int32Array(n);
    this.mark = new Int32Array(n).fill(-1);
    this.met = new Int32Array(n).fill(-1);
  }

  /** Gathers the neighbours of p at the end of the list: p is an element from now on. */
  eliminate(p: number): void {
    const { begin, size, elements, state } = this;
    const middle = begin[p] + elements[p];
    let most = size[p] - elements[p];
    for (let s = begin[p]; s < middle; s++) most += size[this.list[s]];
    this.reserve(most);
    const { list } = this;
    this.mark[p] = p;
    const from = this.used;
    for (let s = begin[p]; s < middle; s++) {
      const e = list[s];
      this.gather(begin[e], begin[e] + size[e], p);
      state[e] = gone;
    }
    this.gather(middle, begin[p] + size[p], p);
    state[p] = element;
    begin[p] = from;
    size[p] = this.used - from;
  }

  /**
   * Puts element p into the lists of its variables, in place of everything that it absorbs. Variables left with no other
   * neighbour are next in the order: eliminating them right after p adds no fill.
   * @returns how many columns are in the order
   */
  renew(p: number, queue: DegreeQueue, order: Int32Array, done: number): number {
    const { list, begin, size, state, beyond } = this;
    this.countBeyond(p);
    let next = done;
    const from = begin[p];
    let to = from;
    for (let s = from; s < from + size[p]; s++) {
      const i = list[s];
      queue.remove(i);
      const outside = this.rebuild(i, p);
      if (outside < 0) {
        state[i] = gone;
        order[next++] = i;
      } else {
        beyond[i] = outside;
        list[to++] = i;
      }
    }
    size[p] = to - from;
    this.used = to;
    return next;
  }

  /** Bounds the degrees of the variables of element p from above, and puts these back into the queue. */
  measure(p: number, queue: DegreeQueue, most: number): void {
    const { list, begin, size, beyond } = this;
    const fellows = size[p] - 1;
    for (let s = begin[p]; s < begin[p] + size[p]; s++) {
      const i = list[s];
      queue.add(i, Math.min(most, queue.degree(i) + fellows, beyond[i] + fellows));
    }
  }

  private reserve(more: number): void {
    const { list, used } = this;
    if (used + more <= list.length) return;
    this.list = new Int32Array(Math.max(2 * list.length, used + more));
    this.list.set(list);
  }

  /** Appends the variables in a stretch of the list to its end, each once. */
  private gather(from: number, to: number, p: number): void {
    const { list, mark } = this;
    let { used } = this;
    for (let s = from; s < to; s++) {
      const i = list[s];
      if (mark[i] === p) continue;
      mark[i] = p;
      list[used++] = i;
    }
    this.used = used;
  }

  /** For every element that shares a neighbour of p: how many of its variables are not neighbours of p. */
  private countBeyond(p: number): void {
    const { list, begin, size, elements, met, beyond } = this;
    for (let s = begin[p]; s < begin[p] + size[p]; s++) {
      const i = list[s];
      for (let t = begin[i]; t < begin[i] + elements[i]; t++) {
        const e = list[t];
        if (met[e] !== p) {
          met[e] = p;
          beyond[e] = size[e];
        }
        beyond[e]--;
      }
    }
  }

  /**
   * Puts element p into the list of its variable i and drops what p absorbs.
   * @returns a bound on the neighbours of i outside p; −1 when i has none and its list is empty
   */
  private rebuild(i: number, p: number): number {
    const { list, begin, size, elements, state, beyond, mark } = this;
    const first = begin[i];
    const middle = first + elements[i];
    const end = first + size[i];
    let to = first;
    let outside = 0;
    for (let s = first; s < middle; s++) {
      const e = list[s];
      if (state[e] === element && beyond[e] === 0) state[e] = gone; // inside p altogether
      if (state[e] !== element) continue;
      outside += beyond[e];
      list[to++] = e;
    }
    const split = to;
    for (let s = middle; s < end; s++) {
      const v = list[s];
      if (mark[v] === p) continue;
      outside++;
      list[to++] = v;
    }
    if (to === first) return -1;
    // p goes first; there is room, because p itself or an element absorbed by p has just left the list.
    list[to] = list[split];
    list[split] = list[first];
    list[first] = p;
    elements[i] = split - first + 1;
    size[i] = to - first + 1;
    return outside;
  }
}

/** Neighbours of each column: list[begin[i] …], size[i] of them. */
interface Pattern {
  readonly begin: Int32Array;
  readonly size: Int32Array;
  readonly list: Int32Array;
  /** Columns with very many neighbours, which go last. */
  readonly crowded: readonly number[];
}

/**
 * The pattern of B + Bᵀ without its diagonal and without the columns set aside, each neighbour once. Crowded columns
 * are set aside as well, and listed with the fewest neighbours first.
 */
function neighbours(a: SparseColumns, rowOf: Int32Array, aside: Uint8Array): Pattern {
  const { n, start, row } = a;
  const columnOf = new Int32Array(n);
  for (let j = 0; j < n; j++) columnOf[rowOf[j]] = j;
  const begin = new Int32Array(n + 1);
  const size = new Int32Array(n);
  const pairs = (take: (i: number, j: number) => void) => {
    for (let j = 0; j < n; j++) {
      for (let p = start[j]; p < start[j + 1]; p++) {
        const i = columnOf[row[p]];
        if (i !== j && !aside[i] && !aside[j]) take(i, j);
      }
    }
  };
  pairs((i, j) => {
    begin[i + 1]++;
    begin[j + 1]++;
  });
  for (let j = 0; j < n; j++) begin[j + 1] += begin[j];
  const list = new Int32Array(begin[n]);
  pairs((i, j) => {
    list[begin[i] + size[i]++] = j;
    list[begin[j] + size[j]++] = i;
  });
  // A pair on both sides of the diagonal was listed twice.
  const seen = new Int32Array(n).fill(-1);
  for (let j = 0; j < n; j++) {
    let kept = 0;
    for (let s = begin[j]; s < begin[j] + size[j]; s++) {
      const i = list[s];
      if (seen[i] === j) continue;
      seen[i] = j;
      list[begin[j] + kept++] = i;
    }
    size[j] = kept;
  }
  // Ten times the root of n is the limit that Amestoy, Davis and Duff's program uses (from memory).
  const many = Math.max(16, 10 * Math.sqrt(n));
  const crowded: number[] = [];
  for (let j = 0; j < n; j++) if (size[j] > many) crowded.push(j);
  if (crowded.length === 0) return { begin, size, list, crowded };
  for (const j of crowded) aside[j] = 1;
  crowded.sort((i, j) => size[i] - size[j] || i - j);
  for (let j = 0; j < n; j++) {
    let kept = 0;
    const end = begin[j] + size[j];
    for (let s = begin[j]; s < end; s++) if (!aside[list[s]]) list[begin[j] + kept++] = list[s];
    size[j] = kept;
  }
  return { begin, size, list, crowded };
}
