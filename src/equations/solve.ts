// Linear equations with sparse right-hand sides, for setting up a combination of modes.
import { SparseLu } from "./lu.js";
import { compress, type Entry, Singular } from "./sparsecolumns.js";
import type { Sum, Vector } from "./vector.js";

/** The factors of a matrix of order n. @throws what `fault` gives where there are none */
export function factorsOf(n: number, entries: Iterable<Entry>, fault: () => Error): SparseLu {
  try {
    return new SparseLu(compress(n, entries));
  } catch (error) {
    throw error instanceof Singular ? fault() : error;
  }
}

/**
 * Solves column by column.
 * @param right the right-hand sides, row by row
 * @param solve solves one column in place
 * @returns the answers, row by row
 */
export function solveColumns(right: readonly Vector[], sum: Sum, solve: (b: Float64Array) => void): Vector[] {
  const columns = [...new Set(right.flatMap(({ at }) => at))].sort((a, b) => a - b);
  const values = new Map(columns.map((column) => [column, new Float64Array(right.length)]));
  for (const [i, { at, of }] of right.entries())
    for (let p = 0; p < at.length; p++) values.get(at[p])![i] = of[p];
  for (const b of values.values()) solve(b);
  return right.map((_, i) => {
    for (const [column, b] of values) if (b[i] !== 0) sum.put(column, b[i]);
    return sum.take();
  });
}
