// What the sparse factorisation costs beside the dense one of ml-matrix: printed, since times depend on the machine;
// judged is that both give the same answer.
import { LuDecomposition, Matrix } from "ml-matrix";
import { describe, expect, it } from "vitest";
import { compress, SparseLu } from "../../src/equations/lu.js";
import { dense, denseSolve, distance, ladder, side } from "./matrices.js";

const solved = (lu: SparseLu, b: Float64Array): Float64Array => {
  const x = b.slice();
  lu.solve(x);
  return x;
};

describe("cost, printed and not judged", () => {
  it.each([64, 400])("nodal equations of %i stages", (stages) => {
    const { n, entries } = ladder(stages, 9);
    const a = compress(n, entries);
    const full = dense(a);
    const column = Matrix.columnVector(Array.from(side(n, 10)));
    const b = side(n, 10);
    const rounds = stages > 100 ? 3 : 40;
    const timed = (work: () => unknown, times: number) => {
      work();
      const from = performance.now();
      for (let t = 0; t < times; t++) work();
      return ((performance.now() - from) * 1000) / times;
    };
    const lu = new SparseLu(a);
    const denseTime = timed(() => new LuDecomposition(full).solve(column), rounds);
    const first = timed(() => new SparseLu(a), 10 * rounds);
    const again = timed(() => lu.refactor(a), 50 * rounds);
    const solve = timed(() => lu.solve(b.slice()), 50 * rounds);
    console.log(
      `n ${n}, ${a.row.length} entries, ${lu.entries} in L and U; µs: dense ${denseTime.toFixed(0)}, first ` +
        `${first.toFixed(0)}, refactor ${again.toFixed(1)}, solve ${solve.toFixed(1)}; dense / (refactor + solve) ` +
        `${(denseTime / (again + solve)).toFixed(0)}`,
    );
    expect(distance(solved(lu, b), denseSolve(a, b))).toBeLessThan(1e-11);
  });
});
