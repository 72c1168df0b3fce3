// Helpers for a kind: its properties that are amounts, their values as doubles, and a device with a single mode.

import type { Dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { Device, PropertyWord, Resolved, Stamp } from "./contract.js";
import type { Range } from "./range.js";

/** A property that is an amount. */
export function amount(word: string, takes: Dimension, range: Range, summary: string): PropertyWord {
  return { word, takes, range, summary };
}

/**
 * The value of the property `word` as a double in SI units; `fallback` if it is not given.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * const spot: Pick<Resolved, "amounts"> = { amounts: new Map() };
 * amountOf(spot, "drop", 0.6); // 0.6
 * ```
 */
export function amountOf(resolved: Pick<Resolved, "amounts">, word: string, fallback: number): number {
  handed("resolved", resolved);
  const given = resolved.amounts.get(word);
  return given ? toNumber(given) : fallback;
}

// Shared: most of the parts of a large circuit have nothing else.
const always: readonly string[] = ["always"];
const unguarded = () => [];

/**
 * A device of one mode, without guards.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * const leak: Kind = {
 *   word: "leak",
 *   summary: "10 Mohm between two places",
 *   equations: ["v = 10 Mohm · i"],
 *   properties: [],
 *   make: ({ tail, head }) => linear((into) => into.resistor(tail, head, 10e6)),
 * };
 * compile("supply plus5 = 5 V\nleak dirt plus5 -> ground", { kinds: [leak] }).parts.length; // 2
 * ```
 */
export function linear(stamp: (into: Stamp) => void, initial?: number): Device {
  return { modes: always, stamp: (_, into) => stamp(into), guards: unguarded, initial };
}
