// Random numbers that are a pure function of their purpose: the generator Philox-4x32-10 of J. K. Salmon, M. A. Moraes, R. O.
// Dror & D. E. Shaw, "Parallel random numbers: as easy as 1, 2, 3", Proc. SC11, 2011. Trial 4711 has the same numbers alone, in
// any order and on any machine, and adding a part to a design leaves all other parts' numbers as they are.
import { digest } from "../base/digest.js";

// Multipliers and key steps as published; the steps are the golden ratio and √3 − 1 in 32 bits.
const m0 = 0xd2511f53;
const m1 = 0xcd9e8d57;
const w0 = 0x9e3779b9;
const w1 = 0xbb67ae85;
const rounds = 10;

export type FourWords = readonly [number, number, number, number];

/** Philox-4x32-10: ten rounds over a counter of four words with a key of two. */
export function philox(counter: FourWords, key: readonly [number, number]): FourWords {
  let [a, b, c, d] = counter;
  let [k, l] = key;
  for (let i = 0; i < rounds; i++) {
    const upper0 = upper(m0, a);
    const lower0 = Math.imul(m0, a) >>> 0;
    const upper1 = upper(m1, c);
    const lower1 = Math.imul(m1, c) >>> 0;
    a = (upper1 ^ b ^ k) >>> 0;
    b = lower1;
    c = (upper0 ^ d ^ l) >>> 0;
    d = lower0;
    k = (k + w0) >>> 0;
    l = (l + w1) >>> 0;
  }
  return [a, b, c, d];
}

// The upper word of a product of two words, by halves: each partial product is below 2^53.
function upper(x: number, y: number): number {
  const low = (x & 0xffff) * y;
  const high = (x >>> 16) * y;
  return Math.floor((high + Math.floor(low / 0x10000)) / 0x10000);
}

/** What a number is for besides its name: each aspect has a counter of its own. */
export type Aspect = 0 | 1 | 2 | 3;

/**
 * A number above 0 and below 1, evenly spread over 2^52 values.
 * @param seed a whole number from 0 to 2^32 − 1
 * @param index number of the trial, from 0 to 2^53 − 1
 * @param name what it is for, e.g. a value of the design
 */
export function chance(seed: number, index: number, name: string, aspect: Aspect = 0): number {
  const [high, low] = digest(name);
  const [a, b] = philox([index >>> 0, (Math.floor(index / 2 ** 32) << 3) | aspect, high, low], [seed, 0]);
  // 52 bits and a half: never 0, never 1.
  return ((a >>> 6) * 2 ** 26 + (b >>> 6) + 0.5) / 2 ** 52;
}
