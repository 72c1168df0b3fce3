// Small dense matrices as arrays of rows: what the independent answers are worked out with. Shares nothing with the
// product, which uses flat arrays, LU factors and steps; here it is elimination with pivots and a matrix exponential
// by Taylor's series with scaling and squaring (N. Higham, SIAM J. Matrix Anal. Appl. 26(4), 2005; C. Moler, C. Van
// Loan, SIAM Review 45(1), 2003).

/** Rows of numbers. */
export type Rows = number[][];

/** A matrix of zeros. */
export function zeros(rows: number, columns: number): Rows {
  return Array.from({ length: rows }, () => new Array<number>(columns).fill(0));
}

/** A B. */
export function product(a: Rows, b: Rows): Rows {
  const width = b[0].length;
  return a.map((row) => {
    const out = new Array<number>(width).fill(0);
    row.forEach((factor, k) => {
      if (factor !== 0) for (let j = 0; j < width; j++) out[j] += factor * b[k][j];
    });
    return out;
  });
}

/** A x. */
export function applied(a: Rows, x: readonly number[]): number[] {
  return a.map((row) => row.reduce((sum, factor, j) => sum + factor * x[j], 0));
}

/**
 * X with A X = B, by elimination with row pivots.
 * @returns undefined where a pivot is not larger than rounding of its column
 */
export function solved(a: Rows, b: Rows): Rows | undefined {
  const n = a.length;
  const m = a.map((row, i) => [...row, ...b[i]]);
  const size = Math.max(...a.flat().map(Math.abs), Number.MIN_VALUE);
  for (let k = 0; k < n; k++) {
    let best = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(m[i][k]) > Math.abs(m[best][k])) best = i;
    if (Math.abs(m[best][k]) <= 1e-14 * size) return undefined;
    [m[k], m[best]] = [m[best], m[k]];
    for (let i = 0; i < n; i++) {
      const factor = m[i][k] / m[k][k];
      if (i === k || factor === 0) continue;
      for (let j = k; j < m[k].length; j++) m[i][j] -= factor * m[k][j];
    }
  }
  return m.map((row, i) => row.slice(n).map((v) => v / row[i]));
}

/** Largest sum of sizes in a row. */
export function norm(a: Rows): number {
  return Math.max(0, ...a.map((row) => row.reduce((sum, v) => sum + Math.abs(v), 0)));
}

/** exp A. Terms beyond the eighteenth of a matrix below 1/2 are less than 2^-18/18! = 6e-22. */
export function exponential(a: Rows): Rows {
  const n = a.length;
  const halvings = Math.max(0, Math.ceil(Math.log2(norm(a))) + 1);
  const scaled = a.map((row) => row.map((v) => v / 2 ** halvings));
  let sum = zeros(n, n).map((row, i) => row.with(i, 1));
  // From the last term inwards: 1 + A (1 + A/2 (1 + A/3 (…))).
  for (let k = 18; k >= 1; k--) {
    sum = product(scaled, sum).map((row, i) => row.map((v, j) => v / k + (i === j ? 1 : 0)));
  }
  for (let k = 0; k < halvings; k++) sum = product(sum, sum);
  return sum;
}
