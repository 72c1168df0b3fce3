// The voltage and the power of a part that hardly has any, at a place high above ground: 1 µohm in series with 1 Gohm at up to
// 1000 V, by Ohm's law. As a difference of two places nothing would be left of it: doubles near 1000 V are 1e-13 V apart.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate, stress } from "../../src/index.js";
import { off } from "../facts/running.js";

describe.each([1000, 325, 5])("at %d V", (volts) => {
  const amperes = volts / (1e9 + 1e-6);
  it.each([
    ["a resistor", "resistor small top -> out 1 uohm"],
    ["a resistor the other way", "resistor small out -> top 1 uohm", -1],
    ["a switch", "switch small top -> out closed after 0 s, on 1 uohm"],
  ])("%s", (_, part, way = 1) => {
    const run = simulate(
      compile(`supply top = ${volts} V\n${part}\nresistor load out -> ground 1 Gohm\nrun for 1 ms`),
    );
    const found = (words: string) => measure(run, words).value;
    expect(off(found("mean of small.voltage"), way * amperes * 1e-6)).toBeLessThan(1e-12);
    expect(off(found("mean power of small"), amperes * amperes * 1e-6)).toBeLessThan(1e-12);
    expect(off(found("energy of small"), amperes * amperes * 1e-9)).toBeLessThan(1e-12);
    const small = stress(run).parts.find((p) => p.part === "small")!;
    expect(off(small.power.peak.value, amperes * amperes * 1e-6)).toBeLessThan(1e-12);
    expect(off(small.voltage.peak.value, amperes * 1e-6)).toBeLessThan(1e-12);
  });
});
