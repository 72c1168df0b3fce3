// A bistable: it keeps its output until its input rises again. At a rise the output takes the level of `data`, if given;
// otherwise, with `reset` and without `toggles`, it goes high until `reset` does; otherwise it toggles, which halves a rate.
// While `reset` is high the output is low. An input that is high at the start of a run counts as having just risen. Where
// inputs rise at the same instant, the tail acts first, on the data before it, and the reset acts last.
import { dimension } from "../base/dimension.js";
import type { Guard, Kind } from "./contract.js";
import { act, type LogicMode, logic, logicWords, outputEquation } from "./logic.js";
import { amount, amountOf } from "./making.js";

// A mode is the sum of the bits that are high: the output and the three inputs.
const output = 1;
const input = 2;
const reset = 4;
const data = 8;

export const bistable: Kind = {
  word: "bistable",
  equations: [
    "at a rise of v(tail) above `threshold` it turns over; with `data` it takes what stands there, with `reset` and without `toggles` it goes high; low while `reset` is high",
    outputEquation,
  ],
  summary: "a bistable; the tail is its input, the head its output",
  delivers: true,
  drives: true,
  properties: [
    { word: "data", takes: "place", summary: "the place whose level the output takes at every rise" },
    { word: "reset", takes: "place", summary: "the place that holds the output low while it is high" },
    {
      word: "toggles",
      takes: "nothing",
      summary: "with `reset`: every rise turns it over, and does not only set it",
    },
    amount("threshold", dimension.voltage, "any", "level above which an input is high, 2.5 V unless given"),
    ...logicWords,
  ],
  make(part) {
    const level = amountOf(part, "threshold", 2.5);
    const watched = [
      { bit: input, place: part.tail },
      { bit: reset, place: part.places.get("reset") },
      { bit: data, place: part.places.get("data") },
    ];
    const [clears, takes] = [part.places.has("reset"), part.places.has("data")];
    const toggles = part.flags.has("toggles") || !clears;
    const risen = (mode: number): boolean => {
      if ((mode & reset) !== 0) return false;
      if (takes) return (mode & data) !== 0;
      return !toggles || (mode & output) === 0;
    };
    const after = (mode: number, bit: number): number => {
      const next = mode ^ bit;
      if ((next & bit) === 0 || bit === data) return next;
      const high = bit === input ? risen(mode) : false;
      return high ? next | output : next & ~output;
    };
    const names = ["output", "input", "reset", "data"];
    const modes = Array.from({ length: 16 }, (_, mode): LogicMode => {
      const high = names.filter((_, k) => (mode & (1 << k)) !== 0);
      const guards = watched.flatMap(({ bit, place }): Guard[] =>
        place === undefined
          ? []
          : [act({ a: place, b: 0 }, (mode & bit) === 0 ? "above" : "below", level, after(mode, bit))],
      );
      return {
        name: high.length > 0 ? `${high.join(", ")} high` : "all low",
        high: (mode & output) !== 0,
        guards,
      };
    });
    return logic(part, modes);
  },
};
