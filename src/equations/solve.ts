// Linear equations while a combination of modes is set up: ml-matrix for the usual small circuit, our own sparse
// factorisation for large ones. Both refine their answer once.
import { LuDecomposition, Matrix } from "ml-matrix";
import type { Element } from "./elements.js";
import { compress, Singular, SparseLu } from "./sparse.js";
import { Fault } from "./topology.js";

/** An entry of a matrix: row, column, value. Entries at one place add up. */
export type Entry = readonly [row: number, column: number, value: number];

/**
 * Solves for all columns of the right-hand side at once.
 * @param thin by the sparse factorisation
 * @param about the elements to blame
 * @throws Fault `ill-conditioned` where there is no finite answer
 */
export function solve(
  entries: readonly Entry[],
  right: Matrix,
  thin: boolean,
  about: () => readonly Element[],
): Matrix {
  const n = right.rows;
  if (n === 0) return right;
  const fault = () => new Fault("ill-conditioned", [...new Set(about().map((e) => e.part))]);
  const answer = thin ? sparsely(n, entries, right, fault) : densely(n, entries, right, fault);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < answer.columns; j++) if (!Number.isFinite(answer.get(i, j))) throw fault();
  }
  return answer;
}

function densely(n: number, entries: readonly Entry[], right: Matrix, fault: () => Fault): Matrix {
  const matrix = Matrix.zeros(n, n);
  for (const [row, column, value] of entries) matrix.set(row, column, matrix.get(row, column) + value);
  const lu = new LuDecomposition(matrix);
  if (lu.isSingular()) throw fault();
  const first = lu.solve(right);
  return Matrix.add(first, lu.solve(Matrix.sub(right, matrix.mmul(first))));
}

function sparsely(n: number, entries: readonly Entry[], right: Matrix, fault: () => Fault): Matrix {
  const matrix = compress(n, entries);
  let lu: SparseLu;
  try {
    lu = new SparseLu(matrix);
  } catch (error) {
    if (error instanceof Singular) throw fault();
    throw error;
  }
  const answer = Matrix.zeros(n, right.columns);
  const scratch = new Float64Array(n);
  for (let j = 0; j < right.columns; j++) {
    const b = Float64Array.from(right.getColumn(j));
    lu.solveRefined(matrix, b, scratch);
    for (let i = 0; i < n; i++) answer.set(i, j, b[i]!);
  }
  return answer;
}
