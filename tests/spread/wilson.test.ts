// Wilson's interval against its published definition (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927: the ends are where the
// counted share is z standard deviations of the true one away) and the worked examples of R. G. Newcombe, Statistics in
// Medicine 17, 1998, table I, method 3. Quantiles against definition 7 of R. J. Hyndman & Y. Fan, Am. Statistician 50(4), 1996.
import { describe, expect, it } from "vitest";
import { moments, quantiles } from "../../src/spread/quantiles.js";
import { wilson } from "../../src/spread/wilson.js";

describe("wilson", () => {
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])("%i of %i as published", (count, of, low, high) => {
    const found = wilson(count, of);
    expect(found.low).toBeCloseTo(low, 4);
    expect(found.high).toBeCloseTo(high, 4);
    expect([found.count, found.of, found.share]).toEqual([count, of, count / of]);
  });

  it.each([
    [3, 7],
    [500, 1000],
    [999_999, 1_000_000],
  ])("%i of %i: both ends solve the defining equation", (count, of) => {
    const z = 1.959963984540054;
    const { low, high, share } = wilson(count, of);
    for (const p of [low, high])
      expect(Math.abs(share - p) / Math.sqrt((p * (1 - p)) / of)).toBeCloseTo(z, 6);
    expect(low).toBeLessThan(share);
    expect(high).toBeGreaterThan(share);
  });

  it("all, none, and no trial at all", () => {
    const z2 = 1.959963984540054 ** 2;
    expect(wilson(10, 10).high).toBe(1);
    expect(wilson(10, 10).low).toBeCloseTo(10 / (10 + z2), 12);
    expect(wilson(0, 10).high).toBeCloseTo(z2 / (10 + z2), 12);
    expect(wilson(0, 0)).toEqual({ count: 0, of: 0, share: Number.NaN, low: 0, high: 1 });
    expect(wilson(5, 10, 0.99).low).toBeLessThan(wilson(5, 10).low);
  });
});

describe("quantiles and moments", () => {
  it("interpolate between the sorted values", () => {
    // (n − 1) p + 1 is the place: of five values 0.1 stands at 1.4.
    const at = (share: number) => quantiles([5, 1, 4, 2, 3], [share])[0].value;
    expect([at(0), at(0.1), at(0.25), at(0.5), at(0.9), at(1)].map((v) => Number(v.toFixed(12)))).toEqual([
      1, 1.4, 2, 3, 4.6, 5,
    ]);
  });

  it("leave out what is missing", () => {
    expect(quantiles([Number.NaN, 2, Number.NaN, 4], [0.5])).toEqual([{ share: 0.5, value: 3 }]);
    expect(quantiles([Number.NaN], [0.5])[0].value).toBeNaN();
    // The sample of W. S. Gosset's kind: mean 5, squares of the deviations 32 over n − 1 = 7.
    const { mean, deviation } = moments([2, 4, 4, 4, 5, 5, 7, 9, Number.NaN]);
    expect([mean, deviation]).toEqual([5, Math.sqrt(32 / 7)]);
    expect(moments([]).mean).toBeNaN();
    expect(moments([1]).deviation).toBeNaN();
  });
});
