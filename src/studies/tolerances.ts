// Which values of a design have tolerances of their own, and which way each moves a goal.
// Takes a design and a gauge; gives each with its bounds, and the corners that push a goal up or down the most as the signs
// of its sensitivities tell. Always: what follows a named value or tracks another is not counted beside it, since both move
// as one; which do, the axes of a spread say (`axes.ts`).
import { toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { numerals } from "../design/revalue.js";
import { Axes } from "./axes.js";
import type { Gauge, Values } from "./gauge.js";

/** A tolerance: a value, and what moves with it. */
export interface Tolerance {
  /** Full name of the value. */
  readonly name: string;
  /** All that moves, at its low ends. */
  readonly low: Values;
  /** The same at its high ends. */
  readonly high: Values;
}

/** How a tolerance moves a goal. */
export interface Swing extends Tolerance {
  /** What the goal measures at its high bound less what it measures at its low one, SI; NaN where one has no value. */
  readonly effect: number;
}

/** The tolerances of a design that move by themselves. */
export function tolerances(design: Design): Tolerance[] {
  const all = numerals(design);
  return new Axes(design).list.flatMap(({ name, what, tracked }) => {
    if (what !== "value") return [];
    const ends = (end: "low" | "high") =>
      new Map([name, ...tracked].map((n) => [n, all.get(n)!.amount[end]]));
    return [{ name, low: ends("low"), high: ends("high") }];
  });
}

/** How each tolerance alone moves the first goal of a gauge, with these values set besides. Two runs each. */
export function swings(gauge: Gauge, list: readonly Tolerance[], at: Values): Swing[] {
  const measured = (values: Values) => gauge.at(new Map([...at, ...values]))[0]!.value;
  return list.map((one) => ({ ...one, effect: measured(one.high) - measured(one.low) }));
}

/** The corner where every tolerance moves the goal up (`1`) or down (`-1`); those without effect stay as they are. */
export function corner(list: readonly Swing[], way: 1 | -1): Values {
  return new Map(
    list.flatMap(({ low, high, effect }) =>
      effect > 0 || effect < 0 ? [...(effect * way > 0 ? high : low)] : [],
    ),
  );
}

/** Values as plain data, SI. */
export function plainValues(values: Values): { readonly [name: string]: number } {
  return Object.fromEntries([...values].map(([name, value]) => [name, toNumber(value)]));
}
