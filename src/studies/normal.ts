// The normal distribution's quantile, and its share below a value.
// Takes a share between 0 and 1, or a value in standard deviations; gives the other. Always: only + − × ÷ and √, which are
// the same to the bit in every engine (the library's logarithm is not). Quantile: algorithm AS 241, PPND16, of
// M. J. Wichura, Applied Statistics 37(3), 1988; about 16 figures.

/** The value, in standard deviations, that a normal variable stays below with this probability, 0 < p < 1. */
export function normalQuantile(p: number): number {
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * poly(r, centre)) / poly(r, centreBelow);
  }
  const r = Math.sqrt(-logarithm(q < 0 ? p : 1 - p));
  const size = r <= 5 ? poly(r - 1.6, middle) / poly(r - 1.6, middleBelow) : poly(r - 5, tail) / poly(r - 5, tailBelow);
  return q < 0 ? -size : size;
}

/** The probability that a normal variable stays below z standard deviations, |z| ≤ 8: where the quantile is z. */
export function normalShare(z: number): number {
  if (z > 0) return 1 - normalShare(-z);
  let [low, high] = [1e-16, 0.5];
  for (;;) {
    const between = (low + high) / 2;
    if (between <= low || between >= high) return high;
    if (normalQuantile(between) < z) low = between;
    else high = between;
  }
}

/** The natural logarithm of a double above zero, to some 1e-16 of its size or of 1. */
export function logarithm(x: number): number {
  let m = x;
  let power = 0;
  for (; m < Math.SQRT1_2; m *= 2) power--;
  for (; m > Math.SQRT2; m /= 2) power++;
  // ln m = 2 artanh((m − 1)/(m + 1)), |s| < 0.1716: the first term left out is below 1e-18.
  const s = (m - 1) / (m + 1);
  const z = s * s;
  let sum = 0;
  for (let k = 23; k >= 3; k -= 2) sum = z * (sum + 1 / k);
  return power * Math.LN2 + 2 * s * (1 + sum);
}

// Coefficients by rising power, as published.
const centre = [
  3.387132872796366608, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
  4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3,
];
const centreBelow = [
  1, 4.2313330701600911252e1, 6.871870074920579083e2, 5.3941960214247511077e3, 2.1213794301586595867e4,
  3.930789580009271061e4, 2.8729085735721942674e4, 5.226495278852854561e3,
];
const middle = [
  1.42343711074968357734, 4.6303378461565452959, 5.7694972214606914055, 3.64784832476320460504,
  1.27045825245236838258, 2.4178072517745061177e-1, 2.27238449892691845833e-2, 7.7454501427834140764e-4,
];
const middleBelow = [
  1, 2.05319162663775882187, 1.6763848301838038494, 6.8976733498510000455e-1, 1.4810397642748007459e-1,
  1.51986665636164571966e-2, 5.475938084995344946e-4, 1.05075007164441684324e-9,
];
const tail = [
  6.6579046435011037772, 5.4637849111641143699, 1.7848265399172913358, 2.9656057182850489123e-1,
  2.6532189526576123093e-2, 1.2426609473880784386e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7,
];
const tailBelow = [
  1, 5.9983220655588793769e-1, 1.3692988092273580531e-1, 1.48753612908506148525e-2, 7.868691311456132591e-4,
  1.8463183175100546818e-5, 1.4215117583164458887e-7, 2.04426310338993978564e-15,
];

function poly(x: number, coefficients: readonly number[]): number {
  let sum = 0;
  for (let k = coefficients.length - 1; k >= 0; k--) sum = sum * x + coefficients[k]!;
  return sum;
}
