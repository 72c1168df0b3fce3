// The straightness of a sweep, alone and between resets, against the closed forms of Millman & Taub.
import { describe, expect, it } from "vitest";
import type { Trace } from "../../src/waveforms/trace.js";
import { make, sampled } from "../waveforms/making.js";
import { off, take } from "./taking.js";

// Current source 1 mA with 100 kohm, 10 nF, 52.6 us: v = IR(1 - exp(-T/RC)). Definitions of the three errors:
// Millman & Taub (1965); figures re-derived from them.
describe("sweep of a current source with output resistance", () => {
  const T = 52.6e-6;
  const RC = 1e-3;
  const e_s = 0.0512405596;
  const e_t = 0.0258448739;
  const e_d = displacement(T / RC);
  const bare = (n: number, slopes = true) =>
    sampled((t) => 100 * (1 - Math.exp(-t / RC)), slopes ? (t) => 1e5 * Math.exp(-t / RC) : undefined, T, n);

  // Largest distance of 1 - exp(-x t) from its chord, where the slope equals the chord's; closed form.
  function displacement(x: number): number {
    const all = 1 - Math.exp(-x);
    const t = -Math.log(all / x) / x;
    return (1 - Math.exp(-x * t)) / all - t;
  }

  it.each([
    [1, 1e-9],
    [4, 1e-9],
    [10_000, 1e-7],
  ])("alone, %i steps with slopes", (n, bound) => {
    expect(off(take("peak", bare(n)), 5.124055963)).toBeLessThan(1e-9);
    expect(off(take("sweep error", bare(n)), e_s)).toBeLessThan(bound);
    expect(off(take("transmission error", bare(n)), e_t)).toBeLessThan(Math.max(bound, 2e-9));
    expect(off(take("displacement error", bare(n)), e_d)).toBeLessThan(1e-3);
  });

  it("alone, without slopes, to the square of the step", () => {
    expect(Math.abs(take("sweep error", bare(50, false)) - e_s)).toBeLessThan(1e-8);
    const error = (n: number) => Math.abs(take("transmission error", bare(n, false)) - e_t);
    expect(error(10) / error(20)).toBeGreaterThan(3.5);
    expect(error(10) / error(20)).toBeLessThan(4.5);
  });

  it("with sweep error 0.1: displacement 0.01316803, transmission 0.05087784", () => {
    const x = -Math.log(0.9);
    const s = sampled(
      (t) => 1 - Math.exp(-x * t),
      (t) => x * Math.exp(-x * t),
      1,
      64,
    );
    expect(off(take("sweep error", s), 0.1)).toBeLessThan(1e-12);
    expect(off(take("displacement error", s), 0.01316803)).toBeLessThan(1e-6);
    expect(off(take("transmission error", s), 0.05087784)).toBeLessThan(1e-6);
  });

  it("small: displacement is near an eighth, transmission near half of the sweep error", () => {
    const x = 0.01;
    const s = sampled(
      (t) => 1 - Math.exp(-x * t),
      (t) => x * Math.exp(-x * t),
      1,
      64,
    );
    expect(off(take("displacement error", s), take("sweep error", s) / 8)).toBeLessThan(0.01);
    expect(off(take("transmission error", s), take("sweep error", s) / 2)).toBeLessThan(0.01);
  });

  // The sweep between resets: two lines, each a reset of 4.7 us through 5 ohm and a sweep of 52.6 us.
  function lines(n: number): Trace {
    const period = 4.7e-6 + T;
    const time: number[] = [];
    const value: number[] = [];
    const after: number[] = [];
    const before: number[] = [];
    const rests = 100 * (5 / 100_005); // 1 mA into 5 ohm beside 100 kohm
    const fast = 10e-9 * rests * 1e3;
    let v0 = 5.124;
    const put = (t: number, v: number, slopeBefore: number, slopeAfter: number) => {
      time.push(t);
      value.push(v);
      before.push(slopeBefore);
      after.push(slopeAfter);
    };
    put(0, v0, 1e5, (rests - v0) / fast);
    for (let line = 0; line < 2; line++) {
      const reset = (t: number) => rests + (v0 - rests) * Math.exp(-t / fast);
      for (let k = 1; k < n; k++) {
        const t = (4.7e-6 * k) / n;
        put(line * period + t, reset(t), (rests - reset(t)) / fast, (rests - reset(t)) / fast);
      }
      const low = reset(4.7e-6);
      put(line * period + 4.7e-6, low, (rests - low) / fast, (100 - low) / RC);
      const rise = (t: number) => 100 + (low - 100) * Math.exp(-t / RC);
      for (let k = 1; k < n; k++) {
        const t = (T * k) / n;
        put(line * period + 4.7e-6 + t, rise(t), (100 - rise(t)) / RC, (100 - rise(t)) / RC);
      }
      v0 = rise(T);
      put((line + 1) * period, v0, (100 - v0) / RC, (rests - v0) / fast);
    }
    return make(time, value, after, before);
  }

  it.each([
    [40, 0, 0],
    [40, 20e-9, 20e-9],
    [40, -20e-9, -20e-9],
    [2000, 0, 0],
    [2000, 20e-9, -20e-9],
  ])("between resets, %i steps a part, window moved by %f s and %f s", (n, a, b) => {
    const trace = lines(n);
    const period = 4.7e-6 + T;
    const w = { from: period + Math.min(a, 0), to: 2 * period + Math.min(b, 0) };
    if (a > 0) w.from += a;
    expect(off(take("sweep error", trace, w), e_s)).toBeLessThan(b < 0 ? 1e-2 : 1e-8);
    expect(off(take("transmission error", trace, w), e_t)).toBeLessThan(b < 0 ? 1e-2 : 1e-8);
    expect(off(take("displacement error", trace, w), e_d)).toBeLessThan(1e-2);
  });

  it("finds a falling sweep as well", () => {
    const s = sampled(
      (t) => -100 * (1 - Math.exp(-t / RC)),
      (t) => -1e5 * Math.exp(-t / RC),
      T,
      16,
    );
    expect(off(take("sweep error", s), e_s)).toBeLessThan(1e-9);
  });

  it("gives a size for a sweep that speeds up", () => {
    expect(
      take(
        "sweep error",
        sampled(
          (t) => t * t + t,
          (t) => 2 * t + 1,
          1,
          10,
        ),
      ),
    ).toBeCloseTo(2, 9);
  });

  it("does not occur on a level trace", () => {
    expect(take("sweep error", make([0, 1], [3, 3]))).toBeNaN();
  });
});
