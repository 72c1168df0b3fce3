// The sparse factorisation against a dense one, against closed forms and against exact arithmetic.
import { describe, expect, it } from "vitest";
import { SparseLu } from "../../src/equations/lu.js";
import { compress, type Entry, multiply } from "../../src/equations/sparsecolumns.js";
import {
  dense,
  denseSolve,
  distance,
  grid,
  held,
  identity,
  ladder,
  scattered,
  shuffled,
  side,
  uniform,
} from "./matrices.js";

const solved = (lu: SparseLu, b: Float64Array): Float64Array => {
  const x = b.slice();
  lu.solve(x);
  return x;
};

describe("compressed columns", () => {
  it("sort by column and row, sum duplicates and keep zeros", () => {
    const a = compress(4, [
      [2, 3, 5],
      [0, 0, 1],
      [3, 0, 0],
      [2, 3, -1.5],
      [1, 3, 2],
      [0, 0, 2],
    ]);
    expect(Array.from(a.start)).toEqual([0, 2, 2, 2, 4]);
    expect(Array.from(a.row)).toEqual([0, 3, 1, 2]);
    expect(Array.from(a.value)).toEqual([3, 0, 2, 3.5]);
  });

  it("refuse an entry outside the matrix", () => {
    for (const [i, j] of [
      [3, 0],
      [0, 3],
      [-1, 0],
      [0, 0.5],
    ] as const) {
      expect(() => compress(3, [[i, j, 1]])).toThrow(RangeError);
    }
  });

  it("multiply as the dense matrix does", () => {
    const a = compress(30, scattered(30, 4, 5));
    const x = side(30, 6);
    const y = new Float64Array(30).fill(Number.NaN);
    multiply(a, x, y);
    const expected = Array.from(x.keys(), (i) =>
      dense(a)
        .getRow(i)
        .reduce((sum, v, j) => sum + v * x[j], 0),
    );
    expect(distance(y, expected)).toBeLessThan(1e-14);
  });
});

describe("against the dense factorisation of ml-matrix", () => {
  const cases: [name: string, n: number, entries: Entry[]][] = [];
  for (const n of [1, 2, 3, 7, 20, 60, 120]) {
    for (const perColumn of [1, 2, 4]) {
      cases.push([`${n} scattered, ${perColumn}`, n, scattered(n, perColumn, 100 * n + perColumn)]);
    }
  }
  for (const stages of [3, 16, 64, 160]) {
    const { n, entries } = ladder(stages, stages);
    cases.push([`${n} nodal equations with ideal supplies`, n, entries]);
  }

  it.each(cases)("%s: solved and refined agree to 1e-12", (_, n, entries) => {
    const a = compress(n, entries);
    const b = side(n, n);
    const lu = new SparseLu(a);
    const expected = denseSolve(a, b);
    expect(distance(solved(lu, b), expected)).toBeLessThan(1e-12);
    const refined = b.slice();
    lu.solveRefined(refined);
    expect(distance(refined, expected)).toBeLessThan(1e-12);
  });

  // R. D. Skeel, Math. Comp. 35, 1980: one step of refinement leaves a residual of a few roundings of |A| |x| in each row.
  it.each([9, 10, 11])("refined, the residual of seed %i is rounding row by row", (seed) => {
    const n = 80;
    const entries = scattered(n, 3, seed).map(([i, j, v]): Entry => [i, j, v * 10 ** ((i % 13) - 6)]);
    const a = compress(n, entries);
    const b = side(n, seed);
    const x = b.slice();
    new SparseLu(a).solveRefined(x);
    const left = new Float64Array(n);
    const sizes = new Float64Array(n);
    for (const [i, j, v] of entries) {
      left[i] += v * x[j];
      sizes[i] += Math.abs(v * x[j]);
    }
    for (let i = 0; i < n; i++)
      expect(Math.abs(left[i] - b[i])).toBeLessThan(8 * Number.EPSILON * (sizes[i] + Math.abs(b[i])));
  });

  it("an answer beyond doubles is not finite", () => {
    const a = compress(2, [
      [0, 0, 1],
      [1, 0, 1],
      [1, 1, 1e-300],
    ]);
    const b = Float64Array.of(1, 1e300);
    new SparseLu(a).solveRefined(b);
    expect(b.every(Number.isFinite)).toBe(false);
  });

  it("an order of zero has nothing to solve", () => {
    const lu = new SparseLu(compress(0, []));
    const none = new Float64Array(0);
    lu.solve(none);
    expect(held(lu)).toBe(0);
    lu.solveRefined(none);
  });
});

describe("against closed forms", () => {
  // (K⁻¹)ij = min(i, j) (n + 1 − max(i, j)) / (n + 1), i and j from 1, for K = tridiagonal −1, 2, −1: G. Strang,
  // Computational Science and Engineering (2007), ch. 1 (the formula is checked by hand for n = 2; page from memory).
  it("the second-difference matrix has its known inverse, column by column, to 1e-12", () => {
    const n = 150;
    const entries: Entry[] = [];
    for (let i = 0; i < n; i++) {
      entries.push([i, i, 2]);
      if (i > 0) entries.push([i, i - 1, -1], [i - 1, i, -1]);
    }
    const lu = new SparseLu(compress(n, entries));
    for (let j = 1; j <= n; j++) {
      const column = new Float64Array(n);
      column[j - 1] = 1;
      lu.solve(column);
      const known = Array.from(
        column,
        (_, k) => (Math.min(k + 1, j) * (n + 1 - Math.max(k + 1, j))) / (n + 1),
      );
      expect(distance(column, known)).toBeLessThan(1e-12);
    }
  });

  // λ = 4 − 2 cos(pπ/(m+1)) − 2 cos(qπ/(m+1)), v = sin(pπr/(m+1)) sin(qπc/(m+1)): the discrete Poisson problem,
  // G. Golub, C. Van Loan, Matrix Computations, 4th ed. (2013), ch. 4 (section from memory).
  it.each([
    [1, 1],
    [2, 5],
    [31, 31],
  ])("the grid Laplacian's inverse divides eigenvector %i, %i by its eigenvalue to 1e-12", (p, q) => {
    const m = 31;
    const { n, entries } = grid(m);
    const angle = Math.PI / (m + 1);
    const eigenvalue = 4 - 2 * Math.cos(p * angle) - 2 * Math.cos(q * angle);
    const vector = Float64Array.from({ length: n }, (_, i) => {
      const [r, c] = [Math.floor(i / m) + 1, (i % m) + 1];
      return Math.sin(p * r * angle) * Math.sin(q * c * angle);
    });
    const x = solved(new SparseLu(compress(n, entries)), vector);
    expect(
      distance(
        x,
        vector.map((v) => v / eigenvalue),
      ),
    ).toBeLessThan(1e-12);
  });

  it("a permuted identity permutes, exactly, and takes no more than its n pivots", () => {
    const n = 40;
    const to = shuffled(n, uniform(2));
    const lu = new SparseLu(
      compress(
        n,
        to.map((i, j): Entry => [i, j, 1]),
      ),
    );
    const b = side(n, 3);
    expect(Array.from(solved(lu, b))).toEqual(to.map((i) => b[i]));
    expect(held(lu)).toBe(n);
    expect(lu.factors.pivotRatio).toBe(1);
    expect(held(new SparseLu(identity(n)))).toBe(n);
  });
});

describe("scaling", () => {
  it("rows from 1e-12 to 1e12 give the answer of the rows as they were to 1e-12", () => {
    const n = 60;
    const entries = scattered(n, 3, 17);
    const b = side(n, 18);
    const factor = (i: number) => 10 ** (-12 + (24 * i) / (n - 1));
    const a = compress(
      n,
      entries.map(([i, j, v]): Entry => [i, j, v * factor(i)]),
    );
    const expected = denseSolve(compress(n, entries), b);
    expect(
      distance(
        solved(
          new SparseLu(a),
          b.map((v, i) => v * factor(i)),
        ),
        expected,
      ),
    ).toBeLessThan(1e-12);
  });

  it("rows times powers of two change no bit of the answer", () => {
    const n = 50;
    const entries = scattered(n, 3, 23);
    const b = side(n, 24);
    const factor = (i: number) => 2 ** (((i * 37) % 121) - 60);
    const plain = solved(new SparseLu(compress(n, entries)), b);
    const a = compress(
      n,
      entries.map(([i, j, v]): Entry => [i, j, v * factor(i)]),
    );
    expect(
      solved(
        new SparseLu(a),
        b.map((v, i) => v * factor(i)),
      ),
    ).toEqual(plain);
  });

  it("a milliohm beside a gigohm is no singular matrix", () => {
    // Two places joined by 1 mΩ, 1 GΩ to ground, 1 nA in: 1 V on both, 1 pV between them, by Ohm's law.
    const [joint, leak] = [1e3, 1e-9];
    const a = compress(2, [
      [0, 0, joint],
      [0, 1, -joint],
      [1, 0, -joint],
      [1, 1, joint + leak],
    ]);
    const lu = new SparseLu(a);
    const x = solved(lu, Float64Array.of(1e-9, 0));
    // joint + leak keeps 1e-9 of 1e3 to 2^−53 · 1e12: four digits are there, and no method can have more.
    expect(x[0]).toBeCloseTo(1, 3);
    expect(x[1]).toBeCloseTo(1, 3);
    // The ratio says so: both rows scale alike, and of 1e3 in the second column 1e-9 is left for its pivot.
    expect(lu.factors.pivotRatio / (leak / joint)).toBeCloseTo(1, 3);
  });

  it("subnormal rows are scaled as far as doubles reach, not lost", () => {
    const a = compress(2, [
      [0, 0, 2 ** -1060],
      [1, 1, 2 ** 1023],
    ]);
    expect(Array.from(solved(new SparseLu(a), Float64Array.of(2 ** -1058, 2 ** 1022)))).toEqual([4, 0.5]);
  });
});
