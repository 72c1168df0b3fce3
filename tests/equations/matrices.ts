// Matrices for the tests of the sparse factorisation, all from a seed or a rule: same numbers on every machine.
import { LuDecomposition, Matrix } from "ml-matrix";
import type { SparseLu } from "../../src/equations/lu.js";
import { compress, type Entry, type SparseColumns } from "../../src/equations/sparsecolumns.js";

export type { Entry };

/** Uniform numbers from 0 to 1; the congruence of Press et al., Numerical Recipes (1992), ch. 7.1 (constants from memory). */
export function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/** A permutation of 0 … n − 1 (Fisher–Yates). */
export function shuffled(n: number, random: () => number): number[] {
  const list = Array.from({ length: n }, (_, i) => i);
  for (let i = n - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    [list[i], list[j]] = [list[j], list[i]];
  }
  return list;
}

/** Some entries a column in random places, and one in each place of a random permutation, so that it has full rank. */
export function scattered(n: number, perColumn: number, seed: number): Entry[] {
  const random = uniform(seed);
  const entries: Entry[] = shuffled(n, random).map((i, j) => [i, j, 2 + random()]);
  for (let j = 0; j < n; j++) {
    for (let t = 0; t < perColumn; t++) entries.push([Math.floor(random() * n), j, 2 * random() - 1]);
  }
  return entries;
}

/**
 * Nodal equations of a ladder of stages as in a monitor's supply: rail, series resistance, a load to ground, every
 * fourth node held by an ideal supply, whose current has no diagonal entry.
 */
export function ladder(stages: number, seed: number): { n: number; entries: Entry[] } {
  const random = uniform(seed);
  const held = Math.ceil(stages / 4);
  const n = stages + held;
  const entries: Entry[] = [];
  const resistor = (a: number, b: number, ohms: number) => {
    for (const i of [a, b])
      for (const j of [a, b]) {
        if (i >= 0 && j >= 0) entries.push([i, j, (i === j ? 1 : -1) / ohms]);
      }
  };
  for (let i = 0; i < stages; i++) {
    resistor(i - 1, i, 10 ** (6 * random()));
    resistor(i, -1, 10 ** (3 + 3 * random()));
    // A second path to the far end of a block makes it more than a chain.
    if (i >= 7) resistor(i - 7, i, 10 ** (3 + 3 * random()));
    if (i % 4 === 0) {
      const branch = stages + i / 4;
      entries.push([i, branch, 1], [branch, i, 1]);
    }
  }
  return { n, entries };
}

/** Five-point Laplacian on an m × m grid, zero at the rim. */
export function grid(m: number): { n: number; entries: Entry[] } {
  const entries: Entry[] = [];
  for (let r = 0; r < m; r++) {
    for (let c = 0; c < m; c++) {
      const i = r * m + c;
      entries.push([i, i, 4]);
      if (c + 1 < m) entries.push([i, i + 1, -1], [i + 1, i, -1]);
      if (r + 1 < m) entries.push([i, i + m, -1], [i + m, i, -1]);
    }
  }
  return { n: m * m, entries };
}

/** The same matrix, dense. */
export function dense(a: SparseColumns): Matrix {
  const out = Matrix.zeros(a.n, a.n);
  for (let j = 0; j < a.n; j++) {
    for (let p = a.start[j]; p < a.start[j + 1]; p++) out.set(a.row[p], j, a.value[p]);
  }
  return out;
}

/** Answer of ml-matrix' dense factorisation. */
export function denseSolve(a: SparseColumns, b: Float64Array): Float64Array {
  return Float64Array.from(
    new LuDecomposition(dense(a)).solve(Matrix.columnVector(Array.from(b))).to1DArray(),
  );
}

/** Numbers held in L below its diagonal and in U with its diagonal. */
export function held({ factors: { L, U, d } }: SparseLu): number {
  return L.row.length + U.row.length + d.length;
}

/** Largest difference as a share of the largest number. */
export function distance(is: ArrayLike<number>, expected: ArrayLike<number>): number {
  let [worst, largest] = [0, 0];
  for (let i = 0; i < expected.length; i++) {
    worst = Math.max(worst, Math.abs(is[i] - expected[i]));
    largest = Math.max(largest, Math.abs(expected[i]));
  }
  return worst / largest;
}

/** A right-hand side from a seed. */
export function side(n: number, seed: number): Float64Array {
  const random = uniform(seed);
  return Float64Array.from({ length: n }, () => 2 * random() - 1);
}

/** Identity, for tests that read like the book. */
export function identity(n: number): SparseColumns {
  return compress(
    n,
    Array.from({ length: n }, (_, i): Entry => [i, i, 1]),
  );
}
