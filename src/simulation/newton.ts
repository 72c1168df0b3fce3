// Newton's step towards a state that one period leads back to itself: (I − J) step = change, with J the derivatives of the
// period's end by its start. In a direction in which I − J has no usable inverse the circuit keeps what it is given, or
// gains without end; there the circuit's own change is taken as the step.
import { Matrix, SingularValueDecomposition } from "ml-matrix";

/** A singular value of (I − J) below this has no usable inverse. */
const singular = 1e-10;

/** A step, and the state that stands out where there is no inverse. */
export interface NewtonStep {
  readonly step: readonly number[];
  readonly astray?: number;
  /** Whether nothing changes in that direction, so that every start would do. */
  readonly many: boolean;
}

/**
 * @param J ∂end/∂begin, row by row
 * @param change end − begin
 * @param sizes the scale of each state, so that volts and amperes compare
 */
export function correction(J: Matrix, change: Float64Array, sizes: Float64Array): NewtonStep {
  const n = change.length;
  if (n === 0) return { step: [], many: false };
  const size = sizes.map((s) => s || 1);
  const matrix = Matrix.eye(n, n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) matrix.set(i, j, matrix.get(i, j) - (J.get(i, j) * size[j]) / size[i]);
  // Growth beyond all numbers leads nowhere: the circuit goes on by itself.
  if (!matrix.to1DArray().every(Number.isFinite)) return { step: Array.from(change), many: false };
  const svd = new SingularValueDecomposition(matrix, { autoTranspose: true });
  const { diagonal, leftSingularVectors: U, rightSingularVectors: V } = svd;
  const right = Array.from(change, (d, i) => d / size[i]);
  const step = new Array<number>(n).fill(0);
  for (let k = 0; k < n; k++) {
    let along = 0;
    for (let i = 0; i < n; i++) along += U.get(i, k) * right[i];
    // In a direction without inverse the circuit goes on as it does; the sign of U relative to V means nothing there.
    let own = 0;
    for (let i = 0; i < n; i++) own += V.get(i, k) * right[i];
    const by = diagonal[k] < singular ? own : along / diagonal[k];
    for (let i = 0; i < n; i++) step[i] = step[i] + V.get(i, k) * by * size[i];
  }
  if (diagonal[n - 1] >= singular) return { step, many: false };
  const way = V.getColumn(n - 1).map(Math.abs);
  // Where what grows without end is in it, the rounding of that makes the value what it is: it tells nothing.
  let noise = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) noise += Math.abs(U.get(i, n - 1) * matrix.get(i, j) * way[j]);
  if (noise * Number.EPSILON > singular) return { step, many: false };
  let along = 0;
  for (let i = 0; i < n; i++) along += U.get(i, n - 1) * right[i];
  return { step, astray: way.indexOf(Math.max(...way)), many: Math.abs(along) < 1e-6 };
}
