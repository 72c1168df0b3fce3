// Numbers that are read one by one, of which there may be ten million.

/** A list of numbers that grows block by block, so that ten million of them are never in memory twice. */
export class NumberList {
  private blocks: (Float64Array | undefined)[] = [];
  count = 0;

  constructor(private readonly block: number) {}

  add(value: number): void {
    const within = this.count % this.block;
    if (within === 0) this.blocks.push(new Float64Array(this.block));
    this.blocks[this.blocks.length - 1]![within] = value;
    this.count++;
  }

  /** All the numbers, times a factor. The list is emptied: each block is released as soon as it is copied. */
  handedOver(factor: number): Float64Array {
    const found = new Float64Array(this.count);
    for (let k = 0; k < this.blocks.length; k++) {
      const from = k * this.block;
      const own = this.blocks[k]!.subarray(0, this.count - from);
      found.set(factor === 1 ? own : own.map((v) => v * factor), from);
      this.blocks[k] = undefined;
    }
    this.blocks = [];
    return found;
  }

  at(i: number): number {
    return this.blocks[Math.floor(i / this.block)]?.[i % this.block] ?? Number.NaN;
  }
}
