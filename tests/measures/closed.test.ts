// Measures against closed forms. Each figure names its source; the waveforms are sampled finely and coarsely,
// with slopes and without.
import { describe, expect, it } from "vitest";
import { findMeasure } from "../../src/measures/measures.js";
import type { Window } from "../../src/measures/window.js";
import type { Trace } from "../../src/waveforms/trace.js";
import { make, sampled } from "../waveforms/making.js";

function take(words: string, trace: Trace, more: Partial<Window> = {}): number {
  return findMeasure(words)!.take({ trace, from: trace.from, to: trace.to, ...more });
}

/** Relative distance. */
function off(got: number, want: number): number {
  return Math.abs(got - want) / Math.abs(want);
}

describe("RC charge, 5 V (closed form V(1 - exp(-t/tau)))", () => {
  const tau = 1e-4;
  const v = (t: number) => 5 * (1 - Math.exp(-t / tau));
  const dv = (t: number) => (5 / tau) * Math.exp(-t / tau);
  const coarse = sampled(v, dv, 20 * tau, 200);
  const fine = sampled(v, undefined, 20 * tau, 100_000);

  it.each([
    ["coarse with slopes", coarse, 3e-7],
    ["fine without", fine, 3e-8],
  ])("value at tau is 3.160602794 V, %s", (_, trace, bound) => {
    expect(off(take("value", trace, { at: tau }), 3.160602794)).toBeLessThan(bound);
  });

  it.each([
    ["coarse with slopes", coarse, 3e-6],
    ["fine without", fine, 3e-7],
  ])("rises from 10 to 90 %% in 2.197224577 tau (ln 9), %s", (_, trace, bound) => {
    expect(off(take("rise time", trace), 2.197224577 * tau)).toBeLessThan(bound);
  });

  it("means V/e over the first tau (integral of the closed form)", () => {
    expect(off(take("mean", coarse, { from: 0, to: tau }), 5 / Math.E)).toBeLessThan(1e-6);
    expect(off(take("mean", fine, { from: 0, to: tau }), 5 / Math.E)).toBeLessThan(1e-8);
  });

  it("has the corrected trapezoidal rule's fourth order in its mean", () => {
    const error = (n: number) => off(take("mean", sampled(v, dv, tau, n)), 5 / Math.E);
    expect(error(4) / error(8)).toBeGreaterThan(14);
    expect(error(4) / error(8)).toBeLessThan(18);
  });

  it("slope over the first tau is the value there over tau", () => {
    expect(off(take("slope", coarse, { from: 0, to: tau }), 3.160602794 / tau)).toBeLessThan(3e-7);
  });

  it("charge and energy of the charging resistor: CV and CV^2/2 (handbook), C = 10 nF, R = 10 kohm", () => {
    const i = sampled(
      (t) => 5e-4 * Math.exp(-t / tau),
      (t) => -5 * Math.exp(-t / tau),
      30 * tau,
      600,
      "A",
    );
    const p = sampled(
      (t) => 2.5e-3 * Math.exp((-2 * t) / tau),
      (t) => -50 * Math.exp((-2 * t) / tau),
      30 * tau,
      900,
      "W",
    );
    expect(off(take("charge", i), 5e-8)).toBeLessThan(1e-7);
    expect(off(take("energy", p), 1.25e-7)).toBeLessThan(1e-7);
    expect(take("peak current", i)).toBe(5e-4);
    expect(take("peak power", p)).toBe(2.5e-3);
    expect(off(take("mean power", p), 1.25e-7 / (30 * tau))).toBeLessThan(1e-7);
  });
});

describe("constant-current ramp, 1 mA into 10 nF for 52.6 us (dV/dt = I/C)", () => {
  const ramp = make([0, 52.6e-6], [0, 5.26]);

  it("reaches 5.26 V, straight", () => {
    expect(take("peak", ramp)).toBe(5.26);
    expect(take("floor", ramp)).toBe(0);
    expect(take("swing", ramp)).toBe(5.26);
    expect(off(take("slope", ramp), 1e5)).toBeLessThan(1e-12);
    expect(take("sweep error", ramp)).toBeLessThan(1e-12);
    expect(take("displacement error", ramp)).toBeLessThan(1e-12);
    expect(take("transmission error", ramp)).toBeLessThan(1e-12);
  });

  it("means half and has the rms 1/sqrt(3) of its peak (handbook)", () => {
    expect(off(take("mean", ramp), 2.63)).toBeLessThan(1e-12);
    expect(off(take("rms", ramp), 5.26 / Math.sqrt(3))).toBeLessThan(1e-12);
  });

  it("crosses a level in proportion", () => {
    expect(off(take("crossing", ramp, { through: { level: 2.63 } }), 26.3e-6)).toBeLessThan(1e-12);
    expect(take("crossing", ramp, { through: { level: 2.63, direction: "falling" } })).toBeNaN();
    expect(take("crossing", ramp, { through: { level: 6 } })).toBeNaN();
  });
});

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

describe("reset through on-resistance (V exp(-t/RC)): 5 ohm, 10 nF, 5.26 V to 1 mV in 428.39 ns", () => {
  const tau = 50e-9;
  const fall = (n: number) =>
    sampled(
      (t) => 5.26 * Math.exp(-t / tau),
      (t) => (-5.26 / tau) * Math.exp(-t / tau),
      1e-6,
      n,
    );

  it.each([
    [100, 1e-5],
    [20_000, 1.1e-5], // the figure is rounded by 1e-5
  ])("to a level, %i steps", (n, bound) => {
    expect(off(take("reset time", fall(n), { through: { level: 1e-3 } }), 428.39e-9)).toBeLessThan(bound);
  });

  it("to within 1 % of the swing: tau ln 100, less what the end of the span still lacks", () => {
    const left = 5.26 * Math.exp(-20);
    const level = left + 0.01 * (5.26 - left);
    expect(off(take("reset time", fall(1000)), tau * Math.log(5.26 / level))).toBeLessThan(1e-6);
    expect(off(take("reset time", fall(1000)), 4.60517018599 * tau)).toBeLessThan(1e-6);
  });

  it("90 to 10 % of the swing takes ln 9 tau", () => {
    expect(off(take("fall time", fall(1000)), 2.197224577 * tau)).toBeLessThan(1e-6);
  });

  it("is 0 where it stands low from the start, the touch where it only touches, NaN where it never comes", () => {
    expect(take("reset time", make([0, 1], [0, 1]))).toBe(0);
    expect(take("reset time", make([0, 1, 2, 3], [4, 0, 0, 4]), { through: { level: 0 } })).toBe(1);
    expect(take("reset time", make([0, 1], [4, 3]), { through: { level: 1 } })).toBeNaN();
    expect(take("reset time", make([0, 1, 1, 2], [4, 4, 0, 0]))).toBe(1);
  });
});

// AC-coupled 50 % square wave in the steady state: tilt over half the swing = 200 tanh(T/4RC) % (Millman & Taub).
describe("tilt", () => {
  it.each([
    [0.1, 0.04998959],
    [1, 0.48983732],
  ])("T/RC = %f gives %f", (ratio, tilt) => {
    const top = 1 / (1 + Math.exp(-ratio / 2));
    const s = sampled(
      (t) => top * Math.exp(-t),
      (t) => -top * Math.exp(-t),
      ratio / 2,
      8,
    );
    expect(off(take("tilt", s), tilt)).toBeLessThan(1e-6);
  });
});

describe("sine, 1 kHz, 1 V", () => {
  const w = 2000 * Math.PI;
  // Starts 5 us early, so that no sample falls on a peak or a zero.
  const sine = make(
    Array.from({ length: 501 }, (_, k) => k * 1e-5 - 5e-6),
    Array.from({ length: 501 }, (_, k) => Math.sin(w * (k * 1e-5 - 5e-6))),
    Array.from({ length: 501 }, (_, k) => w * Math.cos(w * (k * 1e-5 - 5e-6))),
  );

  it("peaks between its samples at 1 V, to the bound h^4/384 of the cubic", () => {
    expect(Math.abs(take("peak", sine) - 1)).toBeLessThan(4.1e-8);
    expect(Math.abs(take("floor", sine) + 1)).toBeLessThan(4.1e-8);
    expect(Math.max(...sine.value)).toBeLessThan(0.9996); // the samples alone fall short
  });

  it("has the rms 1/sqrt(2) and the mean 0 over whole periods (handbook)", () => {
    expect(off(take("rms", sine, { from: 0, to: 4e-3 }), Math.SQRT1_2)).toBeLessThan(1e-7);
    expect(Math.abs(take("mean", sine, { from: 0, to: 4e-3 }))).toBeLessThan(1e-12);
  });

  it("has period, frequency, no jitter, and stands above half-way half the time", () => {
    expect(off(take("period", sine), 1e-3)).toBeLessThan(1e-9);
    expect(off(take("frequency", sine), 1e3)).toBeLessThan(1e-9);
    expect(take("jitter", sine)).toBeLessThan(1e-12);
    expect(take("duty", sine, { from: 0, to: 4e-3 })).toBeCloseTo(0.5, 9);
  });

  it("meets 0.9999 at 247.7491904525953 and 252.2508095474047 us, between two samples (arcsin)", () => {
    const up = take("crossing", sine, { from: 0, through: { level: 0.9999, direction: "rising" } });
    const down = take("crossing", sine, { from: 0, through: { level: 0.9999, direction: "falling" } });
    // The cubic is out by 4.1e-8 V at most, where the sine climbs 88.9 V/s: 0.5 ns.
    expect(Math.abs(up - 247.7491904525953e-6)).toBeLessThan(5e-10);
    expect(Math.abs(down - 252.2508095474047e-6)).toBeLessThan(5e-10);
  });
});

// Line sync 4.7 us in 64 us (ITU-R BT.1700): share 0.0734375, derived.
describe("pulses with true jumps", () => {
  const time: number[] = [];
  const value: number[] = [];
  for (let k = 0; k < 4; k++) {
    const late = k === 2 ? 1e-6 : 0;
    const t = k * 64e-6 + late;
    time.push(t, t, t + 4.7e-6, t + 4.7e-6);
    value.push(0, 5, 5, 0);
  }
  time.push(256e-6);
  value.push(0);
  const gate = make(time, value);

  it("duty 0.0734375", () => {
    expect(take("duty", gate)).toBeCloseTo(0.0734375, 12);
    expect(take("duty", gate, { through: { level: 6 } })).toBe(0);
    expect(take("duty", gate, { through: { level: -1 } })).toBe(1);
    expect(take("duty", gate, { from: 0, to: 4e-6 })).toBe(0); // level throughout: never above half-way
    expect(take("duty", gate, { from: 0, to: 4e-6, through: { level: 2.5 } })).toBe(1);
  });

  it("period and jitter: one pulse of four late by 1 us", () => {
    // The first edge lies at the start of the run, where the window sees only the value after it.
    const w = { through: { level: 2.5, direction: "falling" as const } };
    expect(take("period", gate, w)).toBeCloseTo(64e-6, 15);
    expect(take("jitter", gate, w)).toBeCloseTo(1e-6, 15);
    expect(take("jitter", gate, { ...w, to: 100e-6 })).toBeNaN();
    expect(take("period", gate, { ...w, to: 50e-6 })).toBeNaN();
  });
});
