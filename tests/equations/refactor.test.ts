// The pattern of the factors, found once and used again.
import { describe, expect, it } from "vitest";
import { compress, Singular, SparseLu } from "../../src/equations/lu.js";
import { denseSolve, distance, type Entry, ladder, scattered, side, uniform } from "./matrices.js";

const solved = (lu: SparseLu, b: Float64Array): Float64Array => {
  const x = b.slice();
  lu.solve(x);
  return x;
};
const two = (a: number, b: number, c: number, d: number) =>
  compress(2, [
    [0, 0, a],
    [0, 1, b],
    [1, 0, c],
    [1, 1, d],
  ]);

describe("refactor", () => {
  it.each([5, 40, 150])("n = %i: the same values give the same bits as the first factorisation", (n) => {
    const a = compress(n, scattered(n, 3, n));
    const b = side(n, 2);
    const lu = new SparseLu(a);
    const first = solved(lu, b);
    const { entries, pivotRatio } = lu;
    expect(lu.refactor(a)).toBe(true);
    expect(solved(lu, b)).toEqual(first);
    expect([lu.entries, lu.pivotRatio]).toEqual([entries, pivotRatio]);
  });

  it("other values with the same pivots give the bits of a fresh factorisation", () => {
    const { n, entries } = ladder(80, 6);
    const random = uniform(12);
    const lu = new SparseLu(compress(n, entries));
    const b = side(n, 13);
    for (let round = 0; round < 20; round++) {
      // All resistances by one factor, so that every choice of a pivot falls as before.
      const factor = 2 ** Math.floor(6 * random());
      const a = compress(
        n,
        entries.map(([i, j, v]): Entry => [i, j, Math.abs(v) === 1 ? v : v * factor]),
      );
      expect(lu.refactor(a)).toBe(true);
      expect(solved(lu, b)).toEqual(solved(new SparseLu(a), b));
      expect(distance(solved(lu, b), denseSolve(a, b))).toBeLessThan(1e-12);
    }
  });

  it("values that wander stay right to 1e-11 of the dense answer, whichever way they are had", () => {
    const n = 60;
    const entries = scattered(n, 3, 31);
    const random = uniform(32);
    const lu = new SparseLu(compress(n, entries));
    const b = side(n, 33);
    const kept = { true: 0, false: 0 };
    for (let round = 0; round < 200; round++) {
      const a = compress(
        n,
        entries.map(([i, j, v]): Entry => [i, j, v * 10 ** (2 * random() - 1)]),
      );
      kept[`${lu.refactor(a)}`]++;
      expect(distance(solved(lu, b), denseSolve(a, b))).toBeLessThan(1e-11);
    }
    expect(kept.true).toBeGreaterThan(0);
    expect(kept.false).toBeGreaterThan(0);
  });

  it("an entry that was zero may be filled without a new pattern", () => {
    const lu = new SparseLu(two(2, 0, 0, 3));
    const a = two(2, 1, 1, 3);
    expect(lu.refactor(a)).toBe(true);
    // [2 1; 1 3] x = [4; 7] has x = [1; 2].
    expect(Array.from(solved(lu, Float64Array.of(4, 7)))).toEqual([1, 2]);
  });

  it("a pivot that has become small is chosen anew, as the constructor would", () => {
    const lu = new SparseLu(two(2, 1, 1, 1));
    const a = two(1e-10, 1, 1, 1);
    expect(lu.refactor(a)).toBe(false);
    const b = Float64Array.of(1, 2);
    expect(solved(lu, b)).toEqual(solved(new SparseLu(a), b));
    // x0 = 1/(1 − 1e-10), x1 = 2 − x0; by Cramer's rule.
    expect(distance(solved(lu, b), [1 / (1 - 1e-10), 2 - 1 / (1 - 1e-10)])).toBeLessThan(1e-15);
    expect(lu.refactor(a)).toBe(true);
  });

  it("after values without factors nothing is handed out until good ones come", () => {
    const good = two(2, 1, 1, 1);
    for (const [bad, reason] of [
      [two(1, 2, 2, 4), "rounding"],
      [two(0, 0, 1, 1), "structure"],
      [two(1, 1, Number.NaN, 1), "not-finite"],
      [two(1, Infinity, 1, 1), "not-finite"],
    ] as const) {
      const lu = new SparseLu(good);
      expect(() => lu.refactor(bad)).toThrow(expect.objectContaining({ name: "Singular", reason }));
      expect(() => lu.refactor(bad)).toThrow(Singular);
      expect(() => lu.solve(new Float64Array(2))).toThrow("no factors");
      expect(lu.refactor(good)).toBe(false);
      expect(solved(lu, Float64Array.of(3, 2))).toEqual(solved(new SparseLu(good), Float64Array.of(3, 2)));
    }
  });

  it("another pattern is refused", () => {
    const lu = new SparseLu(two(2, 1, 1, 1));
    expect(() =>
      lu.refactor(
        compress(2, [
          [0, 0, 1],
          [1, 1, 1],
        ]),
      ),
    ).toThrow(RangeError);
    expect(() => lu.refactor(compress(3, scattered(3, 1, 1)))).toThrow(RangeError);
  });
});
