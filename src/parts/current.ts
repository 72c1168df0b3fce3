// A current source: a constant current, or one that follows a waveform. With `headroom` the constant one needs
// that voltage across itself: with less it gives nothing, and exactly there whatever the circuit takes, so that
// a ramp climbs to the rail less the headroom and stops. `output` is the resistance across it; the stated
// current is the one that flows at the headroom.
import { combine, dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Kind } from "./contract.js";
import { amount, amountOf, linear } from "./making.js";
import { steeredWords, steerOf } from "./steered.js";

const full = 0;
const pinned = 1;
const starved = 2;

export const currentKind: Kind = {
  word: "current",
  equations: [
    "without `headroom`: i = I + `gain` · v(`follows`) + v/`output`",
    "full: i = I + (v − `headroom`)/`output`, while v is not below `headroom`",
    "pinned: v = `headroom`, while i is from 0 to I",
    "starved: i = 0, while v is not above `headroom`",
  ],
  summary: "a current source; the arrow is the direction of the current",
  value: { dimension: dimension.current, range: "any", wave: true },
  delivers: true,
  ideal: ({ amounts }) => (amounts.has("headroom") ? "starving current" : "current"),
  properties: [
    ...steeredWords(combine(dimension.current, dimension.voltage, -1)),
    amount("headroom", dimension.voltage, "not negative", "voltage it needs across itself"),
    amount("output", dimension.resistance, "positive", "resistance across it, none unless given"),
  ],
  make(part) {
    const { tail, head, value, level, amounts } = part;
    const steer = steerOf(part);
    const output = amountOf(part, "output", Number.POSITIVE_INFINITY);
    const amperes = level ?? toNumber(value!);
    const headroom = amounts.get("headroom");
    if (headroom === undefined || typeof amperes !== "number" || steer) {
      return linear((into) => {
        into.push(tail, head, amperes, steer);
        into.resistor(tail, head, output);
      });
    }
    const need = toNumber(headroom);
    const across = { a: tail, b: head };
    return {
      modes: ["full", "pinned", "starved"],
      stamp(mode, into) {
        if (mode === full) {
          into.push(tail, head, amperes - need / output);
          into.resistor(tail, head, output);
        } else if (mode === pinned) into.hold(tail, head, need);
      },
      guards(mode) {
        if (mode === full) return [{ of: across, side: "below", level: need, to: pinned }];
        if (mode === starved) return [{ of: across, side: "above", level: need, to: pinned }];
        return [
          { of: { element: 0 }, side: "above", level: amperes, to: full },
          { of: { element: 0 }, side: "below", level: 0, to: starved },
        ];
      },
    };
  },
};
