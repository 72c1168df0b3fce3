// An inductor: v = L di/dt. Its current is a state of the circuit.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Kind } from "./contract.js";
import { linear } from "./making.js";

export const inductor: Kind = {
  word: "inductor",
  equations: ["v = L · di/dt; of coupled ones each other adds M · di/dt of its own"],
  summary: "an inductor",
  value: { dimension: dimension.inductance, range: "positive" },
  stores: true,
  properties: [{ word: "starts", takes: dimension.current, summary: "current at the start of the run" }],
  make({ tail, head, value, amounts }) {
    const henries = toNumber(value!);
    const starts = amounts.get("starts");
    return linear((into) => into.inductor(tail, head, henries), starts && toNumber(starts));
  },
};
