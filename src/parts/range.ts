// The ranges of values and properties, and how a message describes them.
import type { Fraction } from "../base/fraction.js";

/** A range of values: `share` is 0 to 1, both included, `part` the same without 1. */
export type Range = "positive" | "not negative" | "share" | "part" | "any";

/** The allowed values of a range in words. */
export const rangeText: Readonly<Record<Range, string>> = {
  positive: "greater than zero",
  "not negative": "zero or more",
  share: "from 0 % to 100 %",
  part: "from 0 % to less than 100 %",
  any: "any value",
};

/** What to do about a value outside of a range. */
export const rangeHint = (range: Range): string => `give one that is ${rangeText[range]}`;

/** True when the value lies in the range. */
export function inRange(value: Fraction, range: Range): boolean {
  const sign = value.n === 0n ? 0 : value.s < 0n ? -1 : 1;
  if (range === "any") return true;
  if (range === "positive") return sign > 0;
  if (sign < 0) return false;
  return range === "part" ? value.lt(1) : range !== "share" || value.lte(1);
}
