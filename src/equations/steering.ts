// Closes the loops of steered elements. The net gives each steering voltage as a row over the states, the sources and the
// steering voltages themselves, w = P (x, u) + K w; here each becomes a row over (x, u) alone. An ideal amplifier passes
// nothing backwards, so most loops are open: only voltages that steer each other are solved together, group by group.
// R. Tarjan, Depth-first search and linear graph algorithms, SIAM J. Computing 1(2), 1972.
import { factorsOf, solveColumns } from "./solve.js";
import type { Entry } from "./sparsecolumns.js";
import { none, type Sum, type Vector } from "./vector.js";

/** A pivot that is a smaller share than this of what it was made from has fewer than ten digits left. */
const least = 1e-6;

/** Thrown for a group whose equations cannot be told apart. */
export class Degenerate extends Error {
  override readonly name = "Degenerate";
  /** @param group the unknowns of the group */
  constructor(readonly group: readonly number[]) {
    super("degenerate");
  }
}

/**
 * Solves w = rows · (other columns, w).
 * @param rows one for each unknown; unknown i has column base + i
 * @param shaky told of a group so nearly without a solution that ten digits may not be left
 * @returns the unknowns over the columns below base
 * @throws Degenerate where unknowns that steer each other have no solution
 */
export function steeringRows(
  rows: readonly Vector[],
  base: number,
  sum: Sum,
  shaky: (group: readonly number[]) => void,
): readonly Vector[] {
  const answers: Vector[] = new Array(rows.length).fill(none);
  const together = (group: readonly number[], entries: readonly Entry[], right: readonly Vector[]) => {
    const lu = factorsOf(right.length, entries, () => new Degenerate(group));
    if (lu.factors.pivotRatio < least) shaky(group);
    return solveColumns(right, sum, (b) => {
      lu.solveRefined(b);
      if (!b.every(Number.isFinite)) throw new Degenerate(group);
    });
  };
  for (const group of groupsOf(rows, base)) {
    const own = new Map(group.map((i, at) => [base + i, at]));
    // The rows with the unknowns already known substituted.
    const rest = group.map((i) => {
      const { at, of } = rows[i];
      for (let p = 0; p < at.length; p++) {
        if (at[p] < base) sum.put(at[p], of[p]);
        else if (!own.has(at[p])) sum.add(answers[at[p] - base], of[p]);
      }
      return sum.take();
    });
    let pivot = 1;
    const entries = group.flatMap((i, at) => {
      const row = loopEntries(rows[i], at, own);
      // What is left of 1 − K, relative to its terms.
      pivot = Math.min(pivot, Math.abs(row[0][2]));
      return row;
    });
    if (pivot < least) shaky(group);
    const solved = entries.length === 1 && entries[0][2] === 1 ? rest : together(group, entries, rest);
    for (const [at, i] of group.entries()) answers[i] = solved[at];
  }
  return answers;
}

/** Row `at` of 1 − K within a group. */
function loopEntries({ at: columns, of }: Vector, at: number, own: ReadonlyMap<number, number>): Entry[] {
  let self = 0;
  const entries: Entry[] = [];
  for (let p = 0; p < columns.length; p++) {
    const other = own.get(columns[p]);
    if (other === at) self = of[p];
    else if (other !== undefined) entries.push([at, other, -of[p]]);
  }
  // An unknown that steers itself by exactly one cannot be determined; rounding must not hide that.
  const left = Math.abs(1 - self) > 4 * Number.EPSILON * Math.abs(self) ? 1 - self : 0;
  return [[at, at, left], ...entries];
}

/** Groups of unknowns that steer each other, each after those that steer it; without recursion. */
function groupsOf(rows: readonly Vector[], base: number): number[][] {
  const groups: number[][] = [];
  const met = new Int32Array(rows.length).fill(-1);
  const low = new Int32Array(rows.length);
  const done = new Uint8Array(rows.length);
  const open: number[] = [];
  let count = 0;
  for (let start = 0; start < rows.length; start++) {
    if (met[start] >= 0) continue;
    const path = [start];
    const cursor = [0];
    while (path.length > 0) {
      const i = path[path.length - 1];
      const at = cursor.length - 1;
      if (cursor[at] === 0) {
        met[i] = low[i] = count++;
        open.push(i);
      }
      const { at: columns } = rows[i];
      let next = -1;
      while (next < 0 && cursor[at] < columns.length) {
        const j = columns[cursor[at]++] - base;
        if (j < 0 || done[j]) continue;
        if (met[j] < 0) next = j;
        else low[i] = Math.min(low[i], met[j]);
      }
      if (next < 0) {
        path.pop();
        cursor.pop();
        const above = path[path.length - 1];
        if (above !== undefined) low[above] = Math.min(low[above], low[i]);
        if (low[i] === met[i]) {
          const group = open.splice(open.lastIndexOf(i));
          for (const j of group) done[j] = 1;
          groups.push(group.sort((a, b) => a - b));
        }
      } else {
        path.push(next);
        cursor.push(0);
      }
    }
  }
  return groups;
}
