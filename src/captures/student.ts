// Half the width of an interval of 95 % in standard uncertainties, if the scatter is known only from the samples: Student's t.
// Its probability is a finite sum for whole degrees of freedom (M. Abramowitz & I. A. Stegun, Handbook of Mathematical
// Functions, 26.7.3 and 26.7.4); from `many` of them on, the quantile's expansion (26.7.5) is exact to some 1e-10.

/** The probability of a coverage interval. */
export const coverage = 0.95;
/** Degrees of freedom from which the expansion is used. */
const many = 500;
/** The normal distribution's quantile for 0.975. */
const z = 1.959963984540054;

/** The factor for an interval of 95 %; infinite without a degree of freedom. */
export function coverageFactor(freedom: number): number {
  if (!(freedom >= 1)) return Number.POSITIVE_INFINITY;
  if (freedom >= many)
    return (
      z +
      (z ** 3 + z) / (4 * freedom) +
      (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * freedom ** 2) +
      (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / (384 * freedom ** 3)
    );
  let [low, high] = [0, 16];
  for (;;) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) return high;
    if (shareWithin(middle, Math.floor(freedom)) < coverage) low = middle;
    else high = middle;
  }
}

/** The probability that Student's t lies between -t and t. */
function shareWithin(t: number, freedom: number): number {
  const angle = Math.atan(t / Math.sqrt(freedom));
  const cos = Math.cos(angle);
  const odd = freedom % 2;
  let term = odd ? cos : 1;
  let sum = freedom > 1 ? term : 0;
  for (let k = 2 + odd; k < freedom; k += 2) {
    term *= ((k - 1) / k) * cos * cos;
    sum += term;
  }
  return odd ? (2 / Math.PI) * (angle + Math.sin(angle) * sum) : Math.sin(angle) * sum;
}
