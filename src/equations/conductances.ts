// The conductances at one node of a net. Their order depends only on what was added and in which order.
import type { Arithmetic } from "./arithmetic.js";

/** The conductances at a node. With few of them, scanning the list is fastest. */
export class Conductances<T> {
  readonly to: number[] = [];
  readonly siemens: T[] = [];
  private places: Map<number, number> | undefined = undefined;

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

  /** The last entry takes its place. */
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
