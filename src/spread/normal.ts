// The normal distribution's quantile and cumulative share, by + − × ÷ and √ alone, which are the same to the bit in every engine
// (the library's logarithm is not). Quantile: algorithm AS 241, PPND16, of M. J. Wichura, Applied Statistics 37(3), 1988; about
// 16 figures.
import { logarithm } from "../base/powers.js";

/** The value, in standard deviations, that a normal variable stays below with this probability, 0 < p < 1. */
export function normalQuantile(p: number): number {
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * poly(r, centre)) / poly(r, centreBelow);
  }
  const r = Math.sqrt(-logarithm(q < 0 ? p : 1 - p));
  const size =
    r <= 5 ? poly(r - 1.6, middle) / poly(r - 1.6, middleBelow) : poly(r - 5, tail) / poly(r - 5, tailBelow);
  return q < 0 ? -size : size;
}

/** The probability that a normal variable stays below z standard deviations, |z| ≤ 8: the inverse of the quantile. */
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

// Coefficients by rising power, as published, rounded to the nearest doubles.
const centre = [
  3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987,
  67265.7709270087, 33430.57558358813, 2509.0809287301227,
];
const centreBelow = [
  1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271,
  28729.085735721943, 5226.495278852854,
];
const middle = [
  1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684,
  0.2417807251774506, 0.022723844989269184, 0.0007745450142783414,
];
const middleBelow = [
  1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
  0.0005475938084995345, 1.0507500716444169e-9,
];
const tail = [
  6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
  0.0012426609473880784, 2.7115555687434876e-5, 2.0103343992922881e-7,
];
const tailBelow = [
  1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133,
  1.8463183175100548e-5, 1.421511758316446e-7, 2.0442631033899397e-15,
];

function poly(x: number, coefficients: readonly number[]): number {
  let sum = 0;
  for (let k = coefficients.length - 1; k >= 0; k--) sum = sum * x + coefficients[k];
  return sum;
}
