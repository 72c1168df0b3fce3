// Linear equations with sparse rows for right-hand sides, while a combination of modes is set up.
import { Singular, type SparseColumns, SparseLu } from "./sparse.js";
import type { Sum, Vector } from "./vector.js";

/** An entry of a matrix: row, column, value. Entries at one place add up. */
export type Entry = readonly [row: number, column: number, value: number];

/** The factors of a matrix. @throws what `fault` gives, where it has none */
export function factorsOf(matrix: SparseColumns, fault: () => Error): SparseLu {
  try {
    return new SparseLu(matrix);
  } catch (error) {
    throw error instanceof Singular ? fault() : error;
  }
}

/**
 * Solves column by column.
 * @param right the right-hand sides, row by row
 * @param solve solves one column in place; its second argument is scratch
 * @returns the answers, row by row
 */
export function solveColumns(
  right: readonly Vector[],
  sum: Sum,
  solve: (b: Float64Array, scratch: Float64Array) => void,
): Vector[] {
  const columns = [...new Set(right.flatMap(({ at }) => at))].sort((a, b) => a - b);
  const values = new Map(columns.map((column) => [column, new Float64Array(right.length)]));
  for (const [i, { at, of }] of right.entries())
    for (let p = 0; p < at.length; p++) values.get(at[p])![i] = of[p];
  const scratch = new Float64Array(right.length);
  for (const b of values.values()) solve(b, scratch);
  return right.map((_, i) => {
    for (const [column, b] of values) if (b[i] !== 0) sum.put(column, b[i]);
    return sum.take();
  });
}
