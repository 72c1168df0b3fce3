// Gives each column of a sparse matrix a row of its own in which it has a nonzero entry: the pivots to prefer.
// The currents of ideal supplies have no diagonal entry, so the diagonal alone will not do. Takes the matrix,
// gives the row of each column. What always holds: diagonal entries are taken first and given up only where
// another column needs the row; a matrix without such a choice is singular whatever its values, and is refused.
//
// Method: augmenting paths, depth first. I. S. Duff, On algorithms for obtaining a maximum transversal,
// ACM Trans. Mathematical Software 7(3), 1981.
import { Singular, type Sparse } from "./columns.js";

/**
 * The row that each column would have as its pivot.
 * @returns n rows, each once
 * @throws Singular (`structure`) with the first column that no choice can serve
 */
export function matching(a: Sparse): Int32Array {
  const { n, start, row, value } = a;
  const rowOf = new Int32Array(n).fill(-1);
  const columnOf = new Int32Array(n).fill(-1);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      if (row[p] === j && value[p] !== 0) {
        rowOf[j] = j;
        columnOf[j] = j;
      }
    }
  }
  // The path under way: column path[d] would take row taken[d], whose owner is path[d + 1].
  const path = new Int32Array(n);
  const taken = new Int32Array(n);
  const cursor = new Int32Array(n);
  const seen = new Int32Array(n).fill(-1);

  function augment(from: number): boolean {
    let depth = 0;
    path[0] = from;
    cursor[0] = start[from];
    while (depth >= 0) {
      const end = start[path[depth] + 1];
      let p = cursor[depth];
      while (p < end && (value[p] === 0 || seen[row[p]] === from)) p++;
      if (p === end) {
        depth--;
        continue;
      }
      const i = row[p];
      cursor[depth] = p + 1;
      seen[i] = from;
      taken[depth] = i;
      if (columnOf[i] < 0) {
        for (let d = depth; d >= 0; d--) {
          rowOf[path[d]] = taken[d];
          columnOf[taken[d]] = path[d];
        }
        return true;
      }
      depth++;
      path[depth] = columnOf[i];
      cursor[depth] = start[columnOf[i]];
    }
    return false;
  }

  for (let j = 0; j < n; j++) if (rowOf[j] < 0 && !augment(j)) throw new Singular("structure", j);
  return rowOf;
}
