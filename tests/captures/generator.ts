// Captures made without the library: the closed form of a line sweep and a random stream of its own.

/** Even numbers from 0 to 1: mulberry32, a counter and a mix of 32 bits (public domain). */
export function evens(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Normal numbers of deviation 1 (G. E. P. Box & M. E. Muller, Ann. Math. Stat. 29, 1958). */
export function normals(seed: number): () => number {
  const next = evens(seed);
  return () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
}
