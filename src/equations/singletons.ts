// Pivots that cost nothing. A column with one entry left needs no elimination below it, and a row with one entry left
// passes nothing on: neither can cause fill. In a circuit these are the ideal supplies against ground, whose places have
// known voltages; without them the rest is nearly symmetric, as minimum degree requires. Only nonzero entries are taken as
// pivots.
//
// Method: singletons, columns first and then rows (taking rows makes no new column of one entry). T. Davis,
// Algorithm 832: UMFPACK, ACM Trans. Mathematical Software 30(2), 2004 (from memory).
//
// Notation: i row, j column, p position of an entry, l a line (a row or a column), c a line that crosses it; left is the
// number of entries that a line still has.
import type { SparseColumns } from "./sparsecolumns.js";

/** Columns to eliminate first, in this order, and the pivot row of each. */
export interface Singletons {
  readonly columns: Int32Array;
  readonly rows: Int32Array;
}

/** A matrix by its columns or by its rows: the entries of line l are at start[l] … start[l + 1]. */
interface Lines {
  readonly start: Int32Array;
  readonly across: Int32Array;
  readonly value: Float64Array;
}

/** Removes rows and columns of one entry as long as there are any. */
export function singletonsOf(a: SparseColumns): Singletons {
  const { n } = a;
  const columns: number[] = [];
  const rows: number[] = [];
  const [goneColumn, goneRow] = [new Uint8Array(n), new Uint8Array(n)];
  const byColumn = { start: a.start, across: a.row, value: a.value };
  const byRow = transposed(a);
  const take = (i: number, j: number) => {
    rows.push(i);
    columns.push(j);
  };
  peel(byColumn, byRow, goneColumn, goneRow, (j, i) => take(i, j));
  peel(byRow, byColumn, goneRow, goneColumn, take);
  return { columns: Int32Array.from(columns), rows: Int32Array.from(rows) };
}

/** Removes lines of one entry each, with the line that crosses there. */
function peel(
  lines: Lines,
  crossing: Lines,
  gone: Uint8Array,
  goneAcross: Uint8Array,
  take: (line: number, across: number) => void,
): void {
  const { start, across, value } = lines;
  const left = new Int32Array(gone.length);
  const queue: number[] = [];
  for (let l = 0; l < gone.length; l++) {
    for (let p = start[l]; p < start[l + 1]; p++) if (!goneAcross[across[p]]) left[l]++;
    if (left[l] === 1 && !gone[l]) queue.push(l);
  }
  for (const l of queue) {
    let p = start[l];
    while (p < start[l + 1] && goneAcross[across[p]]) p++;
    // The crossing line may have gone to another line in the meantime.
    if (p === start[l + 1] || value[p] === 0) continue;
    const c = across[p];
    gone[l] = 1;
    goneAcross[c] = 1;
    take(l, c);
    for (let q = crossing.start[c]; q < crossing.start[c + 1]; q++) {
      const other = crossing.across[q];
      if (!gone[other] && --left[other] === 1) queue.push(other);
    }
  }
}

/** The same entries by row. */
function transposed({ n, start, row, value }: SparseColumns): Lines {
  const from = new Int32Array(n + 1);
  for (const i of row) from[i + 1]++;
  for (let i = 0; i < n; i++) from[i + 1] += from[i];
  const next = from.slice(0, n);
  const across = new Int32Array(row.length);
  const values = new Float64Array(row.length);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      const q = next[row[p]]++;
      across[q] = j;
      values[q] = value[p];
    }
  }
  return { start: from, across, value: values };
}
