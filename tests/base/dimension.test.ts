// Dimensions against the SI Brochure (BIPM, 9th edition, table 4: the derived units in terms of others): W = V A, Ω = V/A,
// F = C/V, H = Wb/A = V s/A, C = A s, J = W s, Hz = 1/s.
import { describe, expect, it } from "vitest";
import {
  combine,
  type Dimension,
  dimension,
  nameOf,
  sameDimension,
  unitOf,
} from "../../src/base/dimension.js";

const none: Dimension = { volt: 0, ampere: 0, second: 0, kelvin: 0 };
const { voltage: V, current: A, time: s, temperature: K, number } = dimension;

describe("the dimensions", () => {
  it("of the four units are one of their own each", () => {
    expect(V).toEqual({ ...none, volt: 1 });
    expect(A).toEqual({ ...none, ampere: 1 });
    expect(s).toEqual({ ...none, second: 1 });
    expect(K).toEqual({ ...none, kelvin: 1 });
    expect(number).toEqual(none);
  });

  it.each<[string, Dimension, Dimension]>([
    ["Hz is 1/s", dimension.frequency, combine(number, s, -1)],
    ["Ω is V/A", dimension.resistance, combine(V, A, -1)],
    ["C is A s", dimension.charge, combine(A, s)],
    ["F is C/V", dimension.capacitance, combine(combine(A, s), V, -1)],
    ["H is V s/A", dimension.inductance, combine(combine(V, s), A, -1)],
    ["W is V A", dimension.power, combine(V, A)],
    ["J is W s", dimension.energy, combine(combine(V, A), s)],
  ])("%s", (_, found, due) => {
    expect(found).toEqual(due);
    expect(sameDimension(found, due)).toBe(true);
  });

  it("are the same where all four exponents are", () => {
    for (const unit of ["volt", "ampere", "second", "kelvin"] as const)
      expect(sameDimension(none, { ...none, [unit]: 1 })).toBe(false);
  });

  it("of a product have the sums of the exponents, of a quotient the differences", () => {
    const a = { volt: 1, ampere: 2, second: 3, kelvin: 4 };
    const b = { volt: 10, ampere: 20, second: 30, kelvin: 40 };
    expect(combine(a, b)).toEqual({ volt: 11, ampere: 22, second: 33, kelvin: 44 });
    expect(combine(a, b, -1)).toEqual({ volt: -9, ampere: -18, second: -27, kelvin: -36 });
  });
});

describe("in words", () => {
  const of = (volt: number, ampere: number, second: number, kelvin = 0) => ({
    volt,
    ampere,
    second,
    kelvin,
  });
  it.each<[Dimension, string, string]>([
    [number, "", "a plain number"],
    [V, "V", "a voltage"],
    [A, "A", "a current"],
    [s, "s", "a time"],
    [dimension.frequency, "Hz", "a frequency"],
    [dimension.resistance, "Ω", "a resistance"],
    [dimension.capacitance, "F", "a capacitance"],
    [dimension.inductance, "H", "an inductance"],
    [dimension.power, "W", "a power"],
    [dimension.energy, "J", "an energy"],
    [dimension.charge, "C", "a charge"],
    [K, "K", "a difference in temperature"],
    [of(0, 0, 0, -1), "1/K", "a share a kelvin"],
    [of(-1, 1, 0), "A/V", "a transconductance"],
    [of(1, 0, -1), "V/s", "a slope in volts a second"],
    [of(0, 1, -1), "A/s", "a slope in amperes a second"],
    [of(2, 0, 0), "V²", "a squared voltage"],
    [of(0, 2, 0), "A²", "a squared current"],
    // What drifts: any of these a kelvin.
    [of(1, 0, 0, -1), "V/K", "a voltage a kelvin"],
    [of(1, -1, 0, -1), "Ω/K", "a resistance a kelvin"],
    // Everything else: the units with their exponents (SI Brochure, 5.4.6: a raised dot, negative exponents).
    [of(1, 0, -2), "V·s⁻²", "a quantity in V·s⁻²"],
    [of(3, 1, 0), "V³·A", "a quantity in V³·A"],
    [of(0, 0, 2), "s²", "a quantity in s²"],
    [of(1, 0, 0, 1), "V·K", "a quantity in V·K"],
    [of(0, 0, 0, -2), "K⁻²", "a quantity in K⁻²"],
    [of(0, 0, -10), "s⁻¹⁰", "a quantity in s⁻¹⁰"],
    [of(4, 5, 6, 7), "V⁴·A⁵·s⁶·K⁷", "a quantity in V⁴·A⁵·s⁶·K⁷"],
    [of(0, 8, 9), "A⁸·s⁹", "a quantity in A⁸·s⁹"],
    [of(0, 0, -2, -1), "s⁻²·K⁻¹", "a quantity in s⁻²·K⁻¹"],
  ])("%j is %s, %s", (found, unit, name) => {
    expect(unitOf(found)).toBe(unit);
    expect(nameOf(found)).toBe(name);
  });
});
