// Exact quantities: the number grammar, units, letter codes, and doubles that go in and out. What
// JavaScript's own Number() would take and we must not is listed; the rest are laws checked at random.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { unitOf } from "../../src/base/dimension.js";
import { commonDivisor, fromNumber, ratio, toNumber } from "../../src/base/fraction.js";
import {
  engineering,
  readLetterCode,
  readNumber,
  readQuantity,
  readUnit,
  si,
} from "../../src/base/quantity.js";

describe("numbers", () => {
  it.each([
    ["12", "12"],
    ["4.70", "47/10"],
    ["1e-9", "1/1000000000"],
    ["2.5E+3", "2500"],
    ["0", "0"],
    ["0.000", "0"],
    ["007", "7"],
    ["1e39", `1${"0".repeat(39)}`],
  ])("%s is %s", (text, value) => {
    const read = readNumber(text);
    expect(read.ok && read.value.toFraction()).toBe(value);
  });
  it.each([
    "",
    " ",
    ".",
    ".5",
    "5.",
    "+1",
    "-1",
    "0x10",
    "0b1",
    "1_000",
    "1e",
    "e5",
    "1e+",
    "Infinity",
    "NaN",
    "1,5",
    "1 2",
    "\u0663",
    "\uff11",
    "1e400",
    "1e-400",
    "9".repeat(61),
    "1n",
    "1e5.5",
  ])("%j is none", (text) => expect(readNumber(text).ok).toBe(false));

  it("a number with separators says what it may have meant, one that is none says nothing", () => {
    expect(readNumber("1_000")).toMatchObject({ ok: false, meant: "1000" });
    expect(readNumber("0x10")).not.toHaveProperty("meant");
  });
  it.each([
    ["1e-40", true],
    ["9.99e-41", false],
    ["0.1e-39", true],
    ["1e-41", false],
    ["1e40", true],
    [`1${"0".repeat(40)}`, true],
    ["10e39", true],
    ["1.000001e40", false],
    ["9.99e39", true],
    ["1e41", false],
    ["0e400", true],
    ["9".repeat(40), true],
    [`0.${"1".repeat(58)}`, true],
    [`0.${"1".repeat(59)}`, true],
    [`0.${"1".repeat(60)}`, false],
  ])("%s keeps within 1e-40 to 1e40 and 60 digits: %s", (text, good) => {
    const read = readNumber(text);
    expect(read.ok).toBe(good);
    if (!read.ok) expect(read.code).toBe("number-range");
  });

  it("a decimal is read as it is written, whatever its length", () => {
    fc.assert(
      fc.property(fc.bigInt({ min: 0n, max: 10n ** 18n }), fc.integer({ min: 0, max: 18 }), (n, places) => {
        const digits = n.toString().padStart(places + 1, "0");
        const text = places === 0 ? digits : `${digits.slice(0, -places)}.${digits.slice(-places)}`;
        const read = readNumber(text);
        expect(read.ok && read.value.equals(ratio(n, 10n ** BigInt(places)))).toBe(true);
      }),
    );
  });
});

describe("units (BIPM, SI Brochure, table 7; IEC 60062)", () => {
  it.each([
    ["mA", 1e-3],
    ["Mohm", 1e6],
    ["\u00b5F", 1e-6],
    ["\u03bcF", 1e-6],
    ["uF", 1e-6],
    ["k\u03a9", 1e3],
    ["k\u2126", 1e3],
    ["%", 0.01],
    ["GHz", 1e9],
    ["fs", 1e-15],
  ])("%s", (word, value) => expect(si(readUnit(word)!)).toBe(value));
  it.each(["m", "k", "MV/", "k%", "kdeg", "constructor", "__proto__", "", "v", "a", "OHM", "mm", "kg"])(
    "%j is none",
    (word) => {
      expect(readUnit(word)).toBeUndefined();
    },
  );
  it("letter codes", () => {
    for (const text of ["4K7", "R47", "15n", "6u8", "p47"]) expect(readLetterCode(text)).toBeDefined();
    for (const text of ["K", "47", "4K7K", "4k7", "4m7", "4K 7", "-4K7", "4.K7", ""])
      expect(readLetterCode(text)).toBeUndefined();
  });
});

describe("quantities", () => {
  it("a slope has two units", () => {
    const read = readQuantity("10 V/ms");
    expect(read.ok && [si(read.value), unitOf(read.value.dimension)]).toEqual([1e4, "V/s"]);
  });
});

describe("fractions and doubles", () => {
  it("a double goes in and out unchanged", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (x) => {
        expect(toNumber(fromNumber(x))).toBe(x === 0 ? 0 : x);
      }),
    );
  });
  it("a quotient is rounded to the nearest double, as IEEE 754 division does", () => {
    const whole = fc.integer({ min: 1, max: Number.MAX_SAFE_INTEGER });
    fc.assert(
      fc.property(whole, whole, (n, d) => {
        expect(toNumber(ratio(n, d))).toBe(n / d);
      }),
    );
    // Far beyond 53 bits: scaling both by one factor changes nothing.
    fc.assert(
      fc.property(whole, whole, fc.bigInt({ min: 1n, max: 10n ** 30n }), (n, d, k) => {
        expect(toNumber(ratio(BigInt(n) * k * 3n, BigInt(d) * k * 3n))).toBe(n / d);
      }),
    );
  });
  it("the common divisor goes into both a whole number of times", () => {
    const fraction = fc
      .tuple(fc.integer({ min: 1, max: 1e6 }), fc.integer({ min: 1, max: 1e6 }))
      .map(([n, d]) => ratio(n, d));
    fc.assert(
      fc.property(fraction, fraction, (a, b) => {
        const c = commonDivisor(a, b);
        expect([a.div(c).d, b.div(c).d]).toEqual([1n, 1n]);
        expect(a.div(c).gcd(b.div(c)).toFraction()).toBe("1");
      }),
    );
  });
});

describe("shown to people", () => {
  it.each([
    [3.95, "V", "3.95 V"],
    [15e-9, "F", "15 nF"],
    [-0.022, "V", "-22 mV"],
    [0.99996, "V", "1 V"],
    [0, "V", "0 V"],
    [4700, "Ω", "4.7 kΩ"],
    [0.0512, "%", "5.12 %"],
    [66666.7, "V/s", "66.67 kV/s"],
    [0.0002, "A/V", "200 µA/V"],
    [Number.NaN, "V", "none"],
    [15_625_001, "", "15625001"],
  ])("%s %s is %s", (value, unit, shown) => {
    expect(engineering(value, unit)).toBe(shown);
  });

  it.each(["5", undefined, null, 5n])("%s is no number, which a diagnostic says", (value) => {
    expect(() => engineering(value as unknown as number, "V")).toThrow(
      expect.objectContaining({ name: "DesignError" }),
    );
  });

  it("to sixteen figures too, where a division by 1e-9 is one rounding off", () => {
    expect(engineering(4.7e-9, "F", 16)).toBe("4.7 nF");
  });
});
