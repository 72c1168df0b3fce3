// Quantities that a caller hands over: as text with a unit, as a number in SI units, or exact.
// Takes what was given, its dimension and the name of the option; gives a double in SI units. Always: what is no such quantity
// is refused as an option that makes no sense.
import type { Dimension } from "../base/dimension.js";
import { Fraction, toNumber } from "../base/fraction.js";
import { quantityOf } from "../base/quantity.js";
import { type Given, refuse } from "../simulation/options.js";

/** @throws DesignError `bad-option` */
export function quantityAs(given: Given, dim: Dimension, option: string): number {
  if (given instanceof Fraction) return toNumber(given);
  try {
    return toNumber(quantityOf(given, dim, option));
  } catch (error) {
    if (error instanceof RangeError) return refuse(option, error.message.replace(`${option}: `, ""));
    throw error;
  }
}
