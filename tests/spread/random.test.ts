// Philox-4x32-10 against the known answers that its authors publish (Random123, kat_vectors: J. K. Salmon et al., SC11, 2011),
// and the streams made of it: even, independent of order, one checksum everywhere.
import { describe, expect, it } from "vitest";
import { fingerprint } from "../../src/base/digest.js";
import { type Aspect, chance, type FourWords, philox } from "../../src/spread/random.js";

const all = 0xffffffff;

describe("philox", () => {
  it.each<[string, FourWords, readonly [number, number], FourWords]>([
    ["zeros", [0, 0, 0, 0], [0, 0], [0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8]],
    ["ones", [all, all, all, all], [all, all], [0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd]],
    [
      "digits of pi",
      [0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344],
      [0xa4093822, 0x299f31d0],
      [0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1],
    ],
  ])("gives the published words: %s", (_, counter, key, words) => {
    expect(philox(counter, key)).toEqual(words);
  });
});

describe("chance", () => {
  const values = (name: string, n = 20_000, seed = 1, aspect: Aspect = 0) =>
    Array.from({ length: n }, (_, i) => chance(seed, i, name, aspect));

  it("lies between 0 and 1 and is even: Kolmogorov's distance, J. Inst. Ital. Attuari 4, 1933", () => {
    const sorted = values("timing").sort((a, b) => a - b);
    const n = sorted.length;
    expect(sorted[0]).toBeGreaterThan(0);
    expect(sorted[n - 1]).toBeLessThan(1);
    const distance = Math.max(...sorted.map((v, i) => Math.max(v - i / n, (i + 1) / n - v)));
    // One even sample in a thousand is farther off than 1.95/sqrt(n).
    expect(distance * Math.sqrt(n)).toBeLessThan(1.95);
  });

  it.each<[string, number[], number[]]>([
    ["names", values("timing"), values("timinh")],
    ["seeds", values("timing"), values("timing", 20_000, 2)],
    ["aspects", values("timing"), values("timing", 20_000, 1, 1)],
    ["neighbouring trials", values("timing").slice(1), values("timing").slice(0, -1)],
  ])("is not correlated between %s", (_, x, y) => {
    const n = x.length;
    const mean = (v: number[]) => v.reduce((a, b) => a + b, 0) / n;
    const [a, b] = [mean(x), mean(y)];
    const sum = x.reduce((s, v, i) => s + (v - a) * (y[i] - b), 0);
    // The variance of an even number is 1/12; four standard deviations of a sample without correlation.
    expect(Math.abs(sum / n / (1 / 12))).toBeLessThan(4 / Math.sqrt(n));
  });

  it("is a pure function of its words: trial 4711 alone, in any order, and one checksum everywhere", () => {
    const forward = Array.from({ length: 5000 }, (_, i) => chance(1953, i, "line.timing"));
    const backward = Array.from({ length: 5000 }, (_, i) => chance(1953, 4999 - i, "line.timing")).reverse();
    expect(backward).toEqual(forward);
    expect(chance(1953, 4711, "line.timing")).toBe(forward[4711]);
    // Worked out apart, in whole numbers of any size, from the published rounds.
    expect(fingerprint(forward.slice(0, 1000).join(" "))).toBe(
      fingerprint(Array.from({ length: 1000 }, (_, i) => apart(1953, i, "line.timing")).join(" ")),
    );
    expect(fingerprint(forward.join(" "))).toBe("d18602ac3dcbf2bb");
  });

  it("goes on beyond 2^32 trials", () => {
    const far = [2 ** 32, 2 ** 32 + 1, 2 ** 40, 2 ** 53 - 1].map((i) => chance(1, i, "x"));
    expect(new Set([...far, chance(1, 0, "x"), chance(1, 1, "x")]).size).toBe(6);
    expect(far.at(-1)).toBe(apart(1, 2 ** 53 - 1, "x"));
  });
});

/** The same from the definitions, by big integers: FNV-1a of the name, ten Philox rounds, 52 bits. */
function apart(seed: number, index: number, name: string, aspect = 0): number {
  const word = (x: bigint) => x & 0xffffffffn;
  let hash = 0xcbf29ce484222325n;
  for (const byte of new TextEncoder().encode(name))
    hash = ((hash ^ BigInt(byte)) * 0x100000001b3n) & 0xffffffffffffffffn;
  const i = BigInt(index);
  let [a, b, c, d] = [word(i), ((i >> 32n) << 3n) | BigInt(aspect), hash >> 32n, word(hash)];
  let [k, l] = [BigInt(seed), 0n];
  for (let round = 0; round < 10; round++) {
    const [p, q] = [0xd2511f53n * a, 0xcd9e8d57n * c];
    [a, b, c, d] = [(q >> 32n) ^ b ^ k, word(q), (p >> 32n) ^ d ^ l, word(p)];
    [k, l] = [word(k + 0x9e3779b9n), word(l + 0xbb67ae85n)];
  }
  return Number(((a >> 6n) << 27n) + ((b >> 6n) << 1n) + 1n) / 2 ** 53;
}
