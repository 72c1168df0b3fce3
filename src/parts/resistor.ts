// A resistor: one conductance, one mode.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Kind } from "./contract.js";
import { linear } from "./making.js";

export const resistor: Kind = {
  word: "resistor",
  equations: ["v = R · i"],
  summary: "a resistor",
  value: { dimension: dimension.resistance, range: "positive" },
  properties: [],
  make({ tail, head, value }) {
    const ohms = toNumber(value!);
    return linear((into) => into.resistor(tail, head, ohms));
  },
};
