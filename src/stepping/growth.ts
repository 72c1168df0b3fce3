// Growth without bound, and the point at which it leaves the range of doubles: squares of such states' energies must still
// be numbers. Also growth faster than a tick: a step that damps fast motion would damp it away as if it decayed, and hide
// it, although in truth it exceeds every number before the next tick. And growth by powers of a matrix: |M^k|^(1/k) comes to the
// size of its largest eigenvalue (I. M. Gelfand, 1941, from memory), where a search for eigenvalues may not end.
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
function growths(equations: Condensed, tick: number): EigenvalueDecomposition {
  return new EigenvalueDecomposition(motionOf(equations, [...equations.sizes.keys()]).mul(tick));
}

/** A of some states in units of energy, so that volts and amperes compare. */
function motionOf({ A, nx, sizes }: Condensed, some: readonly number[]): Matrix {
  const scaled = new Matrix(some.length, some.length);
  for (const [p, i] of some.entries())
    for (const [q, j] of some.entries()) scaled.set(p, q, A[i * nx + j] * Math.sqrt(sizes[i] / sizes[j]));
  return scaled;
}

/** What grows the most under a matrix applied again and again. */
interface Growing {
  /** The row that takes the largest part. */
  readonly row: number;
  /** Logarithm of the factor by which it grows each time. */
  readonly log: number;
}

/** Undefined where nothing is left or it exceeds all numbers. @param doublings how often to square it */
export function growthOf(matrix: Matrix, doublings: number): Growing | undefined {
  let power = matrix;
  let log = 0;
  for (let k = 0; k <= doublings; k++) {
    if (k > 0) power = power.mmul(power);
    const size = power.norm("max");
    if (!(size > 0 && size < Number.POSITIVE_INFINITY)) return undefined;
    power = power.div(size);
    log += Math.log(size) / 2 ** k;
  }
  const parts = power.to2DArray().map((row) => Math.max(...row.map(Math.abs)));
  return { row: parts.indexOf(Math.max(...parts)), log };
}

/** Values that differ by so much must grow alike; else it is rounding that grows, as in what keeps its energy. */
const nudge = 1e-12;
const alike = 0.01;
/** How often the time is doubled beyond that in which growth counts. */
const beyond = 20;

/**
 * How some states, which nothing else moves, grow by themselves: the one that does most, and its rate in 1/s; undefined where none
 * does. @param within seconds in which it would count
 */
export function growing(
  equations: Condensed,
  some: readonly number[],
  within: number,
): { state: number; rate: number } | undefined {
  const n = some.length;
  if (n === 0 || n > manyStates) return undefined;
  const A = motionOf(equations, some);
  const step = 0.5 / A.norm("frobenius");
  const doublings = Math.max(0, Math.ceil(Math.log2(within / step))) + beyond;
  const found = growthOf(exponential(A.clone().mul(step)), doublings);
  if (!found || !(found.log > 0)) return undefined;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) A.set(i, j, A.get(i, j) * (1 + nudge * Math.sin(1 + 7 * i + 11 * j)));
  const other = growthOf(exponential(A.mul(step)), doublings);
  if (!other || Math.abs(other.log - found.log) > alike * found.log) return undefined;
  return { state: some[found.row], rate: found.log / step };
}

/** e to a matrix of norm 1/2 or less, by its series. */
function exponential(matrix: Matrix): Matrix {
  let term = Matrix.eye(matrix.rows);
  const sum = term.clone();
  for (let k = 1; k <= 13; k++) {
    term = term.mmul(matrix).div(k);
    sum.add(term);
  }
  return sum;
}
