// Matrices without their zeros, row by row. The march multiplies with the same few in every step, and most of what is
// in a circuit has nothing to do with most of the rest.
// Always: entries stand in order of their columns, so a product has the bits that it has with the zeros in.

/** Rows without their zeros: row i stands at start[i] … start[i + 1]. */
export interface ThinRows {
  readonly start: Int32Array;
  readonly column: Int32Array;
  readonly value: Float64Array;
}

/** Leaves the zeros of `count` rows out, each `nx` wide. */
export function thinRows(X: Float64Array, count: number, nx: number): ThinRows {
  const start = new Int32Array(count + 1);
  const column: number[] = [];
  const value: number[] = [];
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < nx; j++) {
      if (X[i * nx + j] === 0) continue;
      column.push(j);
      value.push(X[i * nx + j]!);
    }
    start[i + 1] = column.length;
  }
  return { start, column: Int32Array.from(column), value: Float64Array.from(value) };
}
