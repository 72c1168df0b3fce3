// Several unknowns at once: the values with the least sum of squared misses, for a function that is costly to compute. No unknown
// leaves its range, no step makes the sum larger, and the calls are bounded. There may be very many misses, so their slopes are
// first reduced to a triangle by orthogonal reflections, which loses no digits as the normal equations do; the rest uses only
// that. The linear algebra of small matrices is ml-matrix's.
import { Matrix, SingularValueDecomposition, solve } from "ml-matrix";

/** What to fit, and when to stop. */
export interface Fitting {
  /** The misses at a place, the same number each time; NaN where there are none. */
  readonly misses: (x: readonly number[]) => ArrayLike<number>;
  readonly low: readonly number[];
  readonly high: readonly number[];
  /** Misses of this size or less count as zero. */
  readonly small: number;
  /** A step that moves no unknown by more than this share ends the fit. */
  readonly accuracy: number;
  /** How slopes are taken; default: one-sided, which costs half as many calls. */
  readonly slopes?: Slopes;
  /**
   * The least improvement, as a share of the sum, that a step must promise to be tried; 0 unless given. Where damping holds
   * little back, less than that is lost in the noise of the misses, and directions of almost no effect are not followed.
   */
  readonly worth?: number;
  /** The least damping, 0 unless given: directions that move the misses by less than its root, as a share, are left alone. */
  readonly leastDamping?: number;
  /** Most rounds, 40 unless given; each takes a call or two per unknown, and one per step tried. */
  readonly rounds?: number;
}

/** How slopes are taken. */
export interface Slopes {
  /** The step, as a share of the value: above the noise of the misses, below where curvature matters. */
  readonly stride: number;
  /** True: two-sided, so that curvature does not enter; where misses remain, the place of the minimum depends on it. */
  readonly central: boolean;
  /** Directions whose effect is below this share of the largest count as none: the noise of slopes. */
  readonly noise: number;
}

/** Where a fit came to rest. */
export interface Fitted {
  readonly x: readonly number[];
  readonly misses: ArrayLike<number>;
  /** Half the sum of squares. */
  readonly cost: number;
  /**
   * For each unknown how far a per cent of its value moves the misses (the length of that column); and in how many directions a
   * joint move of the unknowns changes the misses at all.
   */
  readonly effects: readonly number[];
  readonly rank: number;
  /** The slopes as a triangle R, by unknown in rows and columns: RᵀR is the slopes' product with themselves. */
  readonly triangle: Matrix;
  /** False where the rounds were used up before the fit came to rest. */
  readonly settled: boolean;
}

/** For runs: far above their noise, far below where curvature matters. */
const usual: Slopes = { stride: 1e-3, central: false, noise: 1e-4 };

/** The slopes of all misses as a triangle R, and the misses rotated with them: both have the same least squares. */
interface Turned {
  readonly triangle: Matrix;
  readonly right: readonly number[];
}

/**
 * Levenberg-Marquardt (K. Levenberg, Quart. Appl. Math. 2, 1944; D. W. Marquardt, SIAM J. 11(2), 1963), with the damping
 * of H. B. Nielsen (IMM-REP-1999-05) and unknowns at an end of their range held there while the misses push outward.
 */
export function leastSquares(fitting: Fitting, start: readonly number[]): Fitted | undefined {
  const { low, high, rounds = 40, worth = 0, leastDamping = 0, slopes: how = usual } = fitting;
  let x = start.map((v, i) => Math.min(Math.max(v, low[i]), high[i]));
  let misses = fitting.misses(x);
  if (broken(misses)) return undefined;
  let cost = half(misses);
  let slopes = turned(fitting, how, x, misses);
  let damping = 1e-3;
  let growth = 2;
  let settled = false;
  for (let round = 0; round < rounds && !settled; round++) {
    const free = x.flatMap((v, i) => {
      const push = -dot(slopes.triangle.getColumn(i), slopes.right);
      return (v <= low[i] && push <= 0) || (v >= high[i] && push >= 0) ? [] : [i];
    });
    const none = largest(misses) <= fitting.small || free.length === 0;
    const step = none ? undefined : stepOf(slopes, free, damping);
    settled = !step;
    if (!step) break;
    const next = x.map((v, i) => Math.min(Math.max(v + step[i], low[i]), high[i]));
    const moved = next.some((v, i) => Math.abs(v - x[i]) > fitting.accuracy * scaleOf(fitting, x, i));
    const hope = promised(slopes, x, next);
    settled = damping < 1 && hope < worth * cost;
    if (settled) break;
    const trial = fitting.misses(next);
    const reached = broken(trial) ? Number.POSITIVE_INFINITY : half(trial);
    settled = !moved;
    if (reached < cost) {
      const gain = (cost - reached) / hope;
      damping = Math.max(leastDamping, damping * Math.max(1 / 3, 1 - (2 * gain - 1) ** 3));
      growth = 2;
      x = next;
      misses = trial;
      cost = reached;
      if (moved) slopes = turned(fitting, how, x, misses);
    } else {
      damping *= growth;
      growth *= 2;
    }
  }
  const { triangle } = slopes;
  const shares = x.map((_, i) => triangle.getColumn(i).map((v) => 0.01 * v * scaleOf(fitting, x, i)));
  const values = new SingularValueDecomposition(new Matrix(shares).transpose()).diagonal;
  const rank = values.filter((v) => v > how.noise * Math.max(...values)).length;
  const effects = shares.map((column) => Math.sqrt(dot(column, column)));
  return { x, misses, cost, effects, rank, triangle, settled };
}

/** The size of an unknown: its value, or a part of its range where the value is almost zero. */
function scaleOf({ low, high }: Fitting, x: readonly number[], i: number): number {
  return Math.max(Math.abs(x[i]), 1e-3 * (high[i] - low[i]));
}

/** For each unknown the change of every miss per unit of it; taken inward at the end of a range. */
function columns(
  fitting: Fitting,
  { stride, central }: Slopes,
  x: readonly number[],
  misses: ArrayLike<number>,
): ArrayLike<number>[] {
  return x.map((v, i) => {
    const step = stride * scaleOf(fitting, x, i);
    const at = (h: number) => {
      if (v + h > fitting.high[i] || v + h < fitting.low[i]) return undefined;
      const there = fitting.misses(x.map((w, k) => (k === i ? w + h : w)));
      return broken(there) ? undefined : there;
    };
    const up = at(step);
    const down = central || !up ? at(-step) : undefined;
    const [over, most] = up ? [up, step] : [misses, 0];
    const [under, least] = down ? [down, -step] : [misses, 0];
    // With no value on either side, nothing is known of the slope.
    if (most === least) return new Float64Array(misses.length);
    const found = new Float64Array(misses.length);
    for (let k = 0; k < found.length; k++) found[k] = (over[k] - under[k]) / (most - least);
    return found;
  });
}

/** Slopes and misses as a triangle, by Householder's reflections (Golub & Van Loan, Matrix Computations, section 5.2). */
function turned(fitting: Fitting, how: Slopes, x: readonly number[], misses: ArrayLike<number>): Turned {
  const n = x.length;
  const all = [...columns(fitting, how, x, misses), misses].map((of) => {
    // No fewer rows than unknowns.
    const column = new Float64Array(Math.max(of.length, n));
    column.set(of);
    return column;
  });
  const triangle = triangleOf(all, n);
  // No step can change the remainder of the misses below.
  return { triangle, right: Array.from(all[n].subarray(0, n)) };
}

/** Columns as a triangle with the same products with each other, in place; so many of them, from the first on. */
export function triangleOf(all: readonly Float64Array[], n = all.length): Matrix {
  for (let k = 0; k < n; k++) reflect(all, k);
  const triangle = Matrix.zeros(n, n);
  for (let k = 0; k < n; k++) for (let row = 0; row <= k; row++) triangle.set(row, k, all[k][row]);
  return triangle;
}

/** Reflects columns from the k-th row on so that of the k-th column nothing remains below that row. */
function reflect(all: readonly Float64Array[], k: number): void {
  const own = all[k];
  const length = Math.sqrt(below(own, own, k));
  if (length === 0) return;
  const end = own[k] > 0 ? -length : length;
  // The column becomes the mirror's normal.
  own[k] -= end;
  const size = below(own, own, k);
  for (const other of all.slice(k + 1)) {
    const share = (2 * below(own, other, k)) / size;
    for (let row = k; row < other.length; row++) other[row] -= share * own[row];
  }
  own[k] = end;
}

/** The product of two columns from the k-th row on. */
function below(a: Float64Array, b: Float64Array, k: number): number {
  let sum = 0;
  for (let row = k; row < a.length; row++) sum += a[row] * b[row];
  return sum;
}

// The damped step as a least-squares problem: slopes above, the damping below, scaled by each column's length.
function stepOf({ triangle, right }: Turned, free: readonly number[], damping: number): number[] | undefined {
  const lengths = new Map(free.map((i) => [i, Math.sqrt(dot(triangle.getColumn(i), triangle.getColumn(i)))]));
  const acting = free.filter((i) => lengths.get(i)! > 0);
  if (acting.length === 0) return undefined;
  const n = right.length;
  const left = Matrix.zeros(n + acting.length, acting.length);
  acting.forEach((i, k) => {
    for (let row = 0; row < n; row++) left.set(row, k, triangle.get(row, i) / lengths.get(i)!);
    left.set(n + k, k, Math.sqrt(damping));
  });
  const answer = solve(left, Matrix.columnVector([...right.map((v) => -v), ...acting.map(() => 0)]));
  const step = right.map(() => 0);
  acting.forEach((i, k) => {
    step[i] = answer.get(k, 0) / lengths.get(i)!;
  });
  return step;
}

// The improvement that the linear model predicts for a step; never zero, since it is a divisor.
function promised({ triangle, right }: Turned, x: readonly number[], next: readonly number[]): number {
  const step = Matrix.columnVector(next.map((v, i) => v - x[i]));
  const there = triangle.mmul(step).to1DArray();
  const left = there.map((v, k) => v + right[k]);
  return Math.max(half(right) - half(left), Number.MIN_VALUE);
}

function broken(misses: ArrayLike<number>): boolean {
  for (let k = 0; k < misses.length; k++) if (Number.isNaN(misses[k])) return true;
  return false;
}

function largest(misses: ArrayLike<number>): number {
  let most = 0;
  for (let k = 0; k < misses.length; k++) most = Math.max(most, Math.abs(misses[k]));
  return most;
}

function half(v: ArrayLike<number>): number {
  return dot(v, v) / 2;
}

function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let k = 0; k < a.length; k++) sum += a[k] * b[k];
  return sum;
}
