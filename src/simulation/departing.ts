// Whether a settled state is a balance: one that the least disturbance leaves, as a needle on its tip. Its disturbance grows by
// the largest eigenvalue of the derivatives of a period's end by its start (Floquet's theorem; J. Guckenheimer, P. Holmes,
// Nonlinear Oscillations, Dynamical Systems, and Bifurcations of Vector Fields, 1983, section 1.5). No real circuit stays there.
import { EigenvalueDecomposition, Matrix } from "ml-matrix";
import type { Shot } from "./shooting.js";

/** A growth over the period up to this is none: what keeps its energy neither grows nor fades, but for rounding. */
const least = 1.001;

/** How a state leaves a balance. */
export interface Imbalance {
  /** The state that departs the most. */
  readonly state: number;
  /** By how much a disturbance grows over the period. */
  readonly growth: number;
}

/** How the state of a shot is left; undefined where what disturbs it fades. @param sizes the scale of each state */
export function departure({ tangent }: Shot, sizes: Float64Array): Imbalance | undefined {
  const n = sizes.length;
  if (n === 0) return undefined;
  const size = sizes.map((s) => s || 1);
  // In units of their sizes, so that volts and amperes compare.
  const scaled = new Matrix(n, n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) scaled.set(i, j, (tangent.get(i, j) * size[j]) / size[i]);
  // No eigenvalue is larger than all entries of a row together.
  if (!(n * scaled.norm("max") > least && Number.isFinite(scaled.norm()))) return undefined;
  const { realEigenvalues, imaginaryEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(scaled);
  const by = realEigenvalues.map((re, k) => Math.hypot(re, imaginaryEigenvalues[k]));
  const growth = Math.max(...by);
  if (!(growth > least)) return undefined;
  const way = eigenvectorMatrix.getColumn(by.indexOf(growth)).map(Math.abs);
  return { state: way.indexOf(Math.max(...way)), growth };
}
