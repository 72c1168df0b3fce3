// Growth without bound, and where it leaves what doubles can say: squares of energies of such states must still be
// numbers. Also growth that is faster than a tick. A step that damps what is fast damps it away as if it fell, and nothing would be
// seen of it; in truth it is beyond every number before the next tick.
import { EigenvalueDecomposition, Matrix } from "ml-matrix";
import type { Condensed } from "../equations/condense.js";
import { balancedNorm } from "./motion.js";

/** A voltage or current as large as this has grown without bound. */
export const boundless = 1e50;

/** A growth that takes less than this many ticks to e times is too fast to be stepped. */
const most = 4;

/** The state that takes the most part in such a growth, or −1 where there is none. @param tick seconds */
export function tooFast({ A, nx, sizes }: Condensed, tick: number): number {
  // As a rule nothing at all is that fast.
  if (nx === 0 || balancedNorm(A, nx) * tick * most < 1) return -1;
  // In units of energy, so that volts and amperes compare.
  const scaled = new Matrix(nx, nx);
  for (let i = 0; i < nx; i++)
    for (let j = 0; j < nx; j++) scaled.set(i, j, A[i * nx + j] * tick * Math.sqrt(sizes[i] / sizes[j]));
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(scaled);
  const fastest = realEigenvalues.indexOf(Math.max(...realEigenvalues));
  if (!(realEigenvalues[fastest] * most > 1)) return -1;
  const way = eigenvectorMatrix.getColumn(fastest).map(Math.abs);
  return way.indexOf(Math.max(...way));
}
