// Numbers below the picture: powers by plain arithmetic, and light to grey.
import { expect, test } from "vitest";
import { exponential, powerOf } from "../../src/base/powers.js";
import { greyOf, lightOf } from "../../src/tube/image.js";

test("powers are those of the engine, to 1e-13", () => {
  for (const base of [1e-12, 0.003, 0.5, 0.7, 1, 1.5, 2, 10, 12345]) {
    for (const exponent of [0.45, 1, 2.2, 2.8, 4]) {
      expect(powerOf(base, exponent) / base ** exponent).toBeCloseTo(1, 13);
    }
  }
  expect([powerOf(0, 2.2), powerOf(1, 2.2), powerOf(0, 0)]).toEqual([0, 1, 1]);
  for (const x of [-40, -8, -0.3466, 0, 0.3466, 1, 20])
    expect(exponential(x) / Math.exp(x)).toBeCloseTo(1, 13);
  expect([exponential(-1000), exponential(1000)]).toEqual([0, Number.POSITIVE_INFINITY]);
});

test("grey follows IEC 61966-2-1", () => {
  // The standard's curve: 12.92 L up to 0.0031308, then 1.055 L^(1/2.4) − 0.055.
  const byte = (l: number) => Math.round(255 * (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055));
  const light = Float64Array.from({ length: 1000 }, (_, i) => (i + 0.5) / 1000);
  // Within a rounding of the border between two bytes the nearest on the scale of light may be the other one.
  greyOf(light).forEach((g, i) => {
    expect(Math.abs(g - byte(light[i]))).toBeLessThanOrEqual(0);
  });
  expect([...greyOf(Float64Array.of(0, -1, 1, 7, Number.POSITIVE_INFINITY))]).toEqual([0, 0, 255, 255, 255]);
  for (let b = 0; b <= 255; b++) expect(greyOf(Float64Array.of(lightOf(b)))[0]).toBe(b);
});
