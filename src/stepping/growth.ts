// Growth without bound, and the point at which it leaves the range of doubles: squares of such states' energies must still
// be numbers. Also growth faster than a tick: a step that damps fast motion would damp it away as if it decayed, and hide
// it, although in truth it exceeds every number before the next tick.
import { EigenvalueDecomposition, Matrix } from "ml-matrix";
import type { Condensed } from "../equations/condense.js";
import { balancedNorm } from "./motion.js";

/** A voltage or current as large as this has grown without bound. */
export const boundless = 1e50;

/** Growth by a factor e in fewer ticks than this is too fast to be stepped. */
const most = 4;

/** With more states than this, no growth is looked for beforehand: that would take longer than many runs. */
const manyStates = 64;
/** Growth by e so often leads from the smallest size that counts to `boundless`: ln 10^100. */
const efoldings = 230;

/** The state that takes the largest part in such growth, or −1 where there is none. @param tick seconds */
export function tooFast(equations: Condensed, tick: number): number {
  const { A, nx } = equations;
  // As a rule nothing is that fast.
  if (nx === 0 || balancedNorm(A, nx) * tick * most < 1) return -1;
  const { realEigenvalues, eigenvectorMatrix } = growths(equations, tick);
  const fastest = realEigenvalues.indexOf(Math.max(...realEigenvalues));
  if (!(realEigenvalues[fastest] * most > 1)) return -1;
  const way = eigenvectorMatrix.getColumn(fastest).map(Math.abs);
  return way.indexOf(Math.max(...way));
}

/** Ticks in which anything that grows leaves all bounds; Infinity where nothing does. @param tick seconds */
export function ticksOfGrowth(equations: Condensed, tick: number): number {
  if (equations.nx === 0 || equations.nx > manyStates) return Number.POSITIVE_INFINITY;
  const rate = Math.max(...growths(equations, tick).realEigenvalues);
  return rate > 0 ? efoldings / rate : Number.POSITIVE_INFINITY;
}

/** Eigenvalues and eigenvectors of the free motion, per tick. */
function growths({ A, nx, sizes }: Condensed, tick: number): EigenvalueDecomposition {
  // In units of energy, so that volts and amperes compare.
  const scaled = new Matrix(nx, nx);
  for (let i = 0; i < nx; i++)
    for (let j = 0; j < nx; j++) scaled.set(i, j, A[i * nx + j] * tick * Math.sqrt(sizes[i] / sizes[j]));
  return new EigenvalueDecomposition(scaled);
}
