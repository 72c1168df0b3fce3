// Measures against closed forms. Each figure names its source; the waveforms are sampled finely and coarsely,
// with slopes and without.
import { describe, expect, it } from "vitest";
import { make, sampled } from "../waveforms/making.js";
import { off, take } from "./taking.js";

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
