// Quantities as they are written and shown: every unit with every prefix (BIPM, SI Brochure, tables 4 and 7), the letter codes of
// IEC 60062, options of the API, and engineering notation, whose exponents are multiples of three.
import { describe, expect, it } from "vitest";
import { dimension, unitOf } from "../../src/base/dimension.js";
import { fromNumber, ratio } from "../../src/base/fraction.js";
import {
  asWritten,
  engineering,
  powerOfTen,
  product,
  quantity,
  quotient,
  readLetterCode,
  readNumber,
  readQuantity,
  readUnit,
  shortened,
  show,
  si,
  unitWords,
} from "../../src/base/quantity.js";

const prefixes = { f: 15, p: 12, n: 9, u: 6, "\u00b5": 6, "\u03bc": 6, m: 3, k: -3, M: -6, G: -9, T: -12 };
const units = {
  V: "V",
  A: "A",
  s: "s",
  Hz: "Hz",
  ohm: "Ω",
  "\u03a9": "Ω",
  "\u2126": "Ω",
  F: "F",
  H: "H",
  W: "W",
  J: "J",
  C: "C",
  K: "K",
};

describe("units", () => {
  it.each(Object.entries(units))("%s, alone and with every prefix", (word, unit) => {
    for (const [prefix, places] of [["", 0], ...Object.entries(prefixes)] as const) {
      const read = readUnit(prefix + word)!;
      expect(unitOf(read.dimension)).toBe(unit);
      // Exact: one, over or times so many noughts.
      const due = places > 0 ? `1/1${"0".repeat(places)}` : `1${"0".repeat(-places)}`;
      expect(read.value.toFraction()).toBe(due);
      expect(unitWords).toContain(prefix + word);
      // The same from a second reading.
      expect(readUnit(prefix + word)!.value.equals(read.value)).toBe(true);
    }
  });
  it.each([
    ["%", "1/100"],
    ["ppm", "1/1000000"],
    ["deg", "1/360"],
  ])("%s is %s of one and takes no prefix", (word, due) => {
    expect(readUnit(word)!.value.toFraction()).toBe(due);
    expect(unitOf(readUnit(word)!.dimension)).toBe("");
    expect(readUnit(`m${word}`)).toBeUndefined();
    expect(unitWords).toContain(word);
    expect(unitWords).not.toContain(`m${word}`);
  });
  it("ten to a whole power", () => {
    expect([-3, -1, 0, 1, 3].map((n) => powerOfTen(n).toFraction())).toEqual([
      "1/1000",
      "1/10",
      "1",
      "10",
      "1000",
    ]);
  });
});

describe("letter codes (IEC 60062)", () => {
  it.each([
    ["4K7", 4700, "Ω"],
    ["R47", 0.47, "Ω"],
    ["47R", 47, "Ω"],
    ["4R7", 4.7, "Ω"],
    ["1M5", 1.5e6, "Ω"],
    ["2G2", 2.2e9, "Ω"],
    ["L47", 0.47e-3, "Ω"],
    ["4L7", 4.7e-3, "Ω"],
    ["100K", 1e5, "Ω"],
    ["p47", 0.47e-12, "F"],
    ["47p", 47e-12, "F"],
    ["15n", 15e-9, "F"],
    ["6u8", 6.8e-6, "F"],
    ["6\u00b58", 6.8e-6, "F"],
    ["6\u03bc8", 6.8e-6, "F"],
  ])("%s", (text, value, unit) => {
    const read = readLetterCode(text)!;
    expect(si(read)).toBe(value);
    expect(unitOf(read.dimension)).toBe(unit);
  });
  it("has digits on one side at least, sixty at most", () => {
    for (const text of ["R", "n", "-1R", "1R-"]) expect(readLetterCode(text)).toBeUndefined();
    const digits = (n: number) => "1".repeat(n);
    expect(readLetterCode(`${digits(30)}R${digits(29)}`)).toBeDefined();
    expect(readLetterCode(`${digits(30)}R${digits(30)}`)).toBeDefined();
    expect(readLetterCode(`${digits(30)}R${digits(31)}`)).toBeUndefined();
  });
});

describe("numbers at their limits", () => {
  const code = (text: string) => {
    const read = readNumber(text);
    return read.ok ? "" : read.code;
  };
  it.each<[string, string]>([
    // Digits: 59, 60, 61.
    [`0.${"1".repeat(58)}`, ""],
    [`0.${"1".repeat(59)}`, ""],
    [`0.${"1".repeat(60)}`, "number-range"],
    // The exponent by itself, of a zero: 399, 400, 401.
    ["0e399", ""],
    ["0e400", ""],
    ["0e401", "number-range"],
    ["0e-400", ""],
    ["0e-401", "number-range"],
    // Decades of other numbers.
    ["1e39", ""],
    ["9e39", ""],
    ["1e41", "number-range"],
    ["1e-39", ""],
    ["1e-40", ""],
    ["1e-42", "number-range"],
    ["x", "number-malformed"],
    ["", "number-malformed"],
  ])("%s: %s", (text, due) => {
    expect(code(text)).toBe(due);
  });
  it.each<[string, RegExp, RegExp]>([
    ["0x10", /not a decimal number/, /decimal/],
    ["0B1", /not a decimal number/, /decimal/],
    ["1_000", /digit separator/, /without '_'/],
    ["\u0663", /another script/, /0 to 9/],
    ["1\uff11", /another script/, /0 to 9/],
    ["1,5", /is not a number/, /4\.7/],
    ["é", /is not a number/, /4\.7/],
    ["1e", /is not a number/, /4\.7/],
  ])("%s: why, and what to do", (text, message, hint) => {
    const read = readNumber(text);
    if (read.ok) throw new Error("it was read");
    expect(read.message).toMatch(message);
    expect(read.hint).toMatch(hint);
  });
  it("long texts are shown by their first 24 characters", () => {
    expect(shortened("x".repeat(24))).toBe("x".repeat(24));
    expect(shortened("x".repeat(25))).toBe(`${"x".repeat(24)}…`);
    expect(shortened("")).toBe("");
  });
});

describe("quantities as text", () => {
  it.each<[string, string, string]>([
    ["5 ms", "1/200", "s"],
    ["-0.3V", "-3/10", "V"],
    ["+ 2 kohm", "2000", "Ω"],
    ["  4.7e-6 s ", "47/10000000", "s"],
    ["12", "12", ""],
    ["10 V/ms", "10000", "V/s"],
    ["6 A / s", "6", "A/s"],
    ["1 A/V", "1", "A/V"],
    ["50 %", "1/2", ""],
    ["2 ppm/K", "1/500000", "1/K"],
  ])("%j is %s %s", (text, value, unit) => {
    const read = readQuantity(text);
    if (!read.ok) throw new Error(read.message);
    expect(read.value.value.toFraction()).toBe(value);
    expect(unitOf(read.value.dimension)).toBe(unit);
  });
  it.each<[string, string]>([
    ["", "quantity-malformed"],
    ["V", "quantity-malformed"],
    ["5 m s", "quantity-malformed"],
    ["5 V/", "quantity-malformed"],
    ["--5 V", "quantity-malformed"],
    ["5 parsec", "unknown-unit"],
    ["5 V/parsec", "unknown-unit"],
    ["5.5.5 V", "number-malformed"],
    ["1e99 V", "number-range"],
  ])("%j is none: %s", (text, due) => {
    const read = readQuantity(text);
    expect(read.ok ? "" : read.code).toBe(due);
  });
  it("products and quotients go with their units: 2 V of 4 ohm are 0.5 A, and 1 W", () => {
    const volts = quantity(ratio(2), dimension.voltage);
    const current = quotient(volts, quantity(ratio(4), dimension.resistance));
    expect([si(current), unitOf(current.dimension)]).toEqual([0.5, "A"]);
    const power = product(volts, current);
    expect([si(power), unitOf(power.dimension)]).toEqual([1, "W"]);
  });
  it("a double counts as the decimal that it is written as", () => {
    expect(asWritten(0.005).toFraction()).toBe("1/200");
    expect(asWritten(-0.1).toFraction()).toBe("-1/10");
    expect(asWritten(0).toFraction()).toBe("0");
    // No quantity has such a size: then the double itself, exactly.
    expect(asWritten(-(2 ** 200)).equals(fromNumber(-(2 ** 200)))).toBe(true);
  });
});

describe("engineering notation", () => {
  it.each<[number, string, number | undefined, string]>([
    [1e-18, "V", undefined, "1 aV"],
    [1e-15, "V", undefined, "1 fV"],
    [1e-12, "F", undefined, "1 pF"],
    [1e-9, "s", undefined, "1 ns"],
    [1e-6, "A", undefined, "1 µA"],
    [1e-3, "W", undefined, "1 mW"],
    [1, "J", undefined, "1 J"],
    [1e3, "Hz", undefined, "1 kHz"],
    [1e6, "Ω", undefined, "1 MΩ"],
    [1e9, "Ω", undefined, "1 GΩ"],
    [1e12, "Ω", undefined, "1 TΩ"],
    // Both ends of the prefixes.
    [1e-20, "V", undefined, "0.01 aV"],
    [2.5e15, "V", undefined, "2500 TV"],
    [999, "V", undefined, "999 V"],
    [999.94, "V", undefined, "999.9 V"],
    [999.96, "V", undefined, "1 kV"],
    [0.001, "V", undefined, "1 mV"],
    [-1234.5, "V", 3, "-1.23 kV"],
    [123456, "V", 6, "123.456 kV"],
    [100, "V", undefined, "100 V"],
    [1.5, "V/s", undefined, "1.5 V/s"],
    // Other units have no prefix: a square of millivolts is no milli of a square.
    [2.5e-3, "V²", undefined, "0.0025 V²"],
    [0.5, "1/K", undefined, "0.5 1/K"],
    [1234.56, "", undefined, "1235"],
    [0, "", undefined, "0"],
    [0, "A", undefined, "0 A"],
    [1e7, "", undefined, "10000000"],
    [1e-9, "", undefined, "1e-9"],
    [0.5, "%", undefined, "50 %"],
    [-0.0123456, "%", 3, "-1.23 %"],
    [0, "%", undefined, "0 %"],
    [Number.NaN, "%", undefined, "none"],
    [Number.POSITIVE_INFINITY, "V", undefined, "no bound"],
    [Number.NEGATIVE_INFINITY, "V", undefined, "no lower bound"],
  ])("%d %s in %s figures: %s", (value, unit, figures, shown) => {
    expect(engineering(value, unit, figures)).toBe(shown);
  });
  it("a quantity has its own unit and six figures", () => {
    expect(show(quantity(ratio(1_234_567, 100), dimension.voltage))).toBe("12.3457 kV");
  });
});
