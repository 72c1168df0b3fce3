// A comparator and an inverter: the output is high or low as the input stands above or below a threshold, with
// hysteresis around it and a delay. They remember which, so their guards are acts, like those of a switch.
import { time, voltage } from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import {
  amountOf,
  type Device,
  type Guard,
  type Kind,
  type PropertyWord,
  type Resolved,
} from "./contract.js";
import { logicOutput, logicWords } from "./logic.js";

const low = 0;
const rising = 1; // the input is above, the output not yet
const high = 2;
const falling = 3;

const words: readonly PropertyWord[] = [
  {
    word: "hysteresis",
    takes: voltage,
    range: "not negative",
    summary: "width around the threshold, 0 V unless given",
  },
  { word: "delay", takes: time, range: "not negative", summary: "how late the output is, 0 s unless given" },
  ...logicWords,
];

/** What both have in common: high where the input is above the threshold, or below it for an inverted one. */
function slicer(part: Resolved, threshold: number, against: number, inverted: boolean): Device {
  const { tail, amounts } = part;
  const half = amountOf(part, "hysteresis", 0) / 2;
  const delay: Fraction | undefined = amounts.get("delay");
  const late = delay !== undefined && delay.n > 0n;
  const output = logicOutput(part);
  const of = { a: tail, b: against };
  const goUp: Guard = { of, side: "above", level: threshold + half, to: late ? rising : high, control: true };
  const goDown: Guard = {
    of,
    side: "below",
    level: threshold - half,
    to: late ? falling : low,
    control: true,
  };
  return {
    modes: ["low", "rising", "high", "falling"],
    stamp(mode, into) {
      const above = mode === high || mode === falling;
      output(above !== inverted, into);
    },
    guards(mode) {
      if (mode === low) return [goUp];
      if (mode === high) return [goDown];
      // An input that turns back before the output has followed is not noticed.
      return [mode === rising ? { ...goDown, to: low } : { ...goUp, to: high }];
    },
    dwell(mode) {
      if (mode === rising) return { lasts: delay!, to: high };
      return mode === falling ? { lasts: delay!, to: low } : undefined;
    },
  };
}

export const comparator: Kind = {
  word: "comparator",
  summary: "a comparator; the tail is its input, the head its output",
  delivers: true,
  properties: [
    { word: "minus", takes: "place", summary: "the input it compares with, ground unless given" },
    { word: "threshold", takes: voltage, range: "any", summary: "voltage added to that, 0 V unless given" },
    ...words,
  ],
  make(part) {
    return slicer(part, amountOf(part, "threshold", 0), part.places.get("minus") ?? 0, false);
  },
};

export const inverter: Kind = {
  word: "inverter",
  summary: "a logic inverter; the tail is its input, the head its output",
  delivers: true,
  properties: [
    {
      word: "threshold",
      takes: voltage,
      range: "any",
      summary: "input level at which it turns, 2.5 V unless given",
    },
    ...words,
  ],
  make(part) {
    return slicer(part, amountOf(part, "threshold", 2.5), 0, true);
  },
};
