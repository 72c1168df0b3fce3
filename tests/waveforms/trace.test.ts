// The curve of a trace: values between samples, jumps, the guard on slopes, resampling, cuts.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Arc } from "../../src/waveforms/arc.js";
import { mostResampled, Trace } from "../../src/waveforms/trace.js";
import { make, sampled } from "./making.js";

describe("values between samples", () => {
  it("is a straight line without slopes, and the sample itself at a sample", () => {
    const t = make([0, 1, 3], [0, 2, -2]);
    expect([t.at(0), t.at(0.25), t.at(1), t.at(2), t.at(3)]).toEqual([0, 0.5, 2, 0, -2]);
  });

  it("gives the value after a jump, at it", () => {
    const t = make([0, 1, 1, 2], [0, 1, 5, 6]);
    expect(t.at(1)).toBe(5);
    expect(t.at(1 - 1e-12)).toBeCloseTo(1, 9);
    const atEnd = make([0, 1, 1], [0, 1, 5]);
    expect(atEnd.at(1)).toBe(5);
  });

  it("refuses instants outside", () => {
    const t = make([0, 1], [0, 1]);
    for (const bad of [-1e-9, 1.0000001, Number.NaN]) expect(() => t.at(bad)).toThrow(RangeError);
  });

  it("refuses arrays that are no trace", () => {
    expect(() => make([], [])).toThrow(RangeError);
    expect(() => make([0, 1], [0])).toThrow(RangeError);
    expect(() => make([1, 0], [0, 0])).toThrow(/backwards/);
    expect(() => make([0, Number.NaN, 1], [0, 0, 0])).toThrow(RangeError);
    expect(() => make([Number.NaN], [0])).toThrow(RangeError);
  });

  // Error of cubic Hermite interpolation: h^4/384 max|f''''| (R. L. Burden & J. D. Faires, "Numerical Analysis",
  // Hermite error term; the figure re-derived). With 32 samples a period: (2 pi/32)^4/384 = 3.87e-6.
  it("keeps the error bound of the cubic on a sine, peaks included", () => {
    const sine = sampled(
      (t) => Math.sin(2 * Math.PI * t),
      (t) => 2 * Math.PI * Math.cos(2 * Math.PI * t),
      1,
      32,
    );
    let worst = 0;
    for (let k = 0; k <= 1000; k++)
      worst = Math.max(worst, Math.abs(sine.at(k / 1000) - Math.sin((2 * Math.PI * k) / 1000)));
    expect(worst).toBeLessThan(((2 * Math.PI) / 32) ** 4 / 384);
    expect(worst).toBeGreaterThan(1e-6); // the bound is tight, so the test is not idle
  });

  it("is fourth order in the step on an RC charge (halving the step divides the error by 16)", () => {
    const error = (n: number) => {
      const t = sampled(
        (x) => 1 - Math.exp(-x),
        (x) => Math.exp(-x),
        1,
        n,
      );
      let worst = 0;
      for (let k = 0; k <= 999; k++)
        worst = Math.max(worst, Math.abs(t.at(k / 999) - (1 - Math.exp(-k / 999))));
      return worst;
    };
    const ratio = error(4) / error(8);
    expect(ratio).toBeGreaterThan(13);
    expect(ratio).toBeLessThan(19);
  });
});

describe("the guard on slopes", () => {
  it("takes the straight line for the slope of a fast remnant", () => {
    // A residue of 1 uV over a time constant of 1 ns, sampled every 10 us: slopes of 1000 V/s, value flat.
    const t = make([0, 1e-5, 2e-5, 3e-5], [1, 1 + 1e-6, 1, 1 + 1e-6], [-1e3, 1e3, -1e3, 1e3]);
    for (let k = 0; k <= 300; k++) {
      const v = t.at((k / 300) * 3e-5);
      expect(v).toBeGreaterThanOrEqual(1);
      expect(v).toBeLessThanOrEqual(1 + 1e-6);
    }
    // What the bare cubic would have said: a dip of h s/4 = 2.5 mV.
    const bare = new Arc();
    Object.assign(bare, {
      length: 1e-5,
      first: 1,
      last: 1 + 1e-6,
      rise: 1e-6,
      bendFirst: -1e-2,
      bendLast: 1e-2,
    });
    expect(bare.value(0.5)).toBeLessThan(0.998);
  });

  it("takes the straight line through the first stretch of a transient too fast for the samples", () => {
    const t = make([0, 1, 2], [0, 1, 1], [1000, 0, 0]);
    expect(t.at(0.5)).toBe(0.5);
  });

  it("never leaves the triangle of chord and end tangents where it trusts a single bend", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-3, max: 1e3, noNaN: true }),
        fc.double({ min: 1e-3, max: 1e3, noNaN: true }),
        fc.double({ min: -10, max: 10, noNaN: true }),
        (A, C, rise) => {
          const t = make([0, 1], [0, rise], [A + rise, rise - C], [A + rise, rise - C]);
          const height = (A * C) / (A + C);
          const hull = Math.abs(rise);
          for (let k = 0; k <= 40; k++) {
            const off = t.at(k / 40) - (rise * k) / 40;
            // A stretch inside the hull of its samples is let be, whatever its bend.
            expect(off).toBeLessThanOrEqual(Math.max(height, hull) * (1 + 1e-9) + 1e-12);
            expect(off).toBeGreaterThanOrEqual(-1e-9 * (1 + hull));
          }
        },
      ),
    );
  });

  it("ignores slopes that are not finite", () => {
    const t = make([0, 1, 2], [0, 1, 4], [Number.NaN, Number.POSITIVE_INFINITY, 1]);
    expect(t.at(0.5)).toBe(0.5);
    expect(t.at(1.5)).toBe(2.5);
  });

  it("does not let a neighbour beyond a kink or a jump decide", () => {
    // A parabola that peaks in the middle stretch, with a jump on either side.
    const t = make([0, 1, 1, 2, 2, 3], [9, 9, 0, 0, 7, 7], [0, 0, 4, 0, 0, 0], [0, 0, 0, -4, 0, 0]);
    expect(t.at(1.5)).toBe(1);
  });
});

describe("resample", () => {
  it("puts entry k exactly on from + k step and ends on the end (1e6 steps of 1 us)", () => {
    const t = make([0, 1], [0, 1e6]);
    const r = t.resample(1e-6);
    expect(r.length).toBe(1_000_001);
    expect(r[1_000_000]).toBe(1e6);
    expect(r[123_456]).toBe(t.at(123_456 * 1e-6));
  });

  it("agrees with `at` on any grid, across jumps", () => {
    const t = make([0, 1, 1, 2, 3], [0, 1, 5, 6, 0], [1, 1, 1, 1, -3], [1, 1, 1, 1, -3]);
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 4, noNaN: true }),
        fc.double({ min: 0, max: 2, noNaN: true }),
        (h, a) => {
          const r = t.resample(h, a);
          expect(r.length).toBe(Math.floor((3 - a) / h + 1e-9) + 1);
          r.forEach((v, k) => {
            expect(v).toBe(t.at(Math.min(a + k * h, 3)));
          });
        },
      ),
    );
  });

  it("checks the size before it takes memory", () => {
    const t = make([0, 1], [0, 1]);
    expect(() => t.resample(1 / (mostResampled + 10))).toThrow(/more than/);
    for (const call of [() => t.resample("1 us" as never), () => t.at("0.1 s" as never)])
      expect(call).toThrow(/^a time is a number of seconds here/);
    expect(() => t.resample(0)).toThrow(RangeError);
    expect(() => t.resample(-1)).toThrow(RangeError);
    expect(() => t.resample(0.1, 0.5, 2)).toThrow(RangeError);
  });
});

describe("between", () => {
  const t = make([0, 1, 1, 2, 3], [0, 1, 5, 6, 0], [1, 1, 1, 1, -3], [1, 1, 1, 1, -3]);

  it("cuts inside stretches and keeps the curve", () => {
    const cut = t.between(0.25, 2.5);
    expect([cut.from, cut.to]).toEqual([0.25, 2.5]);
    for (const x of [0.25, 0.6, 1, 1.5, 2.2, 2.49]) expect(cut.at(x)).toBeCloseTo(t.at(x), 12);
  });

  it("holds the value after a jump at its start and before a jump at its end", () => {
    expect(Array.from(t.between(1, 2).value)).toEqual([5, 6]);
    expect(Array.from(t.between(0, 1).value)).toEqual([0, 1]);
    expect(Array.from(t.between(1, 1).value)).toEqual([5]);
  });

  it("refuses what it does not cover", () => {
    expect(() => t.between(-1, 2)).toThrow(RangeError);
    expect(() => t.between(2, 1)).toThrow(RangeError);
  });

  it("keeps a straight stretch straight where the guard made it one", () => {
    const stiff = make([0, 1, 2], [0, 1, 1], [1000, 0, 0]);
    expect(stiff.between(0.25, 2).at(0.5)).toBeCloseTo(0.5, 12);
    expect(stiff.between(0, 0.75).at(0.5)).toBeCloseTo(0.5, 12);
  });

  it("passes the trace's own name and unit on", () => {
    expect(t.between(0, 1)).toBeInstanceOf(Trace);
    expect(t.between(0, 1).name).toBe("ramp");
  });
});
