// Lists that an elimination works on: what each node conducts to, and which group is to be eliminated next. What always
// holds: their order depends on what was put in and in which order, on nothing else.
import type { Arithmetic } from "./numbers.js";

/** What a node conducts to. With few, looking along the list is quickest. */
export class Conductances<T> {
  readonly to: number[] = [];
  readonly siemens: T[] = [];
  private places: Map<number, number> | undefined;

  constructor(private readonly numbers: Arithmetic<T>) {}

  add(node: number, siemens: T): void {
    const p = this.find(node);
    if (p >= 0) {
      this.siemens[p] = this.numbers.add(this.siemens[p], siemens);
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
export class DegreeQueue {
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
