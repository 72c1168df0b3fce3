// Matrices without factors: refused with the reason and the column, and only they.
import { describe, expect, it } from "vitest";
import { SparseLu } from "../../src/equations/lu.js";
import { compress, Singular } from "../../src/equations/sparsecolumns.js";
import { type Entry, grid } from "./matrices.js";

describe("singular matrices", () => {
  const reason = (n: number, entries: Entry[]) => {
    try {
      new SparseLu(compress(n, entries));
    } catch (error) {
      if (error instanceof Singular) return [error.reason, error.column];
      throw error;
    }
    return undefined;
  };

  it("are told apart: structure, rounding, not finite; with the column", () => {
    // Columns 0 and 2 have only row 1 between them.
    expect(
      reason(3, [
        [1, 0, 1],
        [0, 1, 1],
        [1, 1, 1],
        [2, 1, 1],
        [1, 2, 1],
      ]),
    ).toEqual(["structure", 2]);
    // An explicit zero is no pivot.
    expect(
      reason(2, [
        [0, 0, 1],
        [1, 1, 0],
      ]),
    ).toEqual(["structure", 1]);
    expect(
      reason(2, [
        [0, 0, 1],
        [0, 1, 2],
        [1, 0, 2],
        [1, 1, 4],
      ])?.[0],
    ).toBe("rounding");
    // 0.1 · 3 and 0.3 differ in the last bit: singular to rounding, though no pivot is exactly zero.
    expect(0.1 * 3).not.toBe(0.3);
    expect(
      reason(2, [
        [0, 0, 1],
        [0, 1, 0.1],
        [1, 0, 3],
        [1, 1, 0.3],
      ])?.[0],
    ).toBe("rounding");
    for (const bad of [Number.NaN, Infinity, -Infinity]) {
      expect(
        reason(2, [
          [0, 0, 1],
          [1, 1, bad],
        ]),
      ).toEqual(["not-finite", 1]);
    }
  });

  it("a circuit with nothing to ground is singular however large", () => {
    // Rows of a Laplacian without ground sum to zero, so equal voltages everywhere give no current.
    for (const m of [2, 5, 12, 24]) {
      const { n, entries } = grid(m);
      const sums = new Float64Array(n);
      for (const [i, j, v] of entries) if (i !== j) sums[i] -= 0.1 * v;
      const floating = entries.map(([i, j, v]): Entry => [i, j, i === j ? sums[i] : 0.1 * v]);
      expect(reason(n, floating)?.[0]).toBe("rounding");
      floating.push([0, 0, 1e-3]);
      expect(reason(n, floating)).toBe(undefined);
    }
  });
});
