// Kirchhoff's current law as the account of a run judges it: no alarm from the rounding of voltages, and every real lack told. A
// lack is made by changing what one element is said to carry, by shares and by amperes of our own choice.
import { describe, expect, it } from "vitest";
import { balance, compile, simulate } from "../../src/index.js";
import { CurrentSums } from "../../src/reading/kirchhoff.js";
import { Playback } from "../../src/reading/playback.js";
import { evaluate } from "../../src/stepping/products.js";

const run = (text: string) => {
  const done = simulate(compile(text), { until: "10 us" });
  expect(done.reason).toBe("");
  return done;
};

const rails = "supply high = 12 V\nsupply low = -12 V";
const amplifier = (text: string) => `${rails}\n${text}`;

// Outputs that stand at zero between rails: what flows is the rails' own leakage, some 1e-11 A.
const still = {
  "a comparator of nothing":
    "amplifier x ground -> out high high, low low, bandwidth 2.73 MHz\nresistor r out -> ground 1.18 kohm",
  "a follower of nothing":
    "amplifier x ground -> out minus out, high high, low low, gain 30, bandwidth 2.48 MHz, slew 1.92 V/us\nresistor r out -> ground 490 ohm",
  "with a headroom and an output resistance":
    "amplifier x ground -> out high high, low low, bandwidth 202 kHz, output 14.3 kohm, headroom 5.32 V\nresistor r out -> ground 2.29 kohm",
  "two in a row":
    "amplifier x ground -> mid high high, low low, bandwidth 1 MHz\namplifier y mid -> out minus out, high high, low low, bandwidth 1 MHz\nresistor q mid -> ground 75 ohm\nresistor r out -> ground 33 ohm",
  "behind a limited supply":
    "supply third = 5 V, limit 1 A\namplifier x ground -> out high third, low low, gain 30, bandwidth 271 kHz\nresistor r out -> ground 89.8 ohm",
};

it.each(Object.entries(still))("no alarm: %s", (_, text) => {
  expect(balance(run(amplifier(text))).currentLaw).toBeLessThan(1e-9);
});

// The source holds rail2 at 0 V, so that 0.141 A flow through 1 Mohm: 141 kV on the capacitor. What flows at rail3 is nothing,
// the difference of two terms of 0.141 A whose coefficients have ten digits.
const lost = `capacitor c rail3 -> n3 10.2 pF
supply rail2 = 0.141 V, sinks 0 A, output 1 ohm
supply rail3 = 0.415 V, output 0.1 ohm
resistor leak n3 -> ground 1 Mohm
voltage x n3 -> rail2 0 V, follows n3`;

it("no alarm where coefficients have lost digits, by what these amount to", () => {
  expect(balance(run(lost)).currentLaw).toBeLessThan(1e-9);
});

/** The law over a run in which element `which` carries `by` of what it does, and so much more. */
function lacking(text: string, which: string, by: number, more: number): number {
  const { assembly, recording, design } = run(text);
  const playback = new Playback(assembly, recording);
  const sums = new CurrentSums(assembly.system.places);
  const { from, to } = recording.span();
  for (const stretch of recording.stretches(from, to)) {
    const moment = playback.at(stretch, stretch.from, 1);
    const { equations, x, u, du } = moment;
    const amps = new Float64Array(equations.currents.count);
    evaluate(equations.currents, x, u, du, amps);
    const changed = equations.elements.findIndex(({ part }) => design.parts[part].name === which);
    amps[changed] = by * amps[changed] + more;
    sums.add(moment, amps);
  }
  return sums.worst(2 ** -13);
}

describe("a lack is told", () => {
  const divider = "supply v = 12 V\nresistor top v -> out 1 kohm\nresistor foot out -> ground 2 kohm";
  it("none where nothing is changed", () => {
    expect(lacking(divider, "foot", 1, 0)).toBeLessThan(1e-12);
  });

  it.each([1e-9, 1e-6, 1e-3, 1])("of %d of a divider's current", (share) => {
    const told = lacking(divider, "foot", 1 - share, 0);
    expect(Math.abs(told / share - 1)).toBeLessThan(1e-3);
  });

  it.each([1e-8, 1e-6, 1e-3])("of %d of a current beside coefficients that have lost digits", (share) => {
    expect(Math.abs(lacking(lost, "leak", 1 - share, 0) / share - 1)).toBeLessThan(1e-1);
  });

  // 12 V have a rounding of 2e-15 V, which drives 2e-18 A through 1 kohm: a thousand times that is a lack.
  it.each(Object.entries(still))("of 1e-13 A at an output that stands at zero: %s", (_, text) => {
    expect(lacking(amplifier(text), "r", 1, 1e-13)).toBeGreaterThan(1e-4);
  });

  it("of a tenth of a leakage of 1e-11 A beside an output that stands at zero", () => {
    expect(
      lacking(
        amplifier(`${still["a follower of nothing"]}\nresistor leak high -> low 2.4 Tohm`),
        "leak",
        0.9,
        0,
      ),
    ).toBeGreaterThan(1e-2);
  });

  it("of 1e-15 A at a place that nothing ideal holds, beside an ideal supply", () => {
    expect(
      lacking(`${divider}\nresistor a v -> m 1 Gohm\nresistor b m -> ground 1 Gohm`, "b", 1, 1e-15),
    ).toBeGreaterThan(1e-8);
  });
});
