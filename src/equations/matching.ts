// Gives each column of a sparse matrix a row of its own in which it has a nonzero entry: the preferred pivots. The diagonal
// alone will not do, since the currents of ideal supplies have none. Diagonal entries are taken first and given up only
// where another column needs the row. A matrix without such a choice is singular, whatever its values.
//
// Method: augmenting paths, depth first with a look ahead. I. S. Duff, On algorithms for obtaining a maximum transversal,
// ACM Trans. Mathematical Software 7(3), 1981.
import type { Singletons } from "./singletons.js";
import { Singular, type SparseColumns } from "./sparsecolumns.js";

/**
 * The row that each column prefers as its pivot.
 * @param first columns that already have their rows. No path can take those away: a column of one entry has no
 *   other row to go to, and a row of one entry cannot be reached by any other column.
 * @returns n rows, each once
 * @throws Singular (`structure`) for the first column that no choice can serve
 */
export function matching(a: SparseColumns, first: Singletons): Int32Array {
  const { n, start, row, value } = a;
  const rowOf = new Int32Array(n).fill(-1);
  const columnOf = new Int32Array(n).fill(-1);
  for (const [t, j] of first.columns.entries()) {
    rowOf[j] = first.rows[t];
    columnOf[first.rows[t]] = j;
  }
  for (let j = 0; j < n; j++) {
    if (rowOf[j] >= 0 || columnOf[j] >= 0) continue;
    for (let p = start[j]; p < start[j + 1]; p++) {
      if (row[p] === j && value[p] !== 0) {
        rowOf[j] = j;
        columnOf[j] = j;
      }
    }
  }
  // The current path: column path[d] would take row taken[d], whose owner is path[d + 1].
  const path = new Int32Array(n);
  const taken = new Int32Array(n);
  const cursor = new Int32Array(n);
  // A row once taken is never free again, so each column searches its rows for a free one only once in total.
  const ahead = start.slice(0, n);
  const seen = new Int32Array(n).fill(-1);

  /** A row of column j that has no owner, or −1. */
  function free(j: number): number {
    while (ahead[j] < start[j + 1]) {
      const p = ahead[j]++;
      if (value[p] !== 0 && columnOf[row[p]] < 0) return row[p];
    }
    return -1;
  }

  /** Takes a row for the column, moving the owners along a path to other rows; false where no path ends at a free row. */
  function augment(from: number): boolean {
    let depth = 0;
    path[0] = from;
    cursor[0] = start[from];
    while (depth >= 0) {
      const j = path[depth];
      // A free row ends the path; looking for it first keeps the path short.
      const i = free(j);
      if (i >= 0) {
        taken[depth] = i;
        for (let d = depth; d >= 0; d--) {
          rowOf[path[d]] = taken[d];
          columnOf[taken[d]] = path[d];
        }
        return true;
      }
      const end = start[j + 1];
      let p = cursor[depth];
      while (p < end && (value[p] === 0 || seen[row[p]] === from)) p++;
      if (p === end) {
        depth--;
        continue;
      }
      cursor[depth] = p + 1;
      seen[row[p]] = from;
      taken[depth] = row[p];
      const owner = columnOf[row[p]];
      depth++;
      path[depth] = owner;
      cursor[depth] = start[owner];
    }
    return false;
  }

  for (let j = 0; j < n; j++) if (rowOf[j] < 0 && !augment(j)) throw new Singular("structure", j);
  return rowOf;
}
