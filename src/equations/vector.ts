// Rows without their zeros while the equations are put together: what a voltage or a current is made of, column by column.
// Takes terms in any order, gives the columns ascending. What always holds: the terms of a column are added in the
// order in which they came, so equal input gives equal bits; a column that comes to zero is left out.

/** A sparse row: `of[p]` stands in column `at[p]`, columns ascending. */
export interface Vector {
  readonly at: readonly number[];
  readonly of: readonly number[];
}

/** The row of zeros. */
export const none: Vector = { at: [], of: [] };

/** Adds up one row at a time. */
export class Sum {
  private readonly value: Float64Array;
  private readonly met: Uint8Array;
  private columns: number[] = [];

  /** @param width columns from 0 to this one, not included */
  constructor(readonly width: number) {
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

  /** Gives the row and begins anew. */
  take(): Vector {
    const { columns, value, met } = this;
    if (columns.length === 0) return none;
    sort(columns);
    const at: number[] = [];
    const of: number[] = [];
    for (const column of columns) {
      if (value[column] !== 0) {
        at.push(column);
        of.push(value[column]);
      }
      value[column] = 0;
      met[column] = 0;
    }
    columns.length = 0;
    return { at, of };
  }
}

/** Rows are short as a rule, and then insertion is quicker than the general way. */
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
