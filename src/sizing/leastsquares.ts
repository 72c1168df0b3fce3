// Several unknowns at once: the values for which the sum of squared misses is least, of a function that is costly to work out. No
// unknown leaves its range, no step makes the sum larger, and the calls are bounded. The linear algebra is ml-matrix's.
import { Matrix, SingularValueDecomposition, solve } from "ml-matrix";

/** What to fit, and when to stop. */
export interface Fitting {
  /** The misses at a place; NaN where there are none. As many each time. */
  readonly misses: (x: readonly number[]) => readonly number[];
  readonly low: readonly number[];
  readonly high: readonly number[];
  /** Misses of this size or less are none. */
  readonly small: number;
  /** A step that moves no unknown by more than this share ends the fit. */
  readonly accuracy: number;
}

/** Where a fit came to rest. */
export interface Fitted {
  readonly x: readonly number[];
  readonly misses: readonly number[];
  /** Half the sum of squares. */
  readonly cost: number;
  /**
   * For each unknown how far a per cent of its value moves the misses (the length of that column), and how many directions
   * in which the unknowns can move together change the misses at all.
   */
  readonly effects: readonly number[];
  readonly rank: number;
}

/** Most rounds; each takes a call for every unknown, and one for every step tried. */
const rounds = 40;
/** Steps for slopes, as a share of the value: far above the noise of a run, far below what bends. */
const stride = 1e-3;
/** Directions whose effect is below this share of the largest count as none: the noise of slopes. */
const rankShare = 1e-4;

/**
 * Levenberg-Marquardt (K. Levenberg, Quart. Appl. Math. 2, 1944; D. W. Marquardt, SIAM J. 11(2), 1963), with the damping
 * of H. B. Nielsen (IMM-REP-1999-05) and unknowns at an end of their range held there while the misses push outward.
 */
export function leastSquares(fitting: Fitting, start: readonly number[]): Fitted | undefined {
  const { low, high } = fitting;
  let x = start.map((v, i) => Math.min(Math.max(v, low[i]), high[i]));
  let misses = fitting.misses(x);
  if (misses.some(Number.isNaN)) return undefined;
  let cost = half(misses);
  let slopes = columns(fitting, x, misses);
  let damping = 1e-3;
  let growth = 2;
  for (let round = 0; round < rounds; round++) {
    if (misses.every((m) => Math.abs(m) <= fitting.small)) break;
    const free = x.flatMap((v, i) => {
      const push = -dot(slopes[i], misses);
      return (v <= low[i] && push <= 0) || (v >= high[i] && push >= 0) ? [] : [i];
    });
    const step = free.length > 0 ? stepOf(slopes, misses, free, damping) : undefined;
    if (!step) break;
    const next = x.map((v, i) => Math.min(Math.max(v + step[i], low[i]), high[i]));
    const moved = next.some((v, i) => Math.abs(v - x[i]) > fitting.accuracy * scaleOf(fitting, x, i));
    const trial = fitting.misses(next);
    const reached = trial.some(Number.isNaN) ? Number.POSITIVE_INFINITY : half(trial);
    if (reached < cost) {
      const gain = (cost - reached) / promised(slopes, misses, x, next);
      damping *= Math.max(1 / 3, 1 - (2 * gain - 1) ** 3);
      growth = 2;
      x = next;
      misses = trial;
      cost = reached;
      if (!moved) break;
      slopes = columns(fitting, x, misses);
    } else {
      if (!moved) break;
      damping *= growth;
      growth *= 2;
    }
  }
  const shares = slopes.map((column, i) => column.map((v) => 0.01 * v * scaleOf(fitting, x, i)));
  const values = new SingularValueDecomposition(table(shares)).diagonal;
  const rank = values.filter((v) => v > rankShare * Math.max(...values)).length;
  return { x, misses, cost, effects: shares.map((column) => Math.sqrt(dot(column, column))), rank };
}

/** The size of an unknown: its value, or a part of its range where the value is next to nothing. */
function scaleOf({ low, high }: Fitting, x: readonly number[], i: number): number {
  return Math.max(Math.abs(x[i]), 1e-3 * (high[i] - low[i]));
}

/** For each unknown the change of every miss by a unit of it; taken inward at the end of a range. */
function columns(fitting: Fitting, x: readonly number[], misses: readonly number[]): number[][] {
  return x.map((v, i) => {
    const step = stride * scaleOf(fitting, x, i);
    for (const h of v + step <= fitting.high[i] ? [step, -step] : [-step, step]) {
      const moved = x.map((w, k) => (k === i ? w + h : w));
      const there = fitting.misses(moved);
      if (!there.some(Number.isNaN)) return there.map((m, k) => (m - misses[k]) / h);
    }
    return misses.map(() => 0);
  });
}

// The damped step as a least-squares problem: slopes above, the damping below, scaled by each column's length.
function stepOf(
  slopes: readonly number[][],
  misses: readonly number[],
  free: readonly number[],
  damping: number,
): number[] | undefined {
  const lengths = free.map((i) => Math.sqrt(dot(slopes[i], slopes[i])));
  const acting = free.filter((_, k) => lengths[k] > 0);
  if (acting.length === 0) return undefined;
  const scaled = acting.map((i) => {
    const length = lengths[free.indexOf(i)];
    return slopes[i].map((v) => v / length);
  });
  const m = misses.length;
  const left = Matrix.zeros(m + acting.length, acting.length);
  const right = Matrix.zeros(m + acting.length, 1);
  scaled.forEach((column, k) => {
    for (const [row, v] of column.entries()) left.set(row, k, v);
    left.set(m + k, k, Math.sqrt(damping));
  });
  for (const [row, v] of misses.entries()) right.set(row, 0, -v);
  const answer = solve(left, right);
  const step = slopes.map(() => 0);
  acting.forEach((i, k) => {
    step[i] = answer.get(k, 0) / lengths[free.indexOf(i)];
  });
  return step;
}

// What the straight-line model expects of a step; never nothing, since it divides.
function promised(
  slopes: readonly number[][],
  misses: readonly number[],
  x: readonly number[],
  next: readonly number[],
): number {
  const there = misses.map((m, k) => m + slopes.reduce((sum, c, i) => sum + c[k] * (next[i] - x[i]), 0));
  return Math.max(half(misses) - half(there), Number.MIN_VALUE);
}

function table(columns: readonly number[][]): Matrix {
  const rows = columns[0].map((_, row) => columns.map((c) => c[row]));
  // The decomposition wants as many rows as columns at least; rows of nothing change no singular value.
  while (rows.length < columns.length) rows.push(columns.map(() => 0));
  return new Matrix(rows);
}

function half(v: readonly number[]): number {
  return dot(v, v) / 2;
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, v, i) => sum + v * b[i], 0);
}
