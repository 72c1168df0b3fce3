// Whole powers of two and their exponents, exact in every engine: Math.log2 and ** are not.

/** 2^e for a whole e, by doubling. */
export function powerOfTwo(e: number): number {
  let power = 1;
  for (let k = Math.abs(e); k > 0; k--) power *= 2;
  return e < 0 ? 1 / power : power;
}

/** The least whole e with x ≤ 2^e, for x > 0. */
export function ceilLog2(x: number): number {
  let e = 0;
  let power = 1;
  while (x > power) {
    power *= 2;
    e++;
  }
  while (x <= power / 2) {
    power /= 2;
    e--;
  }
  return e;
}

/** How many binary digits a whole number from 0 to 2^53 has. */
export function bitLength(n: number): number {
  const high = Math.floor(n / 4294967296);
  return high > 0 ? 64 - Math.clz32(high) : 32 - Math.clz32(n);
}
