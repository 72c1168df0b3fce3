// The next thing to eliminate: things numbered from 0, by degree. Among equals the one added last is taken first, so the
// order depends only on what was added and in which order.

/** A queue by degree: a doubly linked list for each. */
export class DegreeQueue {
  private readonly degrees: Int32Array;
  private readonly head: number[] = [];
  private readonly next: Int32Array;
  private readonly previous: Int32Array;
  private least = 0;

  /** @param size number of things */
  constructor(size: number) {
    this.degrees = new Int32Array(size).fill(-1);
    this.next = new Int32Array(size).fill(-1);
    this.previous = new Int32Array(size).fill(-1);
  }

  /** The degree of a thing, or its last one once it is removed. */
  degree(i: number): number {
    return this.degrees[i];
  }

  /** Adds a thing that is not in the queue. */
  add(i: number, degree: number): void {
    const { head, next, previous } = this;
    while (head.length <= degree) head.push(-1);
    const was = head[degree];
    next[i] = was;
    previous[i] = -1;
    if (was >= 0) previous[was] = i;
    head[degree] = i;
    this.degrees[i] = degree;
    if (degree < this.least) this.least = degree;
  }

  /** Removes a thing that is in the queue. */
  remove(i: number): void {
    const { head, next, previous } = this;
    if (next[i] >= 0) previous[next[i]] = previous[i];
    if (previous[i] >= 0) next[previous[i]] = next[i];
    else head[this.degrees[i]] = next[i];
  }

  /** Changes the degree of a thing in the queue; it keeps its place where the degree is the same. */
  move(i: number, degree: number): void {
    if (this.degrees[i] === degree) return;
    this.remove(i);
    this.add(i, degree);
  }

  /** Removes and gives a thing of least degree; there must be one. */
  takeLeast(): number {
    const { head } = this;
    while (head[this.least] < 0) this.least++;
    const i = head[this.least];
    this.remove(i);
    return i;
  }
}
