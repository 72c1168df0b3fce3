// Sums of squares of rows, in as few rows as there are columns. Rows are reduced to a triangle with the same sum of squares for
// every z (Householder reflections; G. H. Golub & C. F. Van Loan, Matrix Computations, ch. 5). A sum of squares kept this way
// never falls below zero, and where its terms cancel, what is left is the square of the rounding.

/** Rows over z, flat, `width` numbers each. */
export interface SumOfSquares {
  readonly count: number;
  readonly rows: Float64Array;
}

export const emptySum: SumOfSquares = { count: 0, rows: new Float64Array(0) };

/** A triangle with the sum of squares of these rows, which are overwritten. */
export function triangular(rows: Float64Array, width: number): SumOfSquares {
  const count = rows.length / width;
  for (let k = 0; k < width && k < count - 1; k++) {
    let rest = 0;
    for (let i = k + 1; i < count; i++) rest += rows[i * width + k] ** 2;
    if (rest === 0) continue;
    const at = k * width + k;
    const head = rows[at];
    const length = Math.sqrt(head * head + rest);
    const first = head > 0 ? head + length : head - length;
    // The reflection I − v vᵀ / (length · |first|), v the column with `first` at its head.
    const scale = 1 / (length * Math.abs(first));
    for (let j = k + 1; j < width; j++) {
      let sum = first * rows[k * width + j];
      for (let i = k + 1; i < count; i++) sum += rows[i * width + k] * rows[i * width + j];
      if (sum === 0) continue;
      sum *= scale;
      rows[k * width + j] -= first * sum;
      for (let i = k + 1; i < count; i++) rows[i * width + j] -= rows[i * width + k] * sum;
    }
    rows[at] = head > 0 ? -length : length;
    for (let i = k + 1; i < count; i++) rows[i * width + k] = 0;
  }
  const kept = Math.min(count, width);
  return { count: kept, rows: rows.slice(0, kept * width) };
}

/** The sum of two. */
export function bothSums(a: SumOfSquares, b: SumOfSquares, width: number): SumOfSquares {
  const rows = new Float64Array((a.count + b.count) * width);
  rows.set(a.rows);
  rows.set(b.rows, a.rows.length);
  return triangular(rows, width);
}

export function sumAt({ count, rows }: SumOfSquares, z: Float64Array): number {
  const width = z.length;
  let sum = 0;
  for (let i = 0; i < count; i++) {
    let product = 0;
    for (let j = i, p = i * width + i; j < width; j++, p++) product += rows[p] * z[j];
    sum += product * product;
  }
  return sum;
}
