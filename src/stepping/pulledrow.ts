// A row over z that is carried back over one length after another. A length is taken by its digits, the greatest first, so
// lengths that begin with the same digits share the way up to there. Only what differs from the last length is done again,
// and the result is the same to the bit (leapmatrices.ts, `pullOf`).

/** A row over z, and what became of it over the length that it was pulled by last, digit by digit. */
export class PulledRow {
  /** Number of digits of that length; below zero before the first. */
  count = -1;
  /** Those digits, the least first. */
  readonly digits = new Int32Array(16);
  /** The row after each of them, by the same index. */
  readonly rows: Float64Array[] = [];

  constructor(readonly row: Float64Array) {}
}
