// What makes a source follow another voltage: the words `follows` and `gain`, shared by voltage and current sources.
import type { Dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { PropertyWord, Resolved, Steer } from "./contract.js";

/** The two words. @param gain the dimension that turns the followed voltage into the source's quantity */
export function steeredWords(gain: Dimension): readonly PropertyWord[] {
  return [
    {
      word: "follows",
      takes: "place",
      summary: "a place whose voltage against ground is added, times the gain",
    },
    { word: "gain", takes: gain, range: "any", summary: "how much of it; needed with `follows`" },
  ];
}

/** What steers the source, if anything does. */
export function steerOf({ places, amounts }: Resolved): Steer | undefined {
  const a = places.get("follows");
  const gain = amounts.get("gain");
  return a === undefined ? undefined : { a, b: 0, gain: gain ? toNumber(gain) : 1 };
}
