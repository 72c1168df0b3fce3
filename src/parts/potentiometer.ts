// A potentiometer: two resistors that share one value, split at the tap. `at` counts from the tail.
import { dimension } from "../base/dimension.js";
import { ratio, toNumber } from "../base/fraction.js";
import type { Kind } from "./contract.js";
import { amountOf, linear } from "./making.js";

export const potentiometer: Kind = {
  word: "potentiometer",
  equations: ["from tail to tap R · `at`, from tap to head R · (1 − `at`)"],
  summary: "a potentiometer with a tap",
  turns: "at",
  value: { dimension: dimension.resistance, range: "positive" },
  properties: [
    { word: "tap", takes: "place", mayHang: true, required: true, summary: "the place of the tap" },
    {
      word: "at",
      takes: dimension.number,
      range: "share",
      usual: ratio(1, 2),
      summary: "where the tap stands, from the tail, 50 % unless given",
    },
  ],
  make(part) {
    const { tail, head, value, places } = part;
    const tap = places.get("tap")!;
    const whole = toNumber(value!);
    const at = amountOf(part, "at", 0.5);
    return linear((into) => {
      into.resistor(tail, tap, whole * at);
      into.resistor(tap, head, whole * (1 - at));
    });
  },
};
