// Whether a settled state is a balance: one that the least disturbance leaves, as a needle on its tip. Its disturbance grows by
// the largest eigenvalue of the derivatives of a period's end by its start (Floquet's theorem; J. Guckenheimer, P. Holmes,
// Nonlinear Oscillations, Dynamical Systems, and Bifurcations of Vector Fields, 1983, section 1.5). No real circuit stays there.
import { Matrix } from "ml-matrix";
import { growthOf } from "../stepping/growth.js";
import type { Shot } from "./shooting.js";

/** A growth over the period up to this is none: what keeps its energy neither grows nor fades, but for rounding. */
const least = 1.001;

/** How often the period is doubled to see what comes of a disturbance. */
const doublings = 20;

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
  const scale = sizes.map((s) => s || 1);
  // In units of their sizes, so that volts and amperes compare.
  const scaled = new Matrix(n, n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) scaled.set(i, j, (tangent.get(i, j) * scale[j]) / scale[i]);
  // No eigenvalue is larger than all entries of a row together.
  if (!(n * scaled.norm("max") > least)) return undefined;
  const found = growthOf(scaled, doublings);
  if (!found || !(Math.exp(found.log) > least)) return undefined;
  return { state: found.row, growth: Math.exp(found.log) };
}
