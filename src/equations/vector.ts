// Rows without their zeros, for building the equations: a voltage or a current, column by column. The terms of a column are
// added in the order in which they came, so equal input gives equal bits; a column that sums to zero is left out. A tracked
// sum also keeps a bound on the rounding error of each column, so that cancellation is detected (running error analysis:
// N. Higham, Accuracy and Stability of Numerical Algorithms, 2002, ch. 3.3).
import { type Arithmetic, doubles } from "./arithmetic.js";

/** A sparse row: `of[p]` is the entry of column `at[p]`, columns ascending. */
export interface Vector {
  readonly at: readonly number[];
  readonly of: readonly number[];
}

/** The row of zeros. */
export const none: Vector = { at: [], of: [] };

/** Substitutes rows for some columns. */
export function substituted(
  { at, of }: Vector,
  sum: Sum,
  by: (column: number) => Vector | undefined,
): Vector {
  for (let p = 0; p < at.length; p++) {
    const row = by(at[p]);
    if (row) sum.add(row, of[p]);
    else sum.put(at[p], of[p]);
  }
  return sum.take();
}

/** An entry smaller than this share of its terms has lost at least four bits. */
const little = 1 / 16;

/** Whether little is left of the terms of any entry of `row`, which `substituted` made from another row. */
export function cancels(
  { at, of }: Vector,
  row: Vector,
  sum: Sum,
  by: (column: number) => Vector | undefined,
): boolean {
  for (let p = 0; p < at.length; p++) {
    const terms = by(at[p]);
    if (!terms) sum.put(at[p], Math.abs(of[p]));
    else for (let q = 0; q < terms.at.length; q++) sum.put(terms.at[q], Math.abs(of[p] * terms.of[q]));
  }
  const sizes = sum.take();
  let q = 0;
  for (let p = 0; p < sizes.at.length; p++) {
    const left = row.at[q] === sizes.at[p] ? Math.abs(row.of[q++]) : 0;
    if (left < little * sizes.of[p]) return true;
  }
  return false;
}

/** A row in one kind of number, with a bound on the error of each entry. */
export interface TrackedRow<T> {
  readonly at: readonly number[];
  readonly of: readonly T[];
  readonly off: readonly number[];
}

/** Adds up one row at a time, in doubles, without error bounds. */
export class Sum {
  private readonly value: Float64Array;
  private readonly met: Uint8Array;
  private readonly columns: number[] = [];
  // A row is copied from here: an array that grows entry by entry takes room for many.
  private readonly of: number[] = [];

  /** @param width number of columns */
  constructor(width: number) {
    this.value = new Float64Array(width);
    this.met = new Uint8Array(width);
  }

  /** Adds a number in one column. */
  put(column: number, value: number): void {
    if (this.met[column] === 0) {
      this.met[column] = 1;
      this.columns.push(column);
    }
    this.value[column] += value;
  }

  /** Adds a row times a factor. */
  add({ at, of }: Vector, factor: number): void {
    for (let p = 0; p < at.length; p++) this.put(at[p], factor * of[p]);
  }

  /** Gives the row and starts a new one. */
  take(): Vector {
    const { columns, value, met, of } = this;
    if (columns.length === 0) return none;
    sort(columns);
    let left = 0;
    for (const column of columns) {
      if (value[column] !== 0) {
        columns[left] = column;
        of[left++] = value[column];
      }
      value[column] = 0;
      met[column] = 0;
    }
    const row = { at: columns.slice(0, left), of: of.slice(0, left) };
    columns.length = 0;
    return row;
  }
}

/** Adds up one row at a time, with error bounds. */
export class TrackedSum<T> {
  protected readonly value: T[];
  protected readonly off: number[];
  protected readonly met: Uint8Array;
  protected readonly columns: number[] = [];
  private readonly kept: T[] = [];
  private readonly doubt: number[] = [];
  private readonly empty: TrackedRow<T> = { at: [], of: [], off: [] };

  constructor(
    readonly numbers: Arithmetic<T>,
    width: number,
  ) {
    this.value = new Array(width).fill(numbers.zero);
    this.off = new Array(width).fill(0);
    this.met = new Uint8Array(width);
  }

  /** Adds a number in one column, with its error bound. */
  put(column: number, value: T, off: number): void {
    const { numbers } = this;
    if (this.met[column] === 0) {
      this.met[column] = 1;
      this.columns.push(column);
      this.value[column] = value;
      this.off[column] = off;
      return;
    }
    const sum = numbers.add(this.value[column], value);
    const rounded = numbers.exact(this.value[column], value, sum)
      ? 0
      : numbers.rounding * Math.abs(numbers.value(sum));
    this.value[column] = sum;
    this.off[column] += off + rounded;
  }

  /** Adds a row times ±1. */
  join({ at, of, off }: TrackedRow<T>, way: number): void {
    const { numbers } = this;
    for (let p = 0; p < at.length; p++) this.put(at[p], way > 0 ? of[p] : numbers.negative(of[p]), off[p]);
  }

  /** Adds a row times a factor that is itself right to a few roundings. */
  add({ at, of, off }: TrackedRow<T>, factor: T): void {
    const { numbers } = this;
    const size = Math.abs(numbers.value(factor));
    for (let p = 0; p < at.length; p++) {
      const term = numbers.times(factor, of[p]);
      this.put(at[p], term, size * off[p] + 4 * numbers.rounding * Math.abs(numbers.value(term)));
    }
  }

  /** Gives the row and starts a new one. A column that sums to zero stays if it may be in error. */
  take(): TrackedRow<T> {
    const { columns, value, off, met, numbers, kept, doubt } = this;
    if (columns.length === 0) return this.empty;
    sort(columns);
    let left = 0;
    for (const column of columns) {
      met[column] = 0;
      const size = Math.abs(numbers.value(value[column]));
      if (size === 0 && off[column] === 0) continue;
      columns[left] = column;
      kept[left] = value[column];
      doubt[left++] = off[column];
    }
    const row = { at: columns.slice(0, left), of: kept.slice(0, left), off: doubt.slice(0, left) };
    columns.length = 0;
    return row;
  }
}

/** The same for doubles, written out, since it makes nearly all rows. */
class DoubleSum extends TrackedSum<number> {
  override put(column: number, value: number, off: number): void {
    const { met, value: values, off: offs } = this;
    if (met[column] === 0) {
      met[column] = 1;
      this.columns.push(column);
      values[column] = value;
      offs[column] = off;
      return;
    }
    const before = values[column];
    const sum = before + value;
    const part = sum - before;
    values[column] = sum;
    // The remainder of an exact sum (see arithmetic.ts) tells whether anything was rounded.
    offs[column] += before - (sum - part) + (value - part) === 0 ? off : off + half * Math.abs(sum);
  }

  override join({ at, of, off }: TrackedRow<number>, way: number): void {
    for (let p = 0; p < at.length; p++) this.put(at[p], way * of[p], off[p]);
  }

  override add({ at, of, off }: TrackedRow<number>, factor: number): void {
    const size = Math.abs(factor);
    for (let p = 0; p < at.length; p++) {
      const term = factor * of[p];
      this.put(at[p], term, size * off[p] + 4 * half * Math.abs(term));
    }
  }
}

const half = Number.EPSILON / 2;

/** A tracked sum in one kind of number. */
export function trackedSum<T>(numbers: Arithmetic<T>, width: number): TrackedSum<T> {
  const quick: unknown = numbers === (doubles as unknown) ? new DoubleSum(doubles, width) : undefined;
  return (quick as TrackedSum<T> | undefined) ?? new TrackedSum(numbers, width);
}

/** Sorts a list that is usually short, where insertion is faster than the built-in sort. */
function sort(list: number[]): void {
  if (list.length > 24) {
    list.sort((a, b) => a - b);
    return;
  }
  for (let i = 1; i < list.length; i++) {
    const x = list[i];
    let j = i - 1;
    for (; j >= 0 && list[j] > x; j--) list[j + 1] = list[j];
    list[j + 1] = x;
  }
}
