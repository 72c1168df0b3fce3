// A diode, piecewise linear: no current below its drop, then the drop plus an on-resistance; with a breakdown
// voltage given, the same in reverse. The drop defaults to 0.6 V (small silicon at 1 mA, common practice, no
// source), the on-resistance to 0 ohm.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Guard, Kind } from "./contract.js";
import { amount, amountOf } from "./making.js";

const off = 0;
const on = 1;
const broken = 2;

export const diode: Kind = {
  word: "diode",
  equations: [
    "off: i = 0, while v is not above `drop`",
    "on: v = `drop` + `on` · i, while i is not below 0",
    "breakdown: v = −`breakdown` + `on` · i, while i is not above 0",
  ],
  summary: "a diode; the arrow is the direction of easy current",
  properties: [
    amount("drop", dimension.voltage, "not negative", "forward drop, 0.6 V unless given"),
    amount("on", dimension.resistance, "not negative", "resistance when conducting, 0 ohm unless given"),
    amount("breakdown", dimension.voltage, "positive", "reverse voltage at which it conducts backwards"),
  ],
  make(part) {
    const { tail, head } = part;
    const drop = amountOf(part, "drop", 0.6);
    const ohms = amountOf(part, "on", 0);
    const limit = part.amounts.get("breakdown");
    const reverse = limit && -toNumber(limit);
    const across = { a: tail, b: head };
    const blocking: Guard[] = [{ of: across, side: "above", level: drop, to: on }];
    if (reverse !== undefined) blocking.push({ of: across, side: "below", level: reverse, to: broken });
    return {
      modes: ["off", "on", "breakdown"],
      stamp(mode, into) {
        if (mode === on) into.hold(tail, head, drop, ohms);
        if (mode === broken) into.hold(tail, head, reverse!, ohms);
      },
      guards(mode) {
        if (mode === off) return blocking;
        return [{ of: { element: 0 }, side: mode === on ? "below" : "above", level: 0, to: off }];
      },
    };
  },
};
