// IEC 60062 letter codes and exact quantities through the language. The letter stands for the decimal point and gives
// the multiplier: R, K, M for ohms, p, n, µ for farads (IEC 60062); u and both code points of µ are a leniency of the
// language. Values are compared as exact fractions, never as doubles.
import { describe, expect, it } from "vitest";
import { compile, type Design, inspect } from "../../src/index.js";

const part = (design: Design, name: string) => design.parts.find((p) => p.name === name)!.value!;

const withResistor = (code: string) => `supply rail = 1 V\nresistor r rail -> ground ${code}`;
const withCapacitor = (code: string) => `supply rail = 1 V\ncapacitor r rail -> ground ${code}`;

describe("IEC 60062", () => {
  it.each([
    ["R47", "47/100"],
    ["4R7", "47/10"],
    ["470R", "470"],
    ["4K7", "4700"],
    ["47K", "47000"],
    ["1M5", "1500000"],
    ["2G2", "2200000000"],
    ["4L7", "47/10000"],
  ])("resistor %s", (code, ohms) => {
    expect(part(compile(withResistor(code)), "r").value.toFraction()).toBe(ohms);
  });
  it.each([
    ["p47", "47/100000000000000"],
    ["4p7", "47/10000000000000"],
    ["15n", "3/200000000"],
    ["22n", "11/500000000"],
    ["6u8", "17/2500000"],
    ["6\u00b58", "17/2500000"],
    ["6\u03bc8", "17/2500000"],
    ["470u", "47/100000"],
  ])("capacitor %s", (code, farads) => {
    expect(part(compile(withCapacitor(code)), "r").value.toFraction()).toBe(farads);
  });
  it("with a tolerance behind it", () => {
    const { low, high, value } = part(compile(withCapacitor("15n +- 5 %")), "r");
    expect([low, value, high].map((f) => f.toFraction())).toEqual([
      "57/4000000000",
      "3/200000000",
      "63/4000000000",
    ]);
    const bulk = part(compile(withCapacitor("6u8 -20 % / +80 %")), "r");
    expect([bulk.low, bulk.high].map((f) => f.toFraction())).toEqual(["17/3125000", "153/12500000"]);
  });
  it("a resistor's letter is no capacitor's, and m is none at all", () => {
    const codes = (text: string) => inspect(text).diagnostics.map((d) => d.code);
    expect(codes(withCapacitor("4K7"))).toEqual(["wrong-dimension"]);
    expect(codes(withResistor("15n"))).toEqual(["wrong-dimension"]);
    expect(codes(withResistor("4m7")).length).toBe(1);
  });
  it("a name that looks like a code is a code only where no value has it", () => {
    expect(part(compile(`given R47 = 5 ohm\n${withResistor("R47")}`), "r").value.toFraction()).toBe("5");
  });
});

describe("quantities are exact", () => {
  it.each([
    ["0.1 V + 0.2 V", "3/10"],
    ["1 V / 3 * 3", "1"],
    ["64 us / 12 * (1 V / 1 us)", "16/3"],
    ["4.7 kohm * 1 mA", "47/10"],
    ["1e-9 F * 5 V / 1 nF", "5"],
    ["63.5555 us * 1 V / 1 s", "127111/2000000000"],
    ["10 V/ms * 2 ms", "20"],
    ["572 us / 9 * (2250000 Hz / 143) * 1 V", "1"],
  ])("%s", (expression, volts) => {
    expect(
      part(
        compile(`supply rail = ${expression}\nresistor r rail -> ground 1 ohm`),
        "rail",
      ).value.toFraction(),
    ).toBe(volts);
  });
  it("SI prefixes (BIPM, SI Brochure, table 7): M is mega, m is milli", () => {
    const ohms = (unit: string) => part(compile(withResistor(`1 ${unit}`)), "r").value.toFraction();
    expect(["fohm", "pohm", "nohm", "uohm", "mohm", "ohm", "kohm", "Mohm", "Gohm", "Tohm"].map(ohms)).toEqual(
      [
        "1/1000000000000000",
        "1/1000000000000",
        "1/1000000000",
        "1/1000000",
        "1/1000",
        "1",
        "1000",
        "1000000",
        "1000000000",
        "1000000000000",
      ],
    );
    expect(["\u00b5\u03a9", "\u03bc\u2126"].map(ohms)).toEqual(["1/1000000", "1/1000000"]);
  });
});
