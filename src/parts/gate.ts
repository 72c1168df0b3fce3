// A gate: its output is high or low by a rule of its two inputs. It remembers which inputs are above the threshold, so a
// change of either is an act, like that of a switch's control.
import { dimension } from "../base/dimension.js";
import type { Guard, Kind, PropertyWord } from "./contract.js";
import { act, type LogicMode, logic, outputEquation, slicingWords, takesTime } from "./logic.js";
import { amount, amountOf } from "./making.js";

/** The rules by their words: whether the output is high for two inputs. */
const rules: Readonly<Record<string, (a: boolean, b: boolean) => boolean>> = {
  and: (a, b) => a && b,
  or: (a, b) => a || b,
  nand: (a, b) => !(a && b),
  nor: (a, b) => !(a || b),
  xor: (a, b) => a !== b,
};

const second: readonly PropertyWord[] = Object.keys(rules).map((word) => ({
  word,
  takes: "place",
  summary: `the second input, and the rule: high for tail '${word}' this place`,
}));

export const gate: Kind = {
  word: "gate",
  equations: [
    "an input is high from above `threshold` + `hysteresis`/2 until below `threshold` − `hysteresis`/2; the output follows the rule of both, late by `delay`",
    outputEquation,
  ],
  summary: "a logic gate of two inputs; the tail is one of them, the head its output",
  delivers: true,
  drives: true,
  oneOf: Object.keys(rules),
  properties: [
    ...second,
    amount("threshold", dimension.voltage, "any", "level above which an input is high, 2.5 V unless given"),
    ...slicingWords,
  ],
  make(part) {
    const [word, rule] = Object.entries(rules).find(([name]) => part.places.has(name))!;
    const places = [part.tail, part.places.get(word)!];
    const level = amountOf(part, "threshold", 2.5);
    const half = amountOf(part, "hysteresis", 0) / 2;
    const delay = part.amounts.get("delay");
    const late = takesTime(delay);
    // A mode has the state of each input (bits 0 and 1), and whether the output has yet to follow (bit 2).
    const wanted = (inputs: number) => rule((inputs & 1) !== 0, (inputs & 2) !== 0);
    const modes = Array.from({ length: late ? 8 : 4 }, (_, mode): LogicMode => {
      const inputs = mode & 3;
      const high = wanted(inputs) !== mode >= 4;
      const guards = places.map((place, i): Guard => {
        const now = (inputs & (1 << i)) !== 0;
        const next = inputs ^ (1 << i);
        const to = next + (late && wanted(next) !== high ? 4 : 0);
        return act({ a: place, b: 0 }, now ? "below" : "above", now ? level - half : level + half, to);
      });
      const [first, other] = [1, 2].map((bit) => ((inputs & bit) !== 0 ? "high" : "low"));
      const name = `${first} ${word} ${other}${mode >= 4 ? ", output not yet" : ""}`;
      return {
        name,
        high,
        guards,
        ...(late && mode >= 4 && { dwell: { lasts: delay, to: inputs, keeps: true } }),
      };
    });
    return logic(part, modes);
  },
};
