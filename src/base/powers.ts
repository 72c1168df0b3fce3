// Logarithm and powers from + − × ÷ alone, so that they have the same bits in every engine: Math.log, Math.exp and Math.pow
// do not.

/** The natural logarithm of a double, to some 1e-16 of its size or of 1; −Infinity for zero, NaN below zero. */
export function logarithm(x: number): number {
  if (!(x > 0 && x < Number.POSITIVE_INFINITY))
    return x === 0 ? Number.NEGATIVE_INFINITY : x > 0 ? x : Number.NaN;
  let m = x;
  let twos = 0;
  for (; m < Math.SQRT1_2; m *= 2) twos--;
  for (; m > Math.SQRT2; m /= 2) twos++;
  // ln m = 2 artanh((m − 1)/(m + 1)), |s| < 0.1716: the first term left out is below 1e-18.
  const s = (m - 1) / (m + 1);
  const z = s * s;
  let sum = 0;
  for (let k = 23; k >= 3; k -= 2) sum = z * (sum + 1 / k);
  return twos * Math.LN2 + 2 * s * (1 + sum);
}

/** e to a power, by Taylor's series after whole powers of two are taken out: |rest| ≤ ln 2 / 2. */
export function exponential(x: number): number {
  if (x > 709) return Number.POSITIVE_INFINITY;
  if (x < -745) return 0;
  const twos = Math.round(x / Math.LN2);
  const rest = x - twos * Math.LN2;
  let sum = 1;
  // 0.35^18 / 18! is 1e-24.
  for (let k = 18; k > 0; k--) sum = 1 + (sum * rest) / k;
  const factor = twos < 0 ? 0.5 : 2;
  for (let k = Math.abs(twos); k > 0; k--) sum *= factor;
  return sum;
}

/**
 * A base, finite and not negative, to a finite power: right to some 1e-14 of the result for the exponents of a tube. 0 to a
 * positive power is 0, and 1 to any power is 1.
 */
export function powerOf(base: number, exponent: number): number {
  if (base === 0) return exponent > 0 ? 0 : exponent === 0 ? 1 : Number.POSITIVE_INFINITY;
  return exponential(exponent * logarithm(base));
}
