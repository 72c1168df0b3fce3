// What parts with a logic output have in common: the words for its two levels and its resistance.
import { resistance, voltage } from "../base/dimension.js";
import { amountOf, type PropertyWord, type Resolved } from "./contract.js";

/** Words of a logic output. */
export const logicWords: readonly PropertyWord[] = [
  { word: "low", takes: voltage, range: "any", summary: "low output level, 0 V unless given" },
  { word: "high", takes: voltage, range: "any", summary: "high output level, 5 V unless given" },
  {
    word: "output",
    takes: resistance,
    range: "not negative",
    summary: "output resistance, 100 ohm unless given",
  },
];

/** Its levels and its resistance. */
export function logicOutput(part: Resolved): { low: number; high: number; ohms: number } {
  return {
    low: amountOf(part, "low", 0),
    high: amountOf(part, "high", 5),
    ohms: amountOf(part, "output", 100),
  };
}
