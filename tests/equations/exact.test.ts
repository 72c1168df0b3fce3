// Small matrices of whole numbers, where exact arithmetic knows which are singular and what the answer is.
import { describe, expect, it } from "vitest";
import { SparseLu } from "../../src/equations/lu.js";
import { compress, Singular } from "../../src/equations/sparsecolumns.js";
import { type Entry, shuffled, uniform } from "./matrices.js";

/** Determinant without rounding: E. H. Bareiss, Math. Comp. 22, 1968 (from memory; fraction-free elimination). */
function determinant(rows: readonly (readonly number[])[]): bigint {
  const m = rows.map((row) => row.map(BigInt));
  let [sign, previous] = [1n, 1n];
  for (let k = 0; k < m.length - 1; k++) {
    const swap = m.findIndex((row, i) => i >= k && row[k] !== 0n);
    if (swap < 0) return 0n;
    if (swap !== k) {
      [m[k], m[swap]] = [m[swap], m[k]];
      sign = -sign;
    }
    for (let i = k + 1; i < m.length; i++) {
      for (let j = k + 1; j < m.length; j++) m[i][j] = (m[i][j] * m[k][k] - m[i][k] * m[k][j]) / previous;
    }
    previous = m[k][k];
  }
  return sign * m[m.length - 1][m.length - 1];
}

/** Whether some choice of one nonzero a column, all in different rows, exists: tried in full. */
function hasChoice(rows: readonly (readonly number[])[], column = 0, used = 0): boolean {
  if (column === rows.length) return true;
  return rows.some(
    (row, i) => row[column] !== 0 && !(used & (1 << i)) && hasChoice(rows, column + 1, used | (1 << i)),
  );
}

describe("3000 small matrices of −2 … 2, most of them zeros", () => {
  const random = uniform(4);
  const cases = Array.from({ length: 3000 }, (_, t) => {
    const n = 1 + (t % 7);
    const filled = 0.25 + 0.5 * random();
    return Array.from({ length: n }, () =>
      Array.from({ length: n }, () => (random() < filled ? Math.floor(5 * random()) - 2 : 0)),
    );
  });

  it("are refused exactly where the determinant is zero, and told apart by their structure", () => {
    const count = { structure: 0, rounding: 0, regular: 0 };
    for (const rows of cases) {
      const n = rows.length;
      const entries = rows.flatMap((row, i) => row.map((v, j): Entry => [i, j, v]));
      // Half with their zeros as pattern, half without.
      const a = compress(n, n % 2 ? entries : entries.filter(([, , v]) => v !== 0));
      const det = determinant(rows);
      let found: string | undefined;
      try {
        const lu = new SparseLu(a);
        // A right-hand side made from whole numbers, exactly: they must come back.
        const wanted = shuffled(n, random).map((v) => v - 2);
        const b = Float64Array.from(rows, (row) => row.reduce((sum, v, j) => sum + v * wanted[j], 0));
        lu.solve(b);
        for (const [j, v] of wanted.entries()) expect(b[j]).toBeCloseTo(v, 11);
      } catch (error) {
        if (!(error instanceof Singular)) throw error;
        found = error.reason;
      }
      const expected = det !== 0n ? undefined : hasChoice(rows) ? "rounding" : "structure";
      expect(found, JSON.stringify(rows)).toBe(expected);
      count[expected ?? "regular"]++;
    }
    // The table has all three in number.
    for (const times of Object.values(count)) expect(times).toBeGreaterThan(50);
  });
});
