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

/** Of so many states no growth is looked for beforehand: that would take longer than many a run. */
const manyStates = 64;
/** From the least that counts to what is boundless a growth e times so often: ln 10^100. */
const efoldings = 230;

/** The state that takes the most part in such a growth, or −1 where there is none. @param tick seconds */
export function tooFast(equations: Condensed, tick: number): number {
  const { A, nx } = equations;
  // As a rule nothing at all is that fast.
  if (nx === 0 || balancedNorm(A, nx) * tick * most < 1) return -1;
  const { realEigenvalues, eigenvectorMatrix } = growths(equations, tick);
  const fastest = realEigenvalues.indexOf(Math.max(...realEigenvalues));
  if (!(realEigenvalues[fastest] * most > 1)) return -1;
  const way = eigenvectorMatrix.getColumn(fastest).map(Math.abs);
  return way.indexOf(Math.max(...way));
}

/** Ticks in which whatever grows has left all bounds; without end where nothing does. @param tick seconds */
export function ticksOfGrowth(equations: Condensed, tick: number): number {
  if (equations.nx === 0 || equations.nx > manyStates) return Number.POSITIVE_INFINITY;
  const rate = Math.max(...growths(equations, tick).realEigenvalues);
  return rate > 0 ? efoldings / rate : Number.POSITIVE_INFINITY;
}

/** How what moves by itself grows or fades in a tick. */
function growths({ A, nx, sizes }: Condensed, tick: number): EigenvalueDecomposition {
  // In units of energy, so that volts and amperes compare.
  const scaled = new Matrix(nx, nx);
  for (let i = 0; i < nx; i++)
    for (let j = 0; j < nx; j++) scaled.set(i, j, A[i * nx + j] * tick * Math.sqrt(sizes[i] / sizes[j]));
  return new EigenvalueDecomposition(scaled);
}
