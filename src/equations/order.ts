// The order in which to eliminate, so that few entries fill in. Takes the pattern of a matrix and the pivot row
// preferred for each column, gives the columns in order of elimination. What always holds: the result is a
// permutation, depends on no value, and ties fall the same way each time (what was put into its degree last is taken
// first; to begin with, the smallest index).
//
// Method: minimum degree on the pattern of B + Bᵀ, B the rows brought to their columns, as a quotient graph: an
// eliminated column becomes an element that stands for the clique of its neighbours, elements inside it are
// absorbed, and degrees are bounded from above in time proportional to the lists. P. Amestoy, T. Davis, I. Duff,
// An approximate minimum degree ordering algorithm, SIAM J. Matrix Anal. Appl. 17(4), 1996. Columns with the same
// neighbours are not merged beforehand (circuits have few), only eliminated together when they turn up. Columns with
// very many neighbours (a supply rail) are set aside and go last, as that paper's program does: every elimination
// would walk their long lists, and they end up last anyway.
//
// Notation: i, v variables (columns not yet eliminated); e elements; p the pivot, which becomes an element.
// list[begin[i] …] holds, for a variable, its elements[i] elements and then its variables, size[i] in all; for an
// element, its size[e] variables.
import type { SparseColumns } from "./columns.js";
import type { Singletons } from "./singletons.js";

// What an index stands for; it begins as a variable, 0.
const element = 1;
const gone = 2;

/**
 * Columns in order of elimination.
 * @param rowOf the pivot row preferred for each column, see `matching`
 * @param first columns that go first and fill nothing, see `peel`
 */
export function minimumDegree(a: SparseColumns, rowOf: Int32Array, first: Singletons): Int32Array {
  const { n } = a;
  // Columns that the graph leaves out: those that go first, later those that go last.
  const aside = new Uint8Array(n);
  for (const j of first.columns) aside[j] = 1;
  const graph = neighbours(a, rowOf, aside);
  const { begin, size, crowded } = graph;
  let { list } = graph;
  let used = list.length;
  const elements = new Int32Array(n);
  const state = new Uint8Array(n);
  const degree = new Int32Array(n);
  const beyond = new Int32Array(n);
  const mark = new Int32Array(n).fill(-1);
  const met = new Int32Array(n).fill(-1);
  const buckets = new Buckets(n);
  for (let i = n - 1; i >= 0; i--) {
    degree[i] = size[i];
    if (!aside[i]) buckets.add(i, degree[i]);
  }
  const order = new Int32Array(n);
  order.set(first.columns);
  let done = first.columns.length;

  /** Gathers the neighbours of p behind everything else in the list: p is an element from now on. */
  function eliminate(p: number): void {
    let most = size[p] - elements[p];
    for (let s = begin[p]; s < begin[p] + elements[p]; s++) most += size[list[s]];
    if (used + most > list.length) {
      const grown = new Int32Array(Math.max(2 * list.length, used + most));
      grown.set(list);
      list = grown;
    }
    mark[p] = p;
    const from = used;
    const middle = begin[p] + elements[p];
    for (let s = begin[p]; s < middle; s++) {
      const e = list[s];
      for (let t = begin[e]; t < begin[e] + size[e]; t++) gather(list[t], p);
      state[e] = gone;
    }
    for (let s = middle; s < begin[p] + size[p]; s++) gather(list[s], p);
    state[p] = element;
    begin[p] = from;
    size[p] = used - from;
  }

  function gather(i: number, p: number): void {
    if (mark[i] === p) return;
    mark[i] = p;
    list[used++] = i;
  }

  /** For every element that a neighbour of p also belongs to: how many of its variables are no neighbours of p. */
  function measure(p: number): void {
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
   * Puts element p into the lists of its variable i and drops what p stands for.
   * @returns bound on the neighbours of i outside p; −1 when i has none and no list either
   */
  function rebuild(i: number, p: number): number {
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

  const few = n - crowded.length;
  while (done < few) {
    const p = buckets.takeLeast(degree);
    order[done++] = p;
    eliminate(p);
    measure(p);
    const from = begin[p];
    let to = from;
    for (let s = from; s < from + size[p]; s++) {
      const i = list[s];
      buckets.remove(i, degree[i]);
      const outside = rebuild(i, p);
      if (outside < 0) {
        // Nothing but p: eliminating it right after p adds no fill at all.
        state[i] = gone;
        order[done++] = i;
      } else {
        beyond[i] = outside;
        list[to++] = i;
      }
    }
    size[p] = to - from;
    used = to;
    const fellows = size[p] - 1;
    for (let s = from; s < to; s++) {
      const i = list[s];
      degree[i] = Math.min(few - done - 1, degree[i] + fellows, beyond[i] + fellows);
      buckets.add(i, degree[i]);
    }
  }
  order.set(crowded, done);
  return order;
}

/**
 * The pattern of B + Bᵀ without its diagonal and without the columns set aside, each neighbour once. Crowded columns
 * are set aside as well, and listed with the fewest neighbours first.
 */
function neighbours(a: SparseColumns, rowOf: Int32Array, aside: Uint8Array) {
  const { n, start, row } = a;
  const columnOf = new Int32Array(n);
  for (let j = 0; j < n; j++) columnOf[rowOf[j]] = j;
  const begin = new Int32Array(n + 1);
  const size = new Int32Array(n);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      const i = columnOf[row[p]];
      if (i === j || aside[i] || aside[j]) continue;
      begin[i + 1]++;
      begin[j + 1]++;
    }
  }
  for (let j = 0; j < n; j++) begin[j + 1] += begin[j];
  const list = new Int32Array(begin[n]);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      const i = columnOf[row[p]];
      if (i === j || aside[i] || aside[j]) continue;
      list[begin[i] + size[i]++] = j;
      list[begin[j] + size[j]++] = i;
    }
  }
  // A pair that stands on both sides of the diagonal was listed twice.
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

/** Variables by degree, in doubly linked lists. */
class Buckets {
  private readonly head: Int32Array;
  private readonly next: Int32Array;
  private readonly previous: Int32Array;
  private least = 0;

  constructor(n: number) {
    this.head = new Int32Array(n + 1).fill(-1);
    this.next = new Int32Array(n).fill(-1);
    this.previous = new Int32Array(n).fill(-1);
  }

  add(i: number, degree: number): void {
    const was = this.head[degree];
    this.next[i] = was;
    this.previous[i] = -1;
    if (was >= 0) this.previous[was] = i;
    this.head[degree] = i;
    if (degree < this.least) this.least = degree;
  }

  remove(i: number, degree: number): void {
    const { head, next, previous } = this;
    if (next[i] >= 0) previous[next[i]] = previous[i];
    if (previous[i] >= 0) next[previous[i]] = next[i];
    else head[degree] = next[i];
  }

  /** Takes out a variable of least degree; there must be one. */
  takeLeast(degree: Int32Array): number {
    while (this.head[this.least] < 0) this.least++;
    const i = this.head[this.least];
    this.remove(i, degree[i]);
    return i;
  }
}
