// Every claim of the table, worked out once: its figure, its error and the time it took.
import { type Claim, difference, type Row } from "../numerics/claim.js";
import { table } from "../numerics/table.js";

/** A claim as it came out. */
export interface Measured {
  readonly row: Row;
  readonly claim: Claim;
  readonly got: number | string;
  readonly error: number;
  readonly pass: boolean;
}

/** Works out the whole table. */
export function measured(): Measured[] {
  return table.flatMap((row) =>
    row.claims.map((claim) => {
      const got = claim.got();
      const error = difference(claim, got);
      return { row, claim, got, error, pass: error <= claim.bound };
    }),
  );
}
