// Distributions over a tolerance against their exact shares: even, normal cut at three standard deviations (Abramowitz &
// Stegun 26.2: 0.682689492137 lie within one, 0.954499736104 within two, 0.997300203937 within three), and sorted.
import { describe, expect, it } from "vitest";
import { type Distribution, drawnPlace } from "../../src/spread/distribution.js";

const n = 20_001;
/** Places of evenly spaced chances: their shares are those of the distribution, to 1/n. */
const places = (of: Distribution) => Array.from({ length: n }, (_, i) => drawnPlace((i + 0.5) / n, of));
const within = (all: number[], from: number, to: number) =>
  all.filter((p) => p >= from && p <= to).length / all.length;

describe("placeOf", () => {
  it("uniform: the chance itself", () => {
    for (const u of [1e-16, 0.25, 0.5, 1 - 1e-16]) expect(drawnPlace(u, { shape: "uniform" })).toBe(u);
  });

  it("normal: a third of the tolerance is a standard deviation, nothing beyond", () => {
    const all = places({ shape: "normal" });
    expect(Math.min(...all)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...all)).toBeLessThanOrEqual(1);
    expect(within(all, 1 / 3, 2 / 3)).toBeCloseTo(0.682689492137 / 0.997300203937, 4);
    expect(within(all, 1 / 6, 5 / 6)).toBeCloseTo(0.954499736104 / 0.997300203937, 4);
    expect(drawnPlace(0.5, { shape: "normal" })).toBe(0.5);
    // As far above the middle as below.
    for (const u of [0.001, 0.1, 0.4])
      expect(drawnPlace(u, { shape: "normal" }) + drawnPlace(1 - u, { shape: "normal" })).toBeCloseTo(1, 12);
  });

  it("sorted: nothing in the gap, half on each side, and on each side as normal", () => {
    const of: Distribution = { shape: "sorted", gap: [1 / 3, 2 / 3] };
    const all = places(of);
    expect(within(all, 1 / 3 + 1e-9, 2 / 3 - 1e-9)).toBe(0);
    expect(within(all, 0, 0.5)).toBeCloseTo(0.5, 4);
    // Between one and two standard deviations: (0.9545 − 0.6827) of the (0.9973 − 0.6827) that are left.
    const share = (0.954499736104 - 0.682689492137) / (0.997300203937 - 0.682689492137);
    expect(within(all, 1 / 6, 5 / 6)).toBeCloseTo(share, 4);
    // Two humps: denser at the edges of the gap than at the ends.
    expect(within(all, 0.28, 1 / 3)).toBeGreaterThan(5 * within(all, 0, 0.05));
  });

  it("sorted: a lopsided gap", () => {
    const all = places({ shape: "sorted", gap: [0.5, 0.9] });
    expect(within(all, 0.5 + 1e-9, 0.9 - 1e-9)).toBe(0);
    expect(within(all, 0, 0.5)).toBeGreaterThan(0.98);
    expect(within(all, 0.9, 1)).toBeGreaterThan(0.005);
  });
});
