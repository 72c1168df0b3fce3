// Values of a design that a caller names, and their new values.

import { exactly, type Given, refuseOption } from "../base/asked.js";
import type { Fraction } from "../base/fraction.js";
import { handed, handedObject } from "../base/handed.js";
import { didYouMean } from "../base/nearest.js";
import { quantity, show } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import { revalued, type SettableValue, settableValues } from "../design/revalue.js";
import { inRange, rangeText } from "../parts/range.js";

/** The value with that full name. @throws DesignError `bad-option` */
export function settableNamed(
  design: Design,
  name: string,
  option: string,
  all: ReadonlyMap<string, SettableValue> = settableValues(design),
): SettableValue {
  const hint = () => didYouMean(name, all.keys());
  return all.get(name) ?? refuseOption(option, `no value of the design is called '${name}'`, hint());
}

/** Its new value, exact, in SI units. @throws DesignError `bad-option` where its part does not allow it */
export function settableTo({ name, amount, range }: SettableValue, given: Given, option: string): Fraction {
  const value = exactly(given, amount.dimension, option);
  if (inRange(value, range)) return value;
  const shown = show(quantity(value, amount.dimension));
  return refuseOption(option, `'${name}' cannot be ${shown}, allowed is ${rangeText[range]}`);
}

/**
 * A design with other values, everything else as its text says: whatever is made of a named value moves with it, in every case
 * but those that set it themselves, and a tolerance keeps its share of the value. The design given is not changed.
 *
 * @category Designs
 * @example
 * ```ts
 * const slower = withValues(design, { timing: "18 nF", "reset.on": "10 ohm" });
 * measure(simulate(slower), "peak of ramp each gate").text; // "3.32 V"
 * ```
 * @param values by full name: a named value (`timing`, `line.timing`), a part for its value (`feed`) or one of its properties
 * (`reset.on`); text with a unit, or a number in SI units
 * @throws DesignError `bad-option` for a name that stands for no number, or a value that its part does not allow; otherwise the
 * errors of the new design
 */
export function withValues(design: Design, values: Readonly<Record<string, Given>>): Design {
  return withGiven(design, values, "values");
}

/** The same, with the caller's word for the values. */
export function withGiven(design: Design, values: Readonly<Record<string, Given>>, called: string): Design {
  handed("design", design);
  handedObject(values, called);
  const all = settableValues(design);
  const set = Object.entries(values).map(([name, given]) => {
    const option = `${called}.${name}`;
    return [name, settableTo(settableNamed(design, name, option, all), given, option)] as const;
  });
  return revalued(design, new Map(set));
}
