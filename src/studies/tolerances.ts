// Which values of a design have tolerances of their own, and which way each moves a goal.
// Takes a design and a gauge; gives each with its bounds, and the corners that push a goal up or down the most as the signs
// of its sensitivities tell. Always: a value that follows a named one is not counted beside it, since both move as one.
import { type Fraction, toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { numerals } from "../design/revalue.js";
import type { Gauge, Values } from "./gauge.js";

/** A value with a tolerance written at it. */
export interface Tolerance {
  /** Full name. */
  readonly name: string;
  readonly low: Fraction;
  readonly high: Fraction;
}

/** How a tolerance moves a goal. */
export interface Swing extends Tolerance {
  /** What the goal measures at its high bound less what it measures at its low one, SI; NaN where one has no value. */
  readonly effect: number;
}

/** The values with tolerances of their own, in the order of the text. */
export function tolerances(design: Design): Tolerance[] {
  return [...numerals(design).values()].flatMap(({ name, amount: { low, high, follows } }) =>
    follows === undefined && low.lt(high) ? [{ name, low, high }] : [],
  );
}

/** How each tolerance alone moves the first goal of a gauge, with these values set besides. Two runs each. */
export function swings(gauge: Gauge, list: readonly Tolerance[], at: Values): Swing[] {
  const measured = (name: string, value: Fraction) => gauge.at(new Map([...at, [name, value]]))[0]!.value;
  return list.map((one) => ({ ...one, effect: measured(one.name, one.high) - measured(one.name, one.low) }));
}

/** The corner where every tolerance moves the goal up (`1`) or down (`-1`); those without effect stay as they are. */
export function corner(list: readonly Swing[], way: 1 | -1): Values {
  return new Map(
    list.flatMap(({ name, low, high, effect }): [string, Fraction][] =>
      effect > 0 || effect < 0 ? [[name, effect * way > 0 ? high : low]] : [],
    ),
  );
}

/** Values as plain data, SI. */
export function plainValues(values: Values): { readonly [name: string]: number } {
  return Object.fromEntries([...values].map(([name, value]) => [name, toNumber(value)]));
}
