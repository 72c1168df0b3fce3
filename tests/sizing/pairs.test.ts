// Pairs of preferred values against a search of every pair there is, with the arithmetic of resistors in series and in
// parallel (textbook: R1 + R2, and R1 R2 / (R1 + R2)) and of capacitors, for which the two change places.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Fraction, ratio } from "../../src/base/fraction.js";
import { nearestPreferred, preferredBetween, type Series } from "../../src/base/series.js";
import { pairs } from "../../src/sizing/pairs.js";

// Every pair with both parts within two hundred times of the value, at most a hundred times apart.
function searched(value: Fraction, series: Series, join: (a: Fraction, b: Fraction) => Fraction) {
  const all = preferredBetween(value.div(220), value.mul(220), series);
  let least: Fraction | undefined;
  for (const a of all)
    for (const b of all) {
      if (b.gt(a) || a.gt(b.mul(100))) continue;
      const off = join(a, b).sub(value).abs();
      if (!least || off.lt(least)) least = off;
    }
  return least!;
}
const sum = (a: Fraction, b: Fraction) => a.add(b);
const joint = (a: Fraction, b: Fraction) => a.mul(b).div(a.add(b));

describe("pairs", () => {
  it("are the nearest of all pairs, where one is nearer than a single part", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1000, max: 9999 }),
        fc.constantFrom("E3" as const, "E6" as const, "E12" as const, "E24" as const),
        (n, series) => {
          const value = ratio(n, 1000);
          const single = nearestPreferred(value, series).sub(value).abs();
          const found = pairs(value, series, "series");
          for (const [wiring, join] of [["series", sum] as const, ["parallel", joint] as const]) {
            const least = searched(value, series, join);
            const pair = found.find((p) => p.wiring === wiring);
            if (least.gte(single)) {
              expect(pair).toBeUndefined();
              continue;
            }
            expect(pair!.together.sub(value).abs().toFraction()).toBe(least.toFraction());
            expect(join(...pair!.values).toFraction()).toBe(pair!.together.toFraction());
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it("of capacitors add in parallel", () => {
    const [parallel, series] = pairs(ratio(13, 1_000_000_000), "E12", "parallel");
    expect(parallel.wiring).toBe("parallel");
    expect(parallel.values.map((v) => v.mul(1e9).valueOf())).toEqual([12, 1]);
    expect(series.wiring).toBe("series");
    expect(joint(...series.values).toFraction()).toBe(series.together.toFraction());
  });
});
