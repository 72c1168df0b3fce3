// Pivots that cost nothing. A column with one entry left needs no elimination below it, a row with one entry left
// passes nothing on: neither can fill. In a circuit these are the ideal supplies against ground, whose places
// have known voltages; with them out of the way the rest is as good as symmetric, which is what the order by degree
// wants. Takes the matrix, gives columns in order with their rows. What always holds: judged by the pattern, so that
// other values of the pattern need no other choice; only entries that are not zero are taken as pivots.
//
// Method: singletons, columns first and then rows (taking rows makes no new column of one entry). T. Davis,
// Algorithm 832: UMFPACK, ACM Trans. Mathematical Software 30(2), 2004 (from memory).
//
// Notation: i row, j column, p place of an entry; left is how many entries a row or column still has.
import type { SparseColumns } from "./sparsecolumns.js";

/** Columns to eliminate first, in this order, and the pivot row of each. */
export interface Singletons {
  readonly columns: Int32Array;
  readonly rows: Int32Array;
}

/** Takes off rows and columns of one entry as long as there are any. */
export function singletonsOf(a: SparseColumns): Singletons {
  const { n, start, row, value } = a;
  const byRow = transposed(a);
  const columns = new Int32Array(n);
  const rows = new Int32Array(n);
  const goneColumn = new Uint8Array(n);
  const goneRow = new Uint8Array(n);
  const left = new Int32Array(n);
  const queue = new Int32Array(n);
  let count = 0;

  function take(i: number, j: number): void {
    rows[count] = i;
    columns[count++] = j;
    goneRow[i] = 1;
    goneColumn[j] = 1;
  }

  let end = 0;
  for (let j = 0; j < n; j++) {
    left[j] = start[j + 1] - start[j];
    if (left[j] === 1) queue[end++] = j;
  }
  for (let at = 0; at < end; at++) {
    const j = queue[at];
    let p = start[j];
    while (p < start[j + 1] && goneRow[row[p]]) p++;
    // The row may have gone to another column meanwhile.
    if (p === start[j + 1] || value[p] === 0) continue;
    const i = row[p];
    take(i, j);
    for (let q = byRow.start[i]; q < byRow.start[i + 1]; q++) {
      const other = byRow.column[q];
      if (!goneColumn[other] && --left[other] === 1) queue[end++] = other;
    }
  }

  end = 0;
  for (let i = 0; i < n; i++) {
    left[i] = 0;
    for (let q = byRow.start[i]; q < byRow.start[i + 1]; q++) if (!goneColumn[byRow.column[q]]) left[i]++;
    if (left[i] === 1 && !goneRow[i]) queue[end++] = i;
  }
  for (let at = 0; at < end; at++) {
    const i = queue[at];
    let q = byRow.start[i];
    while (q < byRow.start[i + 1] && goneColumn[byRow.column[q]]) q++;
    if (q === byRow.start[i + 1] || value[byRow.place[q]] === 0) continue;
    const j = byRow.column[q];
    take(i, j);
    for (let p = start[j]; p < start[j + 1]; p++) {
      const other = row[p];
      if (!goneRow[other] && --left[other] === 1) queue[end++] = other;
    }
  }
  return { columns: columns.slice(0, count), rows: rows.slice(0, count) };
}

/** The same entries by row: column and place of each. */
function transposed({ n, start, row }: SparseColumns) {
  const from = new Int32Array(n + 1);
  for (const i of row) from[i + 1]++;
  for (let i = 0; i < n; i++) from[i + 1] += from[i];
  const next = from.slice(0, n);
  const column = new Int32Array(row.length);
  const place = new Int32Array(row.length);
  for (let j = 0; j < n; j++) {
    for (let p = start[j]; p < start[j + 1]; p++) {
      const q = next[row[p]]++;
      column[q] = j;
      place[q] = p;
    }
  }
  return { start: from, column, place };
}
