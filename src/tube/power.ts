// Powers, from additions, multiplications and divisions alone, so that a picture has the same bytes in every engine
// (Math.pow and Math.exp are not the same to the bit everywhere).
// Always: right to some 1e-14 of the result for the exponents of a tube; 0 to a positive power is 0 and 1 to any power is 1.

const ln2 = Math.LN2;

/** `base` to a power: base not negative and finite, exponent finite. */
export function powerOf(base: number, exponent: number): number {
  if (base === 0) return exponent > 0 ? 0 : exponent === 0 ? 1 : Number.POSITIVE_INFINITY;
  return exponential(exponent * logarithm(base));
}

/** e to the power `x`. Taylor's series after whole powers of two are taken out: |rest| ≤ ln 2 / 2. */
export function exponential(x: number): number {
  if (x > 709) return Number.POSITIVE_INFINITY;
  if (x < -745) return 0;
  const twos = Math.round(x / ln2);
  const rest = x - twos * ln2;
  let sum = 1;
  // 0.35^18 / 18! is 1e-24.
  for (let k = 18; k > 0; k--) sum = 1 + (sum * rest) / k;
  const factor = twos < 0 ? 0.5 : 2;
  for (let k = Math.abs(twos); k > 0; k--) sum *= factor;
  return sum;
}

/** Natural logarithm of a number above zero: ln x = 2 artanh((x − 1)/(x + 1)), x brought to √½ … √2 by halving. */
function logarithm(x: number): number {
  let twos = 0;
  let m = x;
  for (; m > Math.SQRT2; m /= 2) twos++;
  for (; m < Math.SQRT1_2; m *= 2) twos--;
  const z = (m - 1) / (m + 1);
  const square = z * z;
  // |z| ≤ 0.172: the term of z^27 is 1e-22.
  let sum = 0;
  for (let k = 25; k > 0; k -= 2) sum = 1 / k + square * sum;
  return twos * ln2 + 2 * z * sum;
}
