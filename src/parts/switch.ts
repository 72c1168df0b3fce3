// A switch: open or closed by a control voltage, or the difference of two, with separate levels to close and to open, or
// by times of the run. On-resistance may be 0, off-resistance infinite. With a current limit it saturates like a
// field-effect switch: at the limit the current stays and the voltage rises.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Guard, Kind } from "./contract.js";
import { amount, amountOf } from "./making.js";

const open = 0;
const closed = 1;
const forward = 2; // saturated, current from tail to head
const backward = 3;

export const switchKind: Kind = {
  word: "switch",
  equations: [
    "open: v = `off` · i",
    "closed: v = `on` · i, while i is within ± `limit`",
    "saturated: i = ± `limit`, while v is beyond ± `on` · `limit`",
    "closes beyond its level, opens on the other side of `open`; with `minus` both are of the difference",
  ],
  summary: "a switch, closed while a place is above or below a level, or between times",
  properties: [
    {
      word: "closed",
      takes: "control",
      opens: "open",
      required: true,
      summary: "`closed while gate above 2.5 V`, or `closed from 1 ms to 2 ms`",
    },
    {
      word: "minus",
      takes: "place",
      summary: "the place taken off the one that controls it, ground unless given",
    },
    amount("open", dimension.voltage, "any", "level at which it opens again, the closing level unless given"),
    amount("on", dimension.resistance, "not negative", "resistance when closed, 0 ohm unless given"),
    amount("off", dimension.resistance, "positive", "resistance when open, none unless given"),
    amount("limit", dimension.current, "positive", "current at which it saturates"),
  ],
  make(part) {
    const { tail, head, control } = part;
    const on = amountOf(part, "on", 0);
    const off = amountOf(part, "off", Number.POSITIVE_INFINITY);
    const limit = amountOf(part, "limit", Number.POSITIVE_INFINITY);
    const across = { a: tail, b: head };
    const level = control?.type === "level" ? control : undefined;
    const rising = level?.side === "above";
    const minus = part.places.get("minus") ?? 0;
    const gate = level && { a: level.place, b: minus };
    const toClose: Guard[] = gate
      ? [
          {
            of: gate,
            side: rising ? "above" : "below",
            level: toNumber(level.close),
            to: closed,
            control: true,
          },
        ]
      : [];
    const toOpen: Guard[] = gate
      ? [{ of: gate, side: rising ? "below" : "above", level: toNumber(level.open), to: open, control: true }]
      : [];
    const saturate: Guard[] = Number.isFinite(limit)
      ? [
          { of: { element: 0 }, side: "above", level: limit, to: forward },
          { of: { element: 0 }, side: "below", level: -limit, to: backward },
        ]
      : [];
    return {
      modes: ["open", "closed", "saturated", "saturated backwards"],
      // A switch controlled by the difference of two places is not commanded by a signal alone.
      ...((minus === 0 || !level) && { control }),
      obey: (mode, close) => (close ? (mode === open ? closed : mode) : open),
      stamp(mode, into) {
        if (mode === open) into.resistor(tail, head, off);
        else if (mode === closed) into.resistor(tail, head, on);
        else into.push(tail, head, mode === forward ? limit : -limit);
      },
      guards(mode) {
        if (mode === open) return toClose;
        if (mode === closed) return [...toOpen, ...saturate];
        const side = mode === forward ? "below" : "above";
        return [...toOpen, { of: across, side, level: (mode === forward ? on : -on) * limit, to: closed }];
      },
    };
  },
};
