// Whether readings can tell two faults apart: how far apart they are, relative to the effects of tolerances and the instrument,
// by Bhattacharyya's distance of two multivariate normal variables (T. Kailath, IEEE Trans. Commun. Technol. 15, 1967):
// Δᵀ C⁻¹ Δ / 8 + ln(|C| / √(|A| |B|)) / 2 with C the mean of A and B. With A = B it is a fourth of the expected logarithm of
// the likelihood ratio where one of them is true.
import type { Foreseen } from "./accused.js";
import { factorised, scalarProduct, solved } from "./weighing.js";

/**
 * Bhattacharyya's distance of two normal variables.
 * @param apart the difference of their means
 * @param middle the mean of their covariances by rows; overwritten by its factor
 * @param size the mean of half of the logarithms of their determinants
 * @param along room for a vector
 */
export function bhattacharyya(
  apart: Float64Array,
  middle: Float64Array,
  size: number,
  along = new Float64Array(apart.length),
): number {
  const both = factorised(middle, apart.length);
  solved(middle, apart, along);
  return Math.min(700, scalarProduct(along, along) / 8 + Math.max(0, both - size));
}

/**
 * Bhattacharyya's distance of what two faults show: 0 where they show the same, infinite where a value occurs with only one of
 * them, or where no reading is known of both.
 * @param scatter variance that the instrument adds to each reading
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
  const middle = A.map((x, i) => (x + B[i]) / 2);
  const size = (factorised(A, apart.length) + factorised(B, apart.length)) / 2;
  return bhattacharyya(Float64Array.from(apart), middle, size);
}

function covariance(
  all: readonly { readonly spread: readonly number[]; readonly variance: number }[],
): Float64Array {
  const n = all.length;
  const C = new Float64Array(n * n);
  for (const [i, one] of all.entries())
    for (const [j, two] of all.entries())
      C[i * n + j] = scalarProduct(one.spread, two.spread) + (i === j ? one.variance : 0);
  return C;
}
