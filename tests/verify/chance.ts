// Chance with a seed, the same on every machine: four words of xorshift (G. Marsaglia, Xorshift RNGs, J. Statistical
// Software 8(14), 2003), begun from a hash of the seed so that neighbouring seeds have nothing in common. A failure
// names its seed, and the seed alone makes the same circuit again.

/** A stream of chance. */
export class Chance {
  private x: number;
  private y: number;
  private z: number;
  private w: number;

  /** @param seed a whole number */
  constructor(readonly seed: number) {
    // Rounds of multiply and shift spread the seed over 128 bits; a word of odd constants keeps it from zero.
    let state = (seed ^ 0x9e3779b9) | 0;
    const word = () => {
      state = (state + 0x6d2b79f5) | 0;
      let t = Math.imul(state ^ (state >>> 15), state | 1);
      t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
      return (t ^ (t >>> 14)) | 0;
    };
    [this.x, this.y, this.z, this.w] = [word(), word(), word(), word() | 1];
  }

  /** From 0 to below 1. */
  share(): number {
    const t = this.x ^ (this.x << 11);
    [this.x, this.y, this.z] = [this.y, this.z, this.w];
    this.w = this.w ^ (this.w >>> 19) ^ t ^ (t >>> 8);
    return (this.w >>> 0) / 2 ** 32;
  }

  /** A whole number from `low` to `high`, both included. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.share() * (high - low + 1));
  }

  /** True so often. */
  happens(probability: number): boolean {
    return this.share() < probability;
  }

  /** One of a list. */
  of<T>(list: readonly T[]): T {
    return list[this.whole(0, list.length - 1)];
  }

  /** The list in another order. */
  shuffled<T>(list: readonly T[]): T[] {
    const out = [...list];
    for (let i = out.length - 1; i > 0; i--) {
      const j = this.whole(0, i);
      [out[i], out[j]] = [out[j], out[i]];
    }
    return out;
  }
}
