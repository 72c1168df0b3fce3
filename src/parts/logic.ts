// What parts with a logic output have in common: the words for its two levels and its resistance.
// With a rail a high output follows that rail, so a dead rail leaves it low.
import { resistance, voltage } from "../base/dimension.js";
import { amountOf, type PropertyWord, type Resolved, type Stamp } from "./contract.js";

/** Words of a logic output. */
export const logicWords: readonly PropertyWord[] = [
  { word: "low", takes: voltage, range: "any", summary: "low output level, 0 V unless given" },
  { word: "high", takes: voltage, range: "any", summary: "high output level, 5 V unless given" },
  { word: "rail", takes: "place", summary: "the rail that is its high level, in place of `high`" },
  {
    word: "output",
    takes: resistance,
    range: "not negative",
    summary: "output resistance, 100 ohm unless given",
  },
];

/** Stamps the output at its high or its low level, a voltage behind its resistance. */
export function logicOutput(part: Resolved): (high: boolean, into: Stamp) => void {
  const { head, places } = part;
  const [low, high] = [amountOf(part, "low", 0), amountOf(part, "high", 5)];
  const ohms = amountOf(part, "output", 100);
  const rail = places.get("rail");
  return (up, into) => {
    if (up && rail !== undefined) into.hold(head, 0, 0, ohms, { a: rail, b: 0, gain: 1 });
    else into.hold(head, 0, up ? high : low, ohms);
  };
}
