// Outputs at their limits in words, for both the terminal and the page.
import { engineering } from "../base/quantity.js";
import type { Clipping } from "../reading/atlimits.js";

const limits: Readonly<Record<Clipping["limit"], string>> = {
  upper: "upper limit",
  lower: "lower limit",
  both: "no room between its rails",
};

/** The words of a table row, in column order. */
interface ClippingCells {
  readonly limit: string;
  readonly level: string;
  readonly begins: string;
  readonly lasts: string;
  readonly times: string;
  /** Empty if the design has no video signal. */
  readonly picture: string;
}

/** The cells of a row. */
export function clippingCells({ limit, level, begins, lasts, times, picture }: Clipping): ClippingCells {
  return {
    limit: limits[limit],
    level: engineering(level, "V"),
    begins: begins === 0 ? "the start" : engineering(begins, "s", 5),
    lasts: engineering(lasts, "s"),
    times: String(times),
    picture: picture === undefined ? "" : engineering(picture, "%", 3),
  };
}

/** A row as a sentence, e.g. `gain clips at its upper limit, 3.5 V: from 12 ms on, 4 ms in all`. */
export function clippingText(row: Clipping): string {
  const { limit, level, begins, lasts, picture } = clippingCells(row);
  const where = row.limit === "both" ? `has ${limit}, ${level}` : `clips at its ${limit}, ${level}`;
  const shown = picture === "" ? "" : `, first at an average picture level of ${picture}`;
  return `${row.part} ${where}: from ${begins} on, ${lasts} in all${shown}`;
}
