// A comparator and an inverter: the output is high or low depending on whether the input is above or below a
// threshold, with hysteresis and a delay. They remember which, so their guards are acts, like those of a switch.
import { dimension } from "../base/dimension.js";
import type { Device, Kind, Resolved } from "./contract.js";
import { act, type LogicMode, logic, outputEquation, slicingWords, takesTime } from "./logic.js";
import { amount, amountOf } from "./making.js";

const low = 0;
const high = 1;
const rising = 2; // the input is above, the output not yet
const falling = 3;

/** What both share: the output is high while the input is above the threshold, or below it if inverted. */
function slicer(part: Resolved, threshold: number, against: number, inverted: boolean): Device {
  const half = amountOf(part, "hysteresis", 0) / 2;
  const delay = part.amounts.get("delay");
  const late = takesTime(delay);
  const of = { a: part.tail, b: against };
  const goUp = (to: number) => act(of, "above", threshold + half, to);
  const goDown = (to: number) => act(of, "below", threshold - half, to);
  const modes: LogicMode[] = [
    { name: "low", high: inverted, guards: [goUp(late ? rising : high)] },
    { name: "high", high: !inverted, guards: [goDown(late ? falling : low)] },
  ];
  // An input that turns back before the output has followed is not noticed.
  if (late)
    modes.push(
      { name: "rising", high: inverted, guards: [goDown(low)], dwell: { lasts: delay, to: high } },
      { name: "falling", high: !inverted, guards: [goUp(high)], dwell: { lasts: delay, to: low } },
    );
  return logic(part, modes);
}

export const comparator: Kind = {
  word: "comparator",
  equations: [
    "rises where v(tail) − v(`minus`) − `threshold` is above half of the `hysteresis`, falls where it is below minus that",
    "late by `delay`: it turns where the input has stood there so long without turning back",
    outputEquation,
  ],
  summary: "a comparator; the tail is its input, the head its output",
  delivers: true,
  drives: true,
  properties: [
    { word: "minus", takes: "place", summary: "the input it compares with, ground unless given" },
    amount("threshold", dimension.voltage, "any", "voltage added to that, 0 V unless given"),
    ...slicingWords,
  ],
  make(part) {
    return slicer(part, amountOf(part, "threshold", 0), part.places.get("minus") ?? 0, false);
  },
};

export const inverter: Kind = {
  word: "inverter",
  equations: [
    "falls where v(tail) is above `threshold` + `hysteresis`/2, rises where it is below `threshold` − `hysteresis`/2",
    "late by `delay`, as a comparator",
    outputEquation,
  ],
  summary: "a logic inverter; the tail is its input, the head its output",
  delivers: true,
  drives: true,
  properties: [
    amount("threshold", dimension.voltage, "any", "input level at which it turns, 2.5 V unless given"),
    ...slicingWords,
  ],
  make(part) {
    return slicer(part, amountOf(part, "threshold", 2.5), 0, true);
  },
};
