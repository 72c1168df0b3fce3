// Whether readings can tell two faults apart: how far apart what they show lies, beside what tolerances and the instrument do to it,
// by Bhattacharyya's distance of two normal variables of several dimensions (T. Kailath, IEEE Trans. Commun. Technol. 15, 1967):
// Δᵀ C⁻¹ Δ / 8 + ln(|C| / √(|A| |B|)) / 2 with C the mean of A and B. With A = B it is a fourth of the logarithm of the ratio of
// likelihoods that is to be expected where one of them is true.
import { CholeskyDecomposition, Matrix } from "ml-matrix";
import { logarithm } from "../base/powers.js";
import type { Foreseen } from "./accused.js";

/**
 * Bhattacharyya's distance of what two faults show: 0 where they show the same, infinite where one shows what does not occur with
 * the other, or where nothing is known of both.
 * @param scatter variance of what the instrument adds to each reading
 */
export function overlapOf(
  a: readonly (Foreseen | undefined)[],
  b: readonly (Foreseen | undefined)[],
  scatter: readonly number[],
): number {
  const apart: number[] = [];
  let common = 0;
  const [own, other]: { readonly spread: readonly number[]; readonly variance: number }[][] = [[], []];
  for (const [i, one] of a.entries()) {
    const two = b[i];
    if (!one || !two) continue;
    common++;
    if (Number.isNaN(one.value) !== Number.isNaN(two.value)) return Number.POSITIVE_INFINITY;
    if (Number.isNaN(one.value)) continue;
    apart.push(one.value - two.value);
    const size = [one, two].reduce(
      (sum, { value, spread }) => spread.reduce((s, x) => s + x * x, sum + value ** 2),
      0,
    );
    const least = 1e-12 * size + 1e-24;
    own.push({ spread: one.spread, variance: scatter[i] + one.doubt ** 2 + least });
    other.push({ spread: two.spread, variance: scatter[i] + two.doubt ** 2 + least });
  }
  if (common === 0) return Number.POSITIVE_INFINITY;
  if (apart.length === 0) return 0;
  const [A, B] = [covariance(own), covariance(other)];
  const middle = new CholeskyDecomposition(Matrix.add(A, B).mul(0.5));
  const solved = middle.solve(Matrix.columnVector(apart));
  let distance = 0;
  for (let i = 0; i < apart.length; i++) distance += (apart[i] * solved.get(i, 0)) / 8;
  const size = (of: CholeskyDecomposition) => {
    let sum = 0;
    for (let i = 0; i < apart.length; i++) sum += 2 * logarithm(of.lowerTriangularMatrix.get(i, i));
    return sum;
  };
  const sizes = (size(new CholeskyDecomposition(A)) + size(new CholeskyDecomposition(B))) / 2;
  return distance + Math.max(0, (size(middle) - sizes) / 2);
}

function covariance(
  all: readonly { readonly spread: readonly number[]; readonly variance: number }[],
): Matrix {
  const C = Matrix.diag(all.map((one) => one.variance));
  for (const [i, one] of all.entries())
    for (const [j, two] of all.entries()) {
      let sum = C.get(i, j);
      for (const [k, s] of one.spread.entries()) sum += s * (two.spread[k] ?? 0);
      C.set(i, j, sum);
    }
  return C;
}
