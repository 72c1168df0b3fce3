// The order of elimination: what is known about the fill of some patterns.
import { describe, expect, it } from "vitest";
import { SparseLu } from "../../src/equations/lu.js";
import { matching } from "../../src/equations/matching.js";
import { minimumDegree } from "../../src/equations/ordering.js";
import { singletonsOf } from "../../src/equations/singletons.js";
import { compress, type Entry, type SparseColumns } from "../../src/equations/sparsecolumns.js";
import { grid, held, ladder, scattered, shuffled, uniform } from "./matrices.js";

const none = { rows: new Int32Array(0), columns: new Int32Array(0) };
const ordered = (a: SparseColumns) => minimumDegree(a, matching(a, singletonsOf(a)), singletonsOf(a));

/** Symmetric pattern of these links, with a diagonal heavy enough to be the pivots. */
function linked(n: number, links: readonly (readonly [number, number])[]) {
  const diagonal = Array.from({ length: n }, (_, i): Entry => [i, i, n + 1]);
  const pairs = links.flatMap(([a, b]): Entry[] => [
    [a, b, -1],
    [b, a, -1],
  ]);
  return compress(n, [...diagonal, ...pairs]);
}

describe("minimum degree", () => {
  it("is a permutation, and the same one every time", () => {
    for (const [n, entries] of [
      [1, scattered(1, 1, 1)],
      [50, scattered(50, 3, 2)],
      [400, scattered(400, 5, 3)],
      [ladder(100, 1).n, ladder(100, 1).entries],
      [900, grid(30).entries],
    ] as const) {
      const a = compress(n, entries);
      const order = ordered(a);
      expect(Array.from(order).sort((p, q) => p - q)).toEqual(Array.from({ length: n }, (_, i) => i));
      expect(ordered(a)).toEqual(order);
    }
  });

  // A tree has an order without fill, and taking leaves first is one: S. Parter, The use of linear graphs in Gauss
  // elimination, SIAM Review 3(2), 1961 (from memory). L and U then hold n pivots and two numbers a link.
  it("gives a tree no fill: arrow with its hub first, chain, random trees", () => {
    const random = uniform(8);
    for (const n of [2, 10, 100, 600]) {
      const names = shuffled(n, random);
      const trees = [
        (_i: number) => 0,
        (i: number) => i - 1,
        (i: number) => Math.floor(i * random()),
        (i: number) => Math.max(0, i - 1 - Math.floor(3 * random())),
      ];
      for (const parent of trees) {
        const links = names.slice(1).map((name, i) => [name, names[parent(i + 1)]] as const);
        expect(held(new SparseLu(linked(n, links)))).toBe(n + 2 * (n - 1));
      }
    }
  });

  it("a ring of n has the fill of any order, n − 3 links", () => {
    // Every elimination from a ring leaves a ring one shorter, down to a triangle.
    for (const n of [4, 15, 200]) {
      const ring = Array.from({ length: n }, (_, i) => [i, (i + 1) % n] as const);
      expect(held(new SparseLu(linked(n, ring)))).toBe(n + 2 * (n + n - 3));
    }
  });

  it("rails with ideal supplies fill nothing", () => {
    // Every load between two rails, each held by a supply: known voltages, so no load hears of another.
    const loads = 300;
    const n = loads + 4;
    const entries: Entry[] = [];
    for (const [rail, branch] of [
      [0, 2],
      [1, 3],
    ]) {
      entries.push([rail, branch, 1], [branch, rail, 1]);
      for (let i = 4; i < n; i++) {
        entries.push([i, i, 1], [rail, rail, 1], [i, rail, -1], [rail, i, -1]);
      }
    }
    const a = compress(n, entries);
    expect(held(new SparseLu(a))).toBe(a.row.length);
  });

  it("a grid of m × m keeps within the fill of nested dissection", () => {
    // 31/4 · m² log2 m numbers in one triangle: A. George, SIAM J. Numer. Anal. 10(2), 1973 (constant from memory).
    // Band order would give m³: 27 000 and 216 000.
    for (const m of [30, 60]) {
      const { n, entries } = grid(m);
      const triangle = (held(new SparseLu(compress(n, entries))) - n) / 2;
      expect(triangle).toBeLessThan(7.75 * n * Math.log2(m));
      expect(triangle).toBeLessThan(0.6 * m ** 3);
    }
  });
});

describe("matching", () => {
  it("leaves a full diagonal alone and finds rows for supplies", () => {
    const full = compress(40, [
      ...scattered(40, 2, 3),
      ...Array.from({ length: 40 }, (_, i): Entry => [i, i, 9]),
    ]);
    expect(Array.from(matching(full, none))).toEqual(Array.from({ length: 40 }, (_, i) => i));
    const { n, entries } = ladder(20, 3);
    const a = compress(n, entries);
    const rowOf = matching(a, none);
    expect(new Set(rowOf).size).toBe(n);
    for (let j = 0; j < n; j++) {
      expect(Array.from(a.row.subarray(a.start[j], a.start[j + 1]))).toContain(rowOf[j]);
    }
  });

  it("finds the one choice of a triangular pattern in the worst order", () => {
    // Column j has the rows below j, the last column row 0 alone: only the step down by one serves all.
    const n = 60;
    const entries: Entry[] = [[0, n - 1, 1]];
    for (let j = 0; j < n - 1; j++) for (let i = j + 1; i < n; i++) entries.push([i, j, 1]);
    expect(Array.from(matching(compress(n, entries), none))).toEqual([
      ...Array.from({ length: n - 1 }, (_, j) => j + 1),
      0,
    ]);
  });
});

describe("singletons", () => {
  it("takes a permuted triangle to pieces, and solving it makes no entry and no rounding", () => {
    const n = 30;
    const random = uniform(5);
    const [p, q] = [shuffled(n, random), shuffled(n, random)];
    const entries: Entry[] = [];
    for (let j = 0; j < n; j++) {
      for (let i = 0; i <= j; i++) if (i === j || random() < 0.3) entries.push([p[i], q[j], i === j ? 1 : 2]);
    }
    const a = compress(n, entries);
    expect(singletonsOf(a).columns.length).toBe(n);
    expect(held(new SparseLu(a))).toBe(entries.length);
  });

  it("takes both the column and the row of a supply against ground, and nothing of a floating one", () => {
    // A ring of five resistances; 5 is the current of a supply from ground to 0, 6 that of one from 2 to 3.
    const entries: Entry[] = [];
    for (let i = 0; i < 5; i++) {
      const j = (i + 1) % 5;
      entries.push([i, i, 2], [i, j, -1], [j, i, -1]);
    }
    entries.push([0, 5, 1], [5, 0, 1], [2, 6, 1], [3, 6, -1], [6, 2, 1], [6, 3, -1]);
    const { rows, columns } = singletonsOf(compress(7, entries));
    expect([Array.from(rows), Array.from(columns)]).toEqual([
      [0, 5],
      [5, 0],
    ]);
  });

  it("follows a chain from either side up to a full block, which stays", () => {
    // [T X; 0 C] and its transpose: T a triangle of 4, C a full block of 3, X full.
    const entries: Entry[] = [];
    for (let i = 0; i < 7; i++) for (let j = Math.min(i, 4); j < 7; j++) entries.push([i, j, 1 + i + j]);
    const across = entries.map(([i, j, v]): Entry => [j, i, v]);
    for (const given of [entries, across]) {
      expect(Array.from(singletonsOf(compress(7, given)).columns)).toEqual([0, 1, 2, 3]);
    }
  });

  it("leaves what is only pattern: a zero is no pivot", () => {
    const zero = compress(2, [
      [0, 0, 1],
      [1, 0, 1],
      [1, 1, 0],
    ]);
    // Row 0 has one entry; what row 1 then has left is zero.
    expect(Array.from(singletonsOf(zero).columns)).toEqual([0]);
    const filled = compress(2, [
      [0, 0, 1],
      [1, 0, 0],
      [0, 1, 0],
      [1, 1, 1],
    ]);
    expect(singletonsOf(filled).columns.length).toBe(0);
  });
});
