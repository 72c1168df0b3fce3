// Measured parts in place of a tolerance: which values are drawn from which bag. From a design and the measurements come the axes
// of these values. A value of a bag stands for itself, made of no other that varies, and the design allows every part in the bag
// there.
import { asked, refuseOption } from "../base/asked.js";
import { DesignError } from "../base/diagnostic.js";
import { unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { didYouMeanOneOf } from "../base/nearest.js";
import { decimal } from "../base/spacing.js";
import type { Design, Setting } from "../design/design.js";
import { revalued, type SettableValue, settableValues } from "../design/revalue.js";
import type { Axes, AxisBand } from "./tolerances.js";

/**
 * Measured parts, and the values of the design that they are for. A trial draws each part at most once, and the next trial draws
 * from all of them again: without replacement on one board, with replacement between boards.
 */
export interface MeasuredStock {
  /** Full names of the values. */
  readonly values: readonly string[];
  /** One bag that all of these values are drawn from: the measurements, SI. */
  readonly parts?: readonly number[];
  /** Instead, parts sorted into sets, such as pairs: the measurements of each set, SI, in the order of `values`. */
  readonly sets?: readonly (readonly number[])[];
}

/** The most parts in one bag. */
const mostParts = 10_000;

/**
 * The axes of values that are drawn from measured parts, by name.
 * @throws DesignError `bad-option`
 */
export function bagsOf(design: Design, stock: readonly MeasuredStock[] = []): Map<string, AxisBand> {
  const found = new Map<string, AxisBand>();
  if (!Array.isArray(stock)) refuseOption("measured", "expected a list");
  const known = settableValues(design);
  for (const one of stock) {
    asked(one, { values: "texts", parts: "object", sets: "object" }, "measured.");
    const { values, parts, sets } = one;
    if (!Array.isArray(values) || values.length === 0) refuse("no value is named that is to be drawn");
    if ((parts === undefined) === (sets === undefined))
      refuse("either 'parts' of one bag or 'sets' of parts are drawn from");
    values.forEach((name, k) => {
      const value = settable(known, name);
      if (found.has(name)) refuse(`'${name}' is drawn twice`);
      const list = parts ?? sets!.map((set: readonly number[] | undefined) => set?.[k] as number);
      if (parts !== undefined && parts.length < values.length)
        refuse(`${parts.length} parts are too few for ${values.length} values of one board`);
      // In a set, one draw decides all values.
      const turns = parts ? values.slice(0, k + 1) : values.slice(0, 1);
      found.set(name, bandOf(name, value, list, turns));
    });
  }
  return found;
}

function settable(known: ReadonlyMap<string, SettableValue>, name: string): SettableValue {
  const value = known.get(name);
  if (!value)
    return refuse(`no value of the design is called '${name}'`, didYouMeanOneOf(name, [...known.keys()]));
  const { follows } = value.amount;
  if (follows !== undefined) refuse(`'${name}' is '${follows}'`, `draw '${follows}' from what was measured`);
  return value;
}

function bandOf(
  name: string,
  { amount }: SettableValue,
  parts: readonly number[],
  turns: readonly string[],
): AxisBand {
  if (parts.length === 0 || parts.length > mostParts)
    refuse(`'${name}' is drawn from ${parts.length} parts; from 1 to ${mostParts} make sense`);
  const wrong = parts.findIndex((v) => typeof v !== "number" || !Number.isFinite(v));
  if (wrong >= 0) refuse(`part ${wrong + 1} for '${name}' has no value`);
  const [low, high] = [Math.min(...parts), Math.max(...parts)];
  const places = parts.map((v) => (high > low ? (v - low) / (high - low) : 0));
  return {
    unit: unitOf(amount.dimension),
    low,
    nominal: toNumber(amount.value),
    high,
    distribution: { shape: "measured", places, turns },
  };
}

/**
 * Tries whether the design accepts the lowest and the highest of each bag.
 * @throws DesignError `bad-option` where it refuses one, or where a value of a bag is made of others that vary
 */
export function triedBags(design: Design, axes: Axes, bags: ReadonlyMap<string, AxisBand>): void {
  if (bags.size === 0) return;
  const known = settableValues(design);
  for (const end of [0, 1]) {
    const settings = axes.settings(axes.list.map(() => end));
    for (const [name, { low, high }] of bags) {
      const drawn = known.get(name)!.amount.value;
      const tried: Setting = (amount) => {
        if (!amount.value.equals(drawn))
          refuse(`'${name}' is made of other values that vary`, "draw those from what was measured");
        return decimal(end === 0 ? low : high);
      };
      settings.set(name, tried);
    }
    try {
      revalued(design, settings, []);
    } catch (error) {
      if (!(error instanceof DesignError)) throw error;
      const [first] = error.diagnostics;
      if (first.code === "bad-option") throw error;
      refuse(`the design does not take what was measured: ${first.message}`, first.hint);
    }
  }
}

function refuse(message: string, hint?: string): never {
  return refuseOption("measured", message, hint);
}
