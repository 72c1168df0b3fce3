// A one-shot timer: when its input rises above a level, its output goes high for a fixed time. A retriggerable one
// restarts its time at every rise; any other ignores rises until its time is over.
import { dimension } from "../base/dimension.js";
import type { Kind } from "./contract.js";
import { act, logic, logicWords, outputEquation } from "./logic.js";
import { amount, amountOf } from "./making.js";

const ready = 0; // low, input low
const on = 1; // high, input high since it was triggered
const onAgain = 2; // high, input low again
const spent = 3; // low, input still high
const onHeld = 4; // high, input high again, and not noticed

export const oneshot: Kind = {
  word: "oneshot",
  equations: [
    "high for `lasts` from a rise of v(tail) above its level; a rise meanwhile is not noticed, or with `retriggerable` begins that time anew",
    outputEquation,
  ],
  summary: "a one-shot timer; the tail is its input, the head its output",
  delivers: true,
  drives: true,
  properties: [
    {
      word: "lasts",
      takes: dimension.time,
      range: "positive",
      required: true,
      summary: "how long its pulse lasts",
    },
    amount("above", dimension.voltage, "any", "input level that triggers it, 2.5 V unless given"),
    ...logicWords,
    { word: "retriggerable", takes: "nothing", summary: "every rise of the input starts its time anew" },
  ],
  make(part) {
    const { tail, amounts, flags } = part;
    const lasts = amounts.get("lasts")!;
    const level = amountOf(part, "above", 2.5);
    const again = flags.has("retriggerable");
    const input = { a: tail, b: 0 };
    const rises = (to: number) => act(input, "above", level, to);
    const falls = (to: number) => act(input, "below", level, to);
    return logic(part, [
      { name: "ready", high: false, guards: [rises(on)] },
      { name: "on", high: true, guards: [falls(onAgain)], dwell: { lasts, to: spent } },
      {
        name: "on, input low",
        high: true,
        guards: [rises(again ? on : onHeld)],
        dwell: { lasts, to: ready, keeps: true },
      },
      { name: "spent", high: false, guards: [falls(ready)] },
      {
        name: "on, input high again",
        high: true,
        guards: [falls(onAgain)],
        dwell: { lasts, to: spent, keeps: true },
      },
    ]);
  },
};
