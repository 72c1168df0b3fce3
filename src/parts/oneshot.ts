// A one-shot timer: when its input rises above a level, its output goes high for a fixed time. A retriggerable one
// starts its time anew at every rise; the other takes no notice until it is over.
import { time, voltage } from "../base/dimension.js";
import { amountOf, type Kind } from "./contract.js";
import { logicOutput, logicWords } from "./logic.js";

const ready = 0; // low, input low
const on = 1; // high, input high since it was triggered
const onAgain = 2; // high, input low again
const spent = 3; // low, input still high
const onHeld = 4; // high, input high again, and not noticed

export const oneshot: Kind = {
  word: "oneshot",
  summary: "a one-shot timer; the tail is its input, the head its output",
  delivers: true,
  properties: [
    { word: "lasts", takes: time, range: "positive", required: true, summary: "how long its pulse lasts" },
    {
      word: "above",
      takes: voltage,
      range: "any",
      summary: "input level that triggers it, 2.5 V unless given",
    },
    ...logicWords,
    { word: "retriggerable", takes: "nothing", summary: "every rise of the input starts its time anew" },
  ],
  make(part) {
    const { tail, amounts, flags } = part;
    const lasts = amounts.get("lasts")!;
    const level = amountOf(part, "above", 2.5);
    const output = logicOutput(part);
    const again = flags.has("retriggerable");
    const input = { a: tail, b: 0 };
    const rises = { of: input, side: "above", level, to: on, control: true } as const;
    const falls = (to: number) => ({ of: input, side: "below", level, to, control: true }) as const;
    return {
      modes: ["ready", "on", "on, input low", "spent", "on, input high again"],
      stamp: (mode, into) => output(mode !== ready && mode !== spent, into),
      guards(mode) {
        if (mode === ready) return [rises];
        if (mode === on) return [falls(onAgain)];
        if (mode === onAgain) return [again ? rises : { ...rises, to: onHeld }];
        if (mode === onHeld) return [falls(onAgain)];
        return [falls(ready)];
      },
      dwell(mode) {
        if (mode === on) return { lasts, to: spent };
        if (mode === onHeld) return { lasts, to: spent, keeps: true };
        return mode === onAgain ? { lasts, to: ready, keeps: true } : undefined;
      },
    };
  },
};
