// A capacitor: i = C dv/dt. Its voltage is what the circuit remembers.
import { capacitance, voltage } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { type Kind, linear } from "./contract.js";

export const capacitor: Kind = {
  word: "capacitor",
  summary: "a capacitor",
  value: { dimension: capacitance, range: "positive" },
  properties: [
    { word: "starts", takes: voltage, summary: "voltage at the start of the run" },
    {
      word: "settled",
      takes: "nothing",
      summary:
        "a steady start finds it where it stands with every signal at its mean, unless `starts` is other than 0 V",
    },
  ],
  make({ tail, head, value, amounts }) {
    const farads = toNumber(value!);
    const starts = amounts.get("starts");
    return linear((into) => into.capacitor(tail, head, farads), starts && toNumber(starts));
  },
};
