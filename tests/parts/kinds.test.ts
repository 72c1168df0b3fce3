// Every kind of part passes every law. A circuit for each kind; a kind without one fails here, so that a new kind
// cannot be forgotten. Thresholds, drops, headrooms and limits carry the scale as well, so that even circuits that
// change their modes must scale to the last bit.
import { describe, expect, it } from "vitest";
import { Report } from "../../src/base/diagnostic.js";
import { tryDevice } from "../../src/design/devicetrial.js";
import { compile } from "../../src/index.js";
import { kinds } from "../../src/parts/kinds.js";
import { full } from "../counts.js";
import { accounts, adds, converges, impedances, renamed, scales, times } from "./laws.js";

const drive = "signal drive = pulse 0 V to 5 V * scale, wide 20 us, every 50 us, edges 1 us";

const circuits: Readonly<Record<string, string>> = {
  resistor: `${drive}
resistor r drive -> out 1 kohm
capacitor c out -> ground 10 nF
resistor leak out -> ground 4.7 kohm`,
  capacitor: `${drive}
resistor r drive -> a 1 kohm
capacitor c1 a -> b 10 nF, starts 1 V * scale
capacitor c2 b -> out 22 nF, starts -0.5 V * scale
resistor far b -> ground 2 kohm
resistor leak out -> ground 2 kohm`,
  inductor: `${drive}
resistor r drive -> a 100 ohm
inductor coil a -> out 1 mH, starts 2 mA * scale
resistor load out -> ground 220 ohm
capacitor c out -> ground 10 nF`,
  coupling: `${drive}
resistor r drive -> a 100 ohm
inductor first a -> ground 1 mH, starts 2 mA * scale
inductor second out -> ground 4 mH
coupling core first -> second 80 %
resistor load out -> ground 220 ohm
capacitor c out -> ground 10 nF`,
  diode: `signal drive = sine -5 V * scale to 5 V * scale, at 20 kHz
resistor r drive -> a 100 ohm
diode d a -> out drop 0.6 V * scale, on 10 ohm, breakdown 3 V * scale
capacitor c out -> ground 100 nF
resistor load out -> ground 1 kohm`,
  switch: `${drive}
supply rail = 12 V * scale
resistor feed rail -> ramp 10 kohm
capacitor hold ramp -> ground 2 nF
switch reset ramp -> ground closed while drive above 2 V * scale, open 1 V * scale, on 50 ohm, off 1 Mohm, limit 20 mA * scale`,
  current: `${drive}
supply rail = 12 V * scale
current feed rail -> ramp 1 mA * scale, headroom 0.9 V * scale, output 100 kohm
capacitor hold ramp -> ground 4 nF
switch reset ramp -> ground closed while drive above 4 V * scale, on 500 ohm
current hum ground -> ramp sine -0.1 mA * scale to 0.1 mA * scale, at 10 kHz`,
  voltage: `voltage source top -> low pulse -1 V * scale to 1 V * scale, wide 20 us, every 50 us, edges 2 us, behind 75 ohm
resistor r low -> ground 100 ohm
capacitor c top -> ground 10 nF
resistor load top -> out 1 kohm
resistor end out -> ground 1 kohm`,
  amplifier: `${drive}
supply above = 12 V * scale
supply beneath = -12 V * scale
amplifier stage drive -> out minus back, high above, low beneath, bandwidth 20 kHz, slew 5 V/us * scale, reach 1.5 V * scale, output 100 ohm
resistor upper out -> back 3.3 kohm
resistor lower back -> ground 1 kohm
resistor load out -> ground 1 kohm`,
  comparator: `${drive}
resistor r drive -> in 1 kohm
capacitor c in -> ground 10 nF
comparator slice in -> out threshold 2 V * scale, hysteresis 0.2 V * scale, delay 300 ns, low -1 V * scale, high 5 V * scale, output 100 ohm
capacitor load out -> ground 100 nF`,
  inverter: `${drive}
inverter turn drive -> out threshold 2 V * scale, delay 300 ns, low 0 V * scale, high 5 V * scale, output 100 ohm
capacitor load out -> ground 100 nF`,
  oneshot: `${drive}
oneshot hold drive -> out lasts 7 us, above 2 V * scale, low 0 V * scale, high 5 V * scale, output 100 ohm
capacitor load out -> ground 100 nF`,
  gate: `${drive}
signal other = pulse 0 V to 5 V * scale, wide 20 us, every 40 us, first 10 us, edges 1 us
gate both drive -> out and other, threshold 2 V * scale, hysteresis 0.2 V * scale, delay 300 ns, low 0 V * scale, high 5 V * scale, output 100 ohm
capacitor load out -> ground 100 nF`,
  bistable: `${drive}
bistable half drive -> out threshold 2 V * scale, low 0 V * scale, high 5 V * scale, output 100 ohm
capacitor load out -> ground 100 nF`,
  potentiometer: `${drive}
potentiometer level drive -> ground 10 kohm, tap out, at 30 %
capacitor c out -> ground 1 nF
resistor load out -> ground 100 kohm`,
  transistor: `${drive}
supply rail = 12 V * scale
resistor feed drive -> b 10 kohm
resistor load rail -> out 1 kohm
transistor q out -> tail base b, gain 100, drop 0.65 V * scale, on 10 ohm, saturation 0.1 V * scale
resistor foot tail -> ground 220 ohm
capacitor c out -> ground 47 nF`,
  tube: `${drive}
resistor r drive -> out 1 kohm
capacitor c out -> ground 10 nF
tube screen out -> ground across drive, down out, left 0 V * scale, right 5 V * scale, top 0 V * scale, bottom 4 V * scale, cutoff 0.2 V * scale, full 3 V * scale`,
};

/** Kinds with further words, as parts of their own. */
const further: Readonly<Record<string, string>> = {
  "amplifier with offset, bias and an input range": `${drive}
supply above = 12 V * scale
supply beneath = -12 V * scale
resistor source drive -> in 2.2 kohm
amplifier stage in -> out minus out, high above, low beneath, bandwidth 20 kHz, reach 1.5 V * scale, output 100 ohm, offset 0.1 V * scale, bias 0.01 mA * scale, headroom 8 V * scale
resistor load out -> ground 1 kohm`,
  "amplifier at its current limit": `${drive}
supply raw = 12 V * scale
supply beneath = -12 V * scale
supply middle = 2.5 V * scale
resistor filter raw -> above 220 ohm
amplifier stage drive -> out minus out, high above, low beneath, bandwidth 20 kHz, reach 1.5 V * scale, output 100 ohm, limit 2 mA * scale
resistor load out -> middle 1 kohm`,
  "capacitor that loses with voltage": `${drive}
resistor r drive -> a 1 kohm
capacitor c a -> out 10 nF, loses 30 % at 3 V * scale
resistor load out -> ground 2.2 kohm
capacitor far out -> ground 4.7 nF, loses 10 % at 1 V * scale, starts 0.5 V * scale`,
  "switch steered by a difference": `${drive}
supply level = 1.5 V * scale
resistor feed drive -> ramp 10 kohm
capacitor hold ramp -> ground 20 nF
switch reset ramp -> ground closed while drive above 2 V * scale, open 1 V * scale, minus level, on 500 ohm`,
  "rail that lets go": `${drive}
supply rail = 2 V * scale, sinks 1 mA * scale, output 47 ohm, limit 20 mA * scale
resistor push drive -> rail 100 ohm
capacitor bulk rail -> ground 100 nF
resistor load rail -> ground 330 ohm`,
  "inverter at its current limit": `${drive}
supply vcc = 5 V * scale
inverter turn drive -> out threshold 2 V * scale, delay 300 ns, rail vcc, output 100 ohm, limit 15 mA * scale
capacitor load out -> ground 100 nF`,
  "one-shot at its current limit": `${drive}
supply vcc = 5 V * scale
oneshot hold drive -> out lasts 7 us, above 2 V * scale, rail vcc, output 100 ohm, limit 15 mA * scale
capacitor load out -> ground 100 nF`,
};

/** Kinds that have one mode. */
const linear = ["resistor", "capacitor", "inductor", "coupling", "voltage", "potentiometer", "tube"];

it.each(kinds.map((kind) => kind.word))("%s has a circuit here", (word) => {
  expect(Object.hasOwn(circuits, word)).toBe(true);
  expect(circuits[word]).toMatch(new RegExp(`^${word} `, "m"));
});

describe.each(Object.entries({ ...circuits, ...further }))("%s", (word, circuit) => {
  const text = `given scale = 1\n${circuit}\n`;
  it("keeps the contract of a device in every mode", () => {
    const report = new Report();
    const { parts, places } = compile(text);
    for (const part of parts) tryDevice(part, places.length, report);
    expect(report.diagnostics).toEqual([]);
  });
  it("keeps the current law and the account of energy", () => accounts(text));
  it.each(full ? [1, 3, -4] : [-4])(
    "scales with all voltages and currents, times 2 to the %i, to the last bit",
    (k) => scales(text, k),
  );
  // What limits a current is found at an instant of its own, and rounding decides by how many steps.
  if (Object.hasOwn(circuits, word))
    it("has the same voltages where every impedance is greater", () => impedances(text));
  it("has the same samples where everything takes eight times as long", () => times(text));
  if (linear.includes(word)) it("adds up what the sources do alone", () => adds(text));
  it("does not care for names and order", () => renamed(text));
  // Where a part has more corners than the coarser steps there is no order to see (ceramic.test.ts holds it to its curve).
  if (!circuit.includes("loses")) it("converges as the step is halved", () => converges(text));
});
