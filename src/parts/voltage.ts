// Voltage sources: `voltage` between any two places, and `signal`, the statement that makes a place follow a
// waveform against ground. Current through them counts from tail to head as everywhere, so a source that
// delivers has negative power.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Kind } from "./contract.js";
import { amount, amountOf, linear } from "./making.js";
import { steeredWords, steerOf } from "./steered.js";

export const voltageKind: Kind = {
  word: "voltage",
  equations: ["v = V + `gain` · v(`follows`) + `behind` · i"],
  summary: "a voltage source; its tail is above its head by the value",
  value: { dimension: dimension.voltage, range: "any", wave: true },
  delivers: true,
  ideal({ amounts, places }) {
    const { n = 0n } = amounts.get("behind")?.value ?? {};
    return n !== 0n ? undefined : places.has("follows") ? "steered voltage" : "voltage";
  },
  properties: [
    ...steeredWords(dimension.number),
    amount("behind", dimension.resistance, "not negative", "resistance in series, 0 ohm unless given"),
  ],
  make(part) {
    const { tail, head, value, level } = part;
    const steer = steerOf(part);
    const volts = level ?? toNumber(value!);
    const behind = amountOf(part, "behind", 0);
    return linear((into) => into.hold(tail, head, volts, behind, steer));
  },
};

/** A place that follows a waveform against ground. */
export const signal: Kind = {
  ...voltageKind,
  equations: ["v = what it follows"],
  word: "signal",
  summary: "a signal",
  ownPlace: true,
  fails: ["stopped"],
  properties: [],
};
