// Correlation of many stretches of the same values: sums and squares of each stretch are differences of running sums, so that only
// the product of both is worked out anew.

/** A stretch whose squares about its mean are a smaller share than this of those of all values counts as flat. */
const flat = 1e-13;

/** Values about their mean, with the sums of them and of their squares before each, so that those of any stretch are known. */
export class Stretches {
  readonly values: Float64Array;
  private readonly sums: Float64Array;
  private readonly squares: Float64Array;

  constructor(all: Float64Array) {
    const mean = all.reduce((sum, v) => sum + v, 0) / all.length;
    this.values = all.map((v) => v - mean);
    this.sums = new Float64Array(all.length + 1);
    this.squares = new Float64Array(all.length + 1);
    this.values.forEach((v, k) => {
      this.sums[k + 1] = this.sums[k] + v;
      this.squares[k + 1] = this.squares[k] + v * v;
    });
  }

  sum(from: number, count: number): number {
    return this.sums[from + count] - this.sums[from];
  }

  /** Sum of the squares about the stretch's own mean; 0 if it is flat. */
  spread(from: number, count: number): number {
    const found = this.squares[from + count] - this.squares[from] - this.sum(from, count) ** 2 / count;
    return found > flat * this.squares[this.values.length] ? found : 0;
  }
}

/** Correlation coefficient of a stretch of each; 0 if one is flat. */
export function correlation(a: Stretches, fromA: number, b: Stretches, fromB: number, count: number): number {
  const spreads = a.spread(fromA, count) * b.spread(fromB, count);
  if (spreads === 0) return 0;
  let product = 0;
  for (let k = 0; k < count; k++) product += a.values[fromA + k] * b.values[fromB + k];
  return (product - (a.sum(fromA, count) * b.sum(fromB, count)) / count) / Math.sqrt(spreads);
}
