// Values with units, dimensions and tolerances, and names of values. All arithmetic is exact, so results are compared
// as fractions; the rules are those of the language reference.
import { describe, expect, it } from "vitest";
import { compile, inspect } from "../../src/index.js";
import { errors } from "../bad/designs.js";

// `given x = ...` in a sound circuit whose supply is x.
const rail = (x: string, more = "") =>
  `given x = ${x}\n${more}\nsupply p = x\nresistor r p -> ground 1 kohm\n`;
const amount = (text: string, name = "p") => {
  const { value, low, high } = compile(text).parts.find((p) => p.name === name)!.value!;
  return [low, value, high].map((f) => f.toFraction());
};

describe("dimensions", () => {
  it.each([
    ["1 mA * 5 kohm", "5"],
    ["10 V / (2 ohm) * 1 ohm", "5"],
    ["1 C / 1 F", "1"],
    ["2 W / 1 A", "2"],
    ["1 A * 1 H / 1 s", "1"],
    ["3 J / 1 C", "3"],
    ["1 A / (1 F * 1 Hz)", "1"],
    ["1 mA / 10 nF * 52.6 us", "263/50"],
    ["12 V - 0.9 V", "111/10"],
    ["50 % * 12 V", "6"],
    ["-(-3 V)", "3"],
  ])("%s is a voltage", (expression, volts) => {
    expect(amount(rail(expression))[1]).toBe(volts);
  });
  it.each([
    ["1 mA", "a current"],
    ["1 V * 1 V", ""],
    ["5", "a plain number"],
    ["1 V/ms", "a voltage"],
  ])("%s is none", (expression, name) => {
    expect(errors(rail(expression))).toEqual(["3:12 wrong-dimension"]);
    expect(inspect(rail(expression)).diagnostics[0].message).toContain(name);
  });
  it.each([["1 V + 1 A"], ["1 V - 1"], ["1 s + 1 Hz"]])("%s cannot be", (expression) => {
    expect(errors(rail(expression))).toEqual(["1:11 wrong-dimension"]);
  });
  it("a divisor of zero", () => {
    expect(errors(rail("1 V / (2 - 2)"))).toEqual(["1:18 division-by-zero"]);
  });
});

describe("tolerances", () => {
  it("in per cent, in the unit of the value, and to two sides", () => {
    expect(amount(rail("10 V +- 5 %"))).toEqual(["19/2", "10", "21/2"]);
    expect(amount(rail("10 V ± 20 mV"))).toEqual(["499/50", "10", "501/50"]);
    expect(amount(rail("10 V -20 % / +80 %"))).toEqual(["8", "10", "18"]);
    expect(amount(rail("-10 V +- 10 %"))).toEqual(["-11", "-10", "-9"]);
  });
  it("a lone name hands its own on, arithmetic does not, and one of its own replaces it", () => {
    const text = (supply: string) =>
      `given x = 10 V +- 5 %\nsupply p = ${supply}\nresistor r p -> ground 1 kohm`;
    expect(amount(text("x"))).toEqual(["19/2", "10", "21/2"]);
    expect(amount(text("x * 1"))).toEqual(["10", "10", "10"]);
    expect(amount(text("x +- 1 %"))).toEqual(["99/10", "10", "101/10"]);
  });
  it("of another dimension, below zero, above all of the value, or down to nothing", () => {
    expect(errors(rail("10 V +- 1 mA"))).toEqual(["1:19 wrong-dimension"]);
    expect(errors(rail("10 V +- (-5 %)"))).toEqual(["1:20 tolerance-range"]);
    expect(errors(rail("10 V +- 150 %"))).toEqual(["1:19 tolerance-range"]);
    expect(
      errors("supply p = 1 V\nresistor r p -> ground 1 kohm +- 100 %").map((e) => e.split(" ")[1]),
    ).toEqual(["tolerance-range"]);
    expect(
      errors("supply p = 1 V\nresistor r p -> ground 1 kohm +- 2 kohm").map((e) => e.split(" ")[1]),
    ).toEqual(["tolerance-range"]);
  });
});

describe("named values", () => {
  it("may stand in any order", () => {
    expect(amount(rail("y * 2", "given y = 3 V"))[1]).toBe("6");
  });
  it("a circle is told with its path, once", () => {
    const text = rail("y * 2", "given y = z - 1 V\ngiven z = x");
    expect(errors(text).map((e) => e.split(" ")[1])).toEqual(["circular-value"]);
    expect(inspect(text).diagnostics[0].message).toContain("x → y → z → x");
    expect(errors(rail("x")).map((e) => e.split(" ")[1])).toEqual(["circular-value"]);
  });
  it("that is wrong is told though nothing uses it", () => {
    expect(errors(`${rail("5 V")}given unused = 1 V + 1 A`)).toEqual(["5:16 wrong-dimension"]);
  });
});
