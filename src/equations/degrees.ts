// What is to be eliminated next: things numbered from 0, by degree. What was put in last among equals is taken first, so the
// order depends on what was put in and in which order, on nothing else.

/** A queue by degree: a doubly linked list for each. */
export class DegreeQueue {
  private readonly degrees: Int32Array;
  private readonly head: number[] = [];
  private readonly next: Int32Array;
  private readonly previous: Int32Array;
  private least = 0;

  /** @param size how many things there are */
  constructor(size: number) {
    this.degrees = new Int32Array(size).fill(-1);
    this.next = new Int32Array(size).fill(-1);
    this.previous = new Int32Array(size).fill(-1);
  }

  /** The degree under which a thing stands, or stood last. */
  degree(i: number): number {
    return this.degrees[i];
  }

  /** Puts in what is not there. */
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

  /** Takes out what is there. */
  remove(i: number): void {
    const { head, next, previous } = this;
    if (next[i] >= 0) previous[next[i]] = previous[i];
    if (previous[i] >= 0) next[previous[i]] = next[i];
    else head[this.degrees[i]] = next[i];
  }

  /** Gives what is there another degree; where it has it already, it keeps its place. */
  move(i: number, degree: number): void {
    if (this.degrees[i] === degree) return;
    this.remove(i);
    this.add(i, degree);
  }

  /** Takes out a thing of least degree; there must be one. */
  takeLeast(): number {
    const { head } = this;
    while (head[this.least] < 0) this.least++;
    const i = head[this.least];
    this.remove(i);
    return i;
  }
}
