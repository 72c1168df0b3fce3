// The conductances at the nodes of a net, by node. Their order depends only on what was added and in which order. All nodes
// share two arrays, since lists of their own would take most of the room that a large net needs.
import type { Arithmetic } from "./arithmetic.js";

/** A row of edges: the entries from `first` up to `end` of lists of what they lead to, and of conductances, S. */
export interface Edges<T> {
  readonly to: readonly number[];
  readonly siemens: readonly T[];
  readonly first: number;
  readonly end: number;
}

/** Entries that a node has room for at first; and how many are searched one by one. */
const atFirst = 2;
const few = 16;
/** The room of a node that takes none. */
const closed = -1;

/** The conductances at some nodes. */
export class Conductances<T> {
  /** By node: where its entries begin, how many there are, and for how many there is room. */
  private readonly start: Int32Array;
  private readonly count: Int32Array;
  private readonly room: Int32Array;
  /** Those of all nodes; what a node had when it was taken out stays where it was, for whoever took it. */
  readonly to: number[] = [];
  readonly siemens: T[] = [];
  /** Of a node with many, the place of each among them. */
  private readonly places = new Map<number, Map<number, number>>();

  constructor(
    private readonly numbers: Arithmetic<T>,
    nodes: number,
  ) {
    this.start = new Int32Array(nodes);
    this.count = new Int32Array(nodes);
    this.room = new Int32Array(nodes);
  }

  /** How many a node has. */
  degree(node: number): number {
    return this.count[node];
  }

  /** From here on a node takes none. */
  close(node: number): void {
    this.room[node] = closed;
  }

  /** Adds one at a node, to what is there already towards the same other. */
  add(node: number, other: number, siemens: T): void {
    const { start, count, room, numbers } = this;
    if (room[node] === closed) return;
    const p = this.find(node, other);
    if (p >= 0) {
      const at = start[node] + p;
      this.siemens[at] = numbers.add(this.siemens[at], siemens);
      return;
    }
    const n = count[node]++;
    if (n === room[node]) this.widen(node);
    this.places.get(node)?.set(other, n);
    this.to[start[node] + n] = other;
    this.siemens[start[node] + n] = siemens;
  }

  /** Those of a node. */
  of(node: number): Edges<T> {
    const first = this.start[node];
    return { to: this.to, siemens: this.siemens, first, end: first + this.count[node] };
  }

  /** Takes all of a node out, at both ends; gives them. */
  take(node: number): Edges<T> {
    const taken = this.of(node);
    this.close(node);
    for (let p = taken.first; p < taken.end; p++) this.remove(this.to[p], node);
    return taken;
  }

  /** The last entry takes its place. */
  private remove(node: number, other: number): void {
    if (this.room[node] === closed) return;
    const { start, count, to, siemens } = this;
    const p = this.find(node, other);
    const last = --count[node];
    const places = this.places.get(node);
    places?.delete(other);
    if (p === last) return;
    const at = start[node];
    to[at + p] = to[at + last];
    siemens[at + p] = siemens[at + last];
    places?.set(to[at + p], p);
  }

  private widen(node: number): void {
    const { start, room, to, siemens, numbers } = this;
    const had = room[node];
    const from = start[node];
    start[node] = to.length;
    room[node] = Math.max(atFirst, 2 * had);
    for (let p = 0; p < room[node]; p++) {
      to.push(p < had ? to[from + p] : 0);
      siemens.push(p < had ? siemens[from + p] : numbers.zero);
    }
  }

  /** Where a node has that to another, among its own; −1 for nowhere. */
  private find(node: number, other: number): number {
    const { to } = this;
    const from = this.start[node];
    const count = this.count[node];
    if (count <= few && !this.places.has(node)) {
      for (let p = 0; p < count; p++) if (to[from + p] === other) return p;
      return -1;
    }
    let places = this.places.get(node);
    if (!places) {
      places = new Map(to.slice(from, from + count).map((b, p) => [b, p]));
      this.places.set(node, places);
    }
    return places.get(other) ?? -1;
  }
}
