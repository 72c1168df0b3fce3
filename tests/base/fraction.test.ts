// Exact rationals: into doubles and back, beyond 53 bits, against IEEE 754's rounding to nearest, ties to even, as the engine's
// own reading of decimals does it (ECMA-262: Number(text) is the double nearest to the decimal).
import { describe, expect, it } from "vitest";
import { alike, commonDivisor, fromNumber, one, ratio, toNumber, zero } from "../../src/base/fraction.js";

const two53 = 2n ** 53n;

describe("to the nearest double", () => {
  it.each<[string, bigint, bigint, number]>([
    ["zero", 0n, 7n, 0],
    ["minus a third", -1n, 3n, -1 / 3],
    ["the last whole number that is exact", two53 - 1n, 1n, 2 ** 53 - 1],
    ["a tie, to the even neighbour below", two53 + 1n, 1n, 2 ** 53],
    ["a tie, to the even neighbour above", two53 + 3n, 1n, 2 ** 53 + 4],
    [
      "next to a tie, by a bit beyond the sixty-fourth",
      (two53 + 1n) * 2n ** 80n + 1n,
      2n ** 80n,
      2 ** 53 + 2,
    ],
    ["below a tie, by as little", (two53 + 1n) * 2n ** 80n - 1n, 2n ** 80n, 2 ** 53],
    ["a negative one", -(two53 + 3n), 1n, -(2 ** 53 + 4)],
    ["very small", 1n, 10n ** 300n, 1e-300],
    ["very large", 10n ** 300n, 1n, 1e300],
    ["large by large", 10n ** 320n, 3n * 10n ** 300n, 1e20 / 3],
    ["small by little", 10n ** 20n, 10n ** 320n + 1n, 1e-300],
    ["the least double", 1n, 2n ** 1074n, Number.MIN_VALUE],
    ["less than half of it", 1n, 2n ** 1080n, 0],
    ["larger than all", 10n ** 400n, 1n, Number.POSITIVE_INFINITY],
  ])("%s", (_, n, d, due) => {
    expect(toNumber(ratio(n, d))).toBe(due);
  });

  it("is what reading the same decimal gives", () => {
    for (const text of ["0.1", "123456789.123456789", "9007199254740993.5", "0.30000000000000004", "1e23"]) {
      const [digits, e = "0"] = text.split("e");
      const [whole, decimals = ""] = digits.split(".");
      const exact = ratio(BigInt(whole + decimals) * 10n ** BigInt(e), 10n ** BigInt(decimals.length));
      expect(toNumber(exact)).toBe(Number(text));
    }
  });

  it("is rounded once, where one of the two alone is beyond 53 bits", () => {
    // Both divided as doubles would be a rounding off.
    expect(toNumber(ratio(1152921504606847001n, 10n ** 7n))).toBe(Number("1152921504606847001e-7"));
    expect(toNumber(ratio(7n, 10n ** 25n))).toBe(Number("7e-25"));
  });
});

describe("from a double", () => {
  it.each<[number, string]>([
    [0, "0"],
    [-3, "-3"],
    [0.75, "3/4"],
    [-0.375, "-3/8"],
    [2 ** 60, String(2n ** 60n)],
    [2 ** -60, `1/${2n ** 60n}`],
    [Number.MIN_VALUE, `1/${2n ** 1074n}`],
  ])("%d is exactly %s", (x, text) => {
    expect(`${fromNumber(x).s < 0n ? "-" : ""}${fromNumber(x).n}`).toBe(text.split("/")[0]);
    expect(String(fromNumber(x).d)).toBe(text.split("/")[1] ?? "1");
  });
  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])("%d is none", (x) => {
    expect(() => fromNumber(x)).toThrow(RangeError);
  });
});

describe("alike", () => {
  const half = ratio(1, 2);
  it.each<[string, Parameters<typeof alike>, boolean]>([
    ["itself", [half, half], true],
    ["the same in other terms", [half, ratio(2, 4)], true],
    ["another numerator", [ratio(1, 5), ratio(2, 5)], false],
    ["another denominator", [half, ratio(1, 3)], false],
    ["another sign", [half, ratio(-1, 2)], false],
    ["zero, whatever its sign", [zero, ratio(-0)], true],
    ["zero and another", [zero, one], false],
    ["none and none", [undefined, undefined], true],
    ["one and none", [half, undefined], false],
    ["none and one", [undefined, half], false],
  ])("%s", (_, [a, b], due) => {
    expect(alike(a, b)).toBe(due);
  });
});

describe("the greatest common divisor of rationals (gcd of the numerators over a common denominator)", () => {
  it.each<[string, ReturnType<typeof ratio>, ReturnType<typeof ratio>, string]>([
    ["of 64 µs and 20 ms: 32 µs", ratio(64, 1_000_000), ratio(20, 1000), "1/31250"],
    ["of 3/4 and 5/6", ratio(3, 4), ratio(5, 6), "1/12"],
    ["with zero in front: the other", zero, ratio(-2, 3), "2/3"],
    ["with zero behind: the other", ratio(-2, 3), zero, "2/3"],
    ["of negative ones: above zero", ratio(-1, 2), ratio(-1, 3), "1/6"],
  ])("%s", (_, a, b, due) => {
    expect(commonDivisor(a, b).toFraction()).toBe(due);
  });
});

it("what has only a numerator or only a divisor is no rational", () => {
  for (const half of [{ n: 1n }, { d: 1n }])
    expect(() => toNumber(half as unknown as Parameters<typeof toNumber>[0])).toThrow(/fraction/);
});

it("one and zero are", () => {
  expect([toNumber(one), toNumber(zero)]).toEqual([1, 0]);
});
