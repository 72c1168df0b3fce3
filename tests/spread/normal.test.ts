// The normal distribution against the check values of M. J. Wichura, Applied Statistics 37(3), 1988 (algorithm AS 241), and
// against its own integral, summed as a series (Abramowitz & Stegun 26.2.11).
import { describe, expect, it } from "vitest";
import { logarithm } from "../../src/base/powers.js";
import { normalQuantile, normalShare } from "../../src/spread/normal.js";

/** Share below z: 1/2 + φ(z)(z + z³/3 + z⁵/(3·5) + ...). */
function series(z: number): number {
  let term = z;
  let sum = z;
  for (let k = 1; Math.abs(term) > 1e-18; k++) {
    term *= (z * z) / (2 * k + 1);
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
}

describe("normal", () => {
  it.each([
    [0.25, -0.6744897501960817],
    [0.001, -3.090232306167814],
    [1e-20, Number("-9.262340089798408")],
  ])("quantile of %f as published", (p, z) => {
    expect(Math.abs(normalQuantile(p) / z - 1)).toBeLessThan(1e-15);
  });

  it("quantile and share are inverse, odd and agree with the series", () => {
    for (let z = -3; z <= 3; z += 0.125) {
      const p = series(z);
      const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
      expect(Math.abs(normalQuantile(p) - z)).toBeLessThan(1e-15 / density);
      expect(Math.abs(normalShare(z) - p)).toBeLessThan(1e-15);
      expect(normalShare(-z) + normalShare(z)).toBeCloseTo(1, 15);
    }
    expect(normalQuantile(0.5)).toBe(0);
  });

  it("logarithm", () => {
    for (const x of [1e-300, 1e-16, 0.00135, 0.5, 0.7, 1, 1.42, 2, 10, 1e300])
      expect(Math.abs(logarithm(x) - Math.log(x))).toBeLessThan(3e-16 * Math.max(1, Math.abs(Math.log(x))));
  });
});
