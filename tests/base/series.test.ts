// Preferred values against the tables of IEC 60063 (Preferred number series for resistors and capacitors), and against
// what the standard says of them: nesting, the rule 10^(i/N), and the values that depart from it.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { DesignError } from "../../src/base/diagnostic.js";
import { ratio, toNumber } from "../../src/base/fraction.js";
import {
  decade,
  nearestPreferred,
  neighbours,
  preferred,
  preferredBetween,
  readSeries,
  type Series,
  seriesNames,
} from "../../src/base/series.js";

const figures = (series: Series) => decade(series).map(toNumber);

describe("the series, IEC 60063", () => {
  it("E3, E6, E12 and E24 are the published tables", () => {
    expect(
      figures("E24")
        .map((v) => v.toFixed(1))
        .join(" "),
    ).toBe("1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1");
    expect(figures("E12")).toEqual([1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2]);
    expect(figures("E6")).toEqual([1, 1.5, 2.2, 3.3, 4.7, 6.8]);
    expect(figures("E3")).toEqual([1, 2.2, 4.7]);
  });

  it("E48 is the published table", () => {
    expect(
      figures("E48")
        .map((v) => v.toFixed(2))
        .join(" "),
    ).toBe(
      "1.00 1.05 1.10 1.15 1.21 1.27 1.33 1.40 1.47 1.54 1.62 1.69 1.78 1.87 1.96 2.05 2.15 2.26 2.37 2.49 2.61 " +
        "2.74 2.87 3.01 3.16 3.32 3.48 3.65 3.83 4.02 4.22 4.42 4.64 4.87 5.11 5.36 5.62 5.90 6.19 6.49 6.81 7.15 " +
        "7.50 7.87 8.25 8.66 9.09 9.53",
    );
  });

  it("every member is 10^(i/N) rounded, but for the known departures", () => {
    const found: string[] = [];
    for (const series of ["E24", "E48", "E96", "E192"] as const) {
      const n = Number(series.slice(1));
      const places = n > 24 ? 2 : 1;
      decade(series).forEach((value, i) => {
        const rule = (10 ** (i / n)).toFixed(places);
        const table = toNumber(value).toFixed(places);
        if (rule !== table) found.push(`${series} ${rule} ${table}`);
      });
    }
    expect(found).toEqual([
      "E24 2.6 2.7",
      "E24 2.9 3.0",
      "E24 3.2 3.3",
      "E24 3.5 3.6",
      "E24 3.8 3.9",
      "E24 4.2 4.3",
      "E24 4.6 4.7",
      "E24 8.3 8.2",
      "E192 9.19 9.20",
    ]);
  });

  it("is nested, rises, and has as many members as its name says", () => {
    for (const series of seriesNames) {
      const list = figures(series);
      expect(list).toHaveLength(Number(series.slice(1)));
      expect([...list].sort((a, b) => a - b)).toEqual(list);
      expect(new Set(list).size).toBe(list.length);
    }
    const every = (of: Series, n: number) => figures(of).filter((_, i) => i % n === 0);
    expect(figures("E12")).toEqual(every("E24", 2));
    expect(figures("E6")).toEqual(every("E12", 2));
    expect(figures("E3")).toEqual(every("E6", 2));
    expect(figures("E96")).toEqual(every("E192", 2));
    expect(figures("E48")).toEqual(every("E96", 2));
  });

  it("knows its names and no others", () => {
    expect(seriesNames.map(readSeries)).toEqual(seriesNames);
    for (const word of ["E1", "E13", "e12", "E 12", "E24 ", "constructor"])
      expect(readSeries(word)).toBeUndefined();
  });
});

describe("neighbours", () => {
  it("of values between, at and around members and decades", () => {
    const both = (n: number, d: number, series: Series) => {
      const { below, above } = neighbours(ratio(n, d), series);
      return [below.toFraction(), above.toFraction()];
    };
    // 12.67 nF lies between 12 and 15 nF of E12, 9.5 between 9.1 and 10 of E24.
    expect(both(1267, 100, "E12")).toEqual(["12", "15"]);
    expect(both(95, 10, "E24")).toEqual(["91/10", "10"]);
    expect(both(47, 1_000_000, "E24")).toEqual(["47/1000000", "47/1000000"]);
    expect(both(1, 10_000_000_000, "E3")).toEqual(["1/10000000000", "1/10000000000"]);
    expect(both(999_999, 1_000_000, "E192")).toEqual(["247/250", "1"]);
  });

  it("hold the value between them, with no member in the gap", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 10 ** 9 }),
        fc.integer({ min: 1, max: 10 ** 9 }),
        fc.constantFrom(...seriesNames),
        (n, d, series) => {
          const value = ratio(n, d);
          const { below, above } = neighbours(value, series);
          expect(below.lte(value) && above.gte(value)).toBe(true);
          const between = preferredBetween(below, above, series).map((v) => v.toFraction());
          expect(between).toEqual([...new Set([below.toFraction(), above.toFraction()])]);
          const nearest = nearestPreferred(value, series).sub(value).abs();
          expect(nearest.lte(above.sub(value)) && nearest.lte(value.sub(below))).toBe(true);
        },
      ),
    );
  });

  it("are refused for what is not above zero", () => {
    for (const value of [ratio(0), ratio(-1)]) expect(() => neighbours(value, "E12")).toThrow(RangeError);
  });
});

describe("preferred, from outside", () => {
  // IEC 60063, E24: 16, 18, 20; E96: 169, 174, 178.
  it.each<[Parameters<typeof preferred>, number]>([
    [["17.2 nF", "E24"], 18e-9],
    [[17.2e-9, "E24"], 18e-9],
    [["17.2 nF", "E24", "below"], 16e-9],
    [["17.2 kohm", "E96", "above"], 17.4e3],
    [["18 nF", "E24", "above"], 18e-9],
    [["9.9 ohm", "E12"], 10],
  ])("%j", (given, value) => {
    expect(preferred(...given)).toBe(value);
  });

  it.each<[unknown[], RegExp]>([
    [["0 nF", "E24"], /above zero/],
    [["-1 nF", "E24"], /above zero/],
    [["1 nF", "E25"], /there is no 'E25'/],
    [["1 nF", "E24", "under"], /there is no 'under'/],
    [["much", "E24"], /value: /],
    [[null, "E24"], /neither a number nor a text/],
    [[Number.NaN, "E24"], /neither a number nor a text/],
    [[Number.POSITIVE_INFINITY, "E24"], /neither a number nor a text/],
  ])("%j is refused", (given, message) => {
    const call = () => preferred(...(given as Parameters<typeof preferred>));
    expect(call).toThrow(message);
    // A mistake of the caller's is a diagnostic, not a RangeError from within.
    expect(call).toThrow(DesignError);
  });
});

it("of two that are equally near it is the lower one, and a rational is taken as it stands", () => {
  // (1 + 2.2) / 2 and (8.2 + 10) / 2 lie in the middle.
  expect(toNumber(nearestPreferred(ratio(8, 5), "E3"))).toBe(1);
  expect(toNumber(nearestPreferred(ratio(91, 10), "E12"))).toBe(8.2);
  expect(preferred(ratio(17, 10), "E3")).toBe(2.2);
});
