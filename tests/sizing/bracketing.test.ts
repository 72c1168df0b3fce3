// The search for roots against functions whose roots are known in closed form, smooth ones, jumps, and ones that do not
// exist everywhere; and the spacing of values over a range against arithmetic.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ratio, toNumber } from "../../src/base/fraction.js";
import { spaced, suited } from "../../src/base/spacing.js";
import { dip, narrowed, nearer, type Point, roots, type Search } from "../../src/sizing/bracketing.js";

function counted(at: (x: number) => number, accuracy = 1e-10, small = 0) {
  const sought = {
    calls: 0,
    accuracy,
    small,
    at: (x: number) => {
      sought.calls++;
      return at(x);
    },
  };
  return sought;
}
const bracket = (f: (x: number) => number, a: number, b: number): [Point, Point] => [
  { x: a, y: f(a) },
  { x: b, y: f(b) },
];

const narrow = (sought: Search, [a, b]: [Point, Point]) => nearer(narrowed(sought, a, b));

describe("narrowed", () => {
  it.each<[string, (x: number) => number, number, number, number]>([
    ["a straight line", (x) => 3 * x - 7, 1, 10, 7 / 3],
    ["a square", (x) => x * x - 2, 1, 2, Math.SQRT2],
    ["a logarithm", (x) => Math.log(x) - 1, 1, 10, Math.E],
    ["a falling exponential", (x) => Math.exp(-x) - 0.5, 0.1, 5, Math.LN2],
    ["a steep step", (x) => Math.atan(1e6 * (x - 1.25)), 1, 2, 1.25],
  ])("%s", (_, f, a, b, root) => {
    const sought = counted(f);
    expect(Math.abs(narrow(sought, bracket(f, a, b)).x / root - 1)).toBeLessThan(2e-10);
    // Halving takes log2((b - a) / 2e-10) calls; this method one more at most (Oliveira & Takahashi, theorem 1).
    expect(sought.calls).toBeLessThanOrEqual(Math.ceil(Math.log2((b - a) / (2e-10 * Math.max(a, b)))) + 1);
  });

  it("takes a handful of calls on a smooth function over a narrow bracket", () => {
    const f = (x: number) => 1 / x - 0.5;
    const sought = counted(f);
    narrow(sought, bracket(f, 1.7, 2.3));
    expect(sought.calls).toBeLessThan(10);
  });

  it("ends at either side of a jump, and stops where the function is not there", () => {
    const jump = (x: number) => (x < 1.5 ? -1 : 2);
    expect(narrow(counted(jump), bracket(jump, 1, 2)).x).toBeCloseTo(1.5, 8);
    const gone = (x: number) => (x > 1.2 && x < 1.8 ? Number.NaN : x - 1.5);
    const found = narrow(counted(gone), bracket(gone, 1, 2));
    expect([1, 2]).toContain(found.x);
  });

  it("never leaves its bracket", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        fc.integer({ min: 1, max: 9 }),
        (root, p) => {
          const f = (x: number) => (x - root) * (1 + (x - root) ** (2 * p));
          const inside = counted((x) => {
            expect(x).toBeGreaterThan(0);
            expect(x).toBeLessThan(1);
            return f(x);
          }, 1e-12);
          expect(narrow(inside, bracket(f, 0, 1)).x).toBeCloseTo(root, 9);
        },
      ),
    );
  });
});

describe("roots and dips", () => {
  it("finds each of several, and points that are roots already once", () => {
    const f = (x: number) => (x - 1) * (x - 2.5) * (x - 4.25);
    const points = [0, 1, 2, 3, 4, 5].map((x) => ({ x, y: f(x) }));
    expect(roots(counted(f), points).map((p) => Number(p.x.toFixed(8)))).toEqual([1, 2.5, 4.25]);
  });

  it("does not bridge a gap", () => {
    const points = [
      { x: 0, y: -1 },
      { x: 1, y: Number.NaN },
      { x: 2, y: 1 },
    ];
    expect(
      roots(
        counted((x) => x - 1),
        points,
      ),
    ).toEqual([]);
  });

  it("finds the lowest point of what never reaches zero, and a change of sign between points of one sign", () => {
    const high = (x: number) => 2 + (x - 1.3) ** 2;
    const around = (f: (x: number) => number) =>
      [0, 1, 2].map((x) => ({ x, y: f(x) })) as [Point, Point, Point];
    const seen = dip(counted(high), around(high), 40, 1e-7);
    expect(seen.reduce((a, b) => (b.y < a.y ? b : a)).x).toBeCloseTo(1.3, 6);
    const low = (x: number) => (x - 1.3) ** 2 - 0.01;
    expect(dip(counted(low), around(low), 40).at(-1)!.y).toBeLessThan(0);
  });
});

describe("spacing", () => {
  it("is even in distance, in ratio, or the series'", () => {
    const numbers = (...of: Parameters<typeof spaced>) => spaced(...of).map(toNumber);
    expect(numbers(ratio(1), ratio(3), 5, "linear")).toEqual([1, 1.5, 2, 2.5, 3]);
    // 10^(k/3), to twelve figures.
    expect(numbers(ratio(1), ratio(100), 7, "log")).toEqual([
      1, 2.15443469003, 4.64158883361, 10, 21.5443469003, 46.4158883361, 100,
    ]);
    expect(numbers(ratio(1), ratio(10), 0, "E3")).toEqual([1, 2.2, 4.7, 10]);
    expect(spaced(ratio(1, 3), ratio(2, 3), 3, "linear")[0].toFraction()).toBe("1/3");
    expect(suited(ratio(1), ratio(3))).toBe("log");
    expect(suited(ratio(0), ratio(3))).toBe("linear");
  });

  it("takes thousands of points over many decades", () => {
    const many = spaced(ratio(1, 1_000_000_000), ratio(1000), 10_001, "log").map(toNumber);
    many.forEach((v, i) => {
      if (i > 0) expect(v / many[i - 1]).toBeCloseTo(10 ** (12 / 10_000), 9);
    });
  });
});
