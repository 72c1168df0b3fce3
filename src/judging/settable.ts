// Values of a design that a caller names, and what they are to become.
import { exactly, type Given, refuseOption } from "../base/asked.js";
import type { Fraction } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import { quantity, show } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import { type SettableValue, settableValues } from "../design/revalue.js";
import { inRange, rangeText } from "../parts/range.js";

/** The value of that full name. @throws DesignError `bad-option` */
export function settableNamed(design: Design, name: string, option: string): SettableValue {
  const all = settableValues(design);
  const hint = () => didYouMean(name, all.keys());
  return all.get(name) ?? refuseOption(option, `no value of the design is called '${name}'`, hint());
}

/** What a value is to become, exact, in SI units. @throws DesignError `bad-option` where its part does not allow that */
export function settableTo({ name, amount, range }: SettableValue, given: Given, option: string): Fraction {
  const value = exactly(given, amount.dimension, option);
  if (inRange(value, range)) return value;
  const shown = show(quantity(value, amount.dimension));
  return refuseOption(option, `'${name}' cannot be ${shown}, allowed is ${rangeText[range]}`);
}
