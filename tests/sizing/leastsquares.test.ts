// Least squares against problems whose solutions are known: published test functions (J. J. Moré, B. S. Garbow & K. E.
// Hillstrom, ACM Trans. Math. Softw. 7(1), 1981, numbers as there), straight lines against the normal equations, and
// problems with an answer at an end of the range, none, or a whole line of them.
import { describe, expect, it } from "vitest";
import { type Fitting, leastSquares } from "../../src/sizing/leastsquares.js";

const wide = (n: number): Pick<Fitting, "low" | "high" | "small" | "accuracy"> => ({
  low: Array(n).fill(-1e3),
  high: Array(n).fill(1e3),
  small: 1e-12,
  accuracy: 1e-12,
});

describe("least squares", () => {
  it("Rosenbrock's valley (1): (1, 1) from (-1.2, 1)", () => {
    const misses = ([x, y]: readonly number[]) => [10 * (y - x * x), 1 - x];
    const found = leastSquares({ ...wide(2), misses }, [-1.2, 1])!;
    expect(found.x[0]).toBeCloseTo(1, 6);
    expect(found.x[1]).toBeCloseTo(1, 6);
    expect(found.rank).toBe(2);
  });

  it("Freudenstein and Roth (2): (5, 4) from (6, 5)", () => {
    const misses = ([x, y]: readonly number[]) => [
      -13 + x + ((5 - y) * y - 2) * y,
      -29 + x + ((y + 1) * y - 14) * y,
    ];
    const found = leastSquares({ ...wide(2), misses }, [6, 5])!;
    expect(found.x[0]).toBeCloseTo(5, 5);
    expect(found.x[1]).toBeCloseTo(4, 5);
  });

  it("a straight line through four points: the normal equations give 1.4 and 0.9", () => {
    // y = a + b t through (0, 1), (1, 3), (2, 3), (3, 4): b = 9/10... from sums: n 4, St 6, Stt 14, Sy 11, Sty 21.
    const points = [
      [0, 1],
      [1, 3],
      [2, 3],
      [3, 4],
    ] as const;
    const misses = ([a, b]: readonly number[]) => points.map(([t, y]) => a + b * t - y);
    const found = leastSquares({ ...wide(2), misses }, [10, -5])!;
    const b = (4 * 21 - 6 * 11) / (4 * 14 - 36);
    expect(found.x[1]).toBeCloseTo(b, 8);
    expect(found.x[0]).toBeCloseTo((11 - b * 6) / 4, 8);
  });

  it("stays in the range, and is best at its end where the answer lies beyond", () => {
    const misses = ([x, y]: readonly number[]) => {
      expect(x).toBeGreaterThanOrEqual(1);
      expect(x).toBeLessThanOrEqual(2);
      return [x - 3, y - x];
    };
    const found = leastSquares({ misses, low: [1, 0], high: [2, 9], small: 1e-9, accuracy: 1e-10 }, [1, 7])!;
    expect(found.x).toEqual([2, expect.closeTo(2, 7)]);
    expect(found.cost).toBeCloseTo(0.5, 7);
  });

  it("goes around places that have no value, and refuses to start in one", () => {
    const misses = ([x]: readonly number[]) => [x > 5 ? Number.NaN : Math.log(x / 2)];
    const range = { misses, low: [0.1], high: [10], small: 1e-12, accuracy: 1e-12 };
    expect(leastSquares(range, [0.2])!.x[0]).toBeCloseTo(2, 8);
    expect(leastSquares(range, [6])).toBeUndefined();
  });

  it("tells an unknown without effect, and two of which only the ratio counts", () => {
    const idle = leastSquares({ ...wide(2), misses: ([x]) => [x - 4] }, [1, 1])!;
    expect(idle.effects[1]).toBe(0);
    expect(idle.rank).toBe(1);
    const ratio = leastSquares(
      { ...wide(2), low: [0.1, 0.1], misses: ([x, y]) => [x / y - 3, (2 * x) / y - 6] },
      [1, 1],
    )!;
    expect(ratio.rank).toBe(1);
    expect(ratio.x[0] / ratio.x[1]).toBeCloseTo(3, 8);
    expect(Math.min(...ratio.effects)).toBeGreaterThan(0.01);
  });
});
