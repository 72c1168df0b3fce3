// The line ramp against an independent integrator: odex 2.0.4, the extrapolation code ODEX of Hairer, Nørsett & Wanner
// (Solving Ordinary Differential Equations I, 1993), at 1e-12. It is handed the bare differential equation, written
// here from the element laws, one stretch between threshold instants at a time, so that it never meets a jump.
import { Solver } from "odex";
import { describe, expect, it } from "vitest";
import { run } from "./running.js";

const I = 1e-3;
const C = 15e-9;
const R = 2e6;
const on = 5;
const reach = 12 - 0.9;
const line = 64e-6;
// Edges of 200 ns from 10 to 90 % are straight over 250 ns, centred on the half-height points at 0 and 4.7 µs: 1 V is
// passed (1/5 − 1/2) · 250 ns from them.
const shift = 75e-9;
const closes = -shift;
const opens = 4.7e-6 + shift;

const text = `
  supply plus12 = 12 V
  signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us, edges 200 ns
  current feed plus12 -> ramp 1 mA, headroom 0.9 V, output 2 Mohm
  capacitor hold ramp -> ground 15 nF
  switch reset ramp -> ground closed while gate above 1 V, on 5 ohm`;

/** Integrates C v′ = i(v) from t0 to each of the instants; microseconds inside, for the code's step choice. */
function integrate(closed: boolean, t0: number, v0: number, instants: readonly number[]): number[] {
  const law = (_: number, [v]: number[]) => {
    const amperes = I + (reach - v) / R - (closed ? v / on : 0);
    return [(amperes / C) * 1e-6];
  };
  let [t, v] = [t0, v0];
  return instants.map((next) => {
    if (next > t) {
      const solver = new Solver(1);
      solver.relativeTolerance = 1e-12;
      solver.absoluteTolerance = 1e-13;
      solver.initialStepSize = Math.min(1e-3, ((next - t) * 1e6) / 4);
      const { y, outcome } = solver.solve(law, t * 1e6, [v], next * 1e6);
      expect(outcome).toBe(0); // converged
      v = y[0];
      t = next;
    }
    return v;
  });
}

describe("the line ramp with output resistance, on-resistance and finite edges, six lines", () => {
  const lines = 6;
  const ramp = run(text, { until: "390 us" }).trace("ramp");
  const samples: { t: number; v: number; closed: boolean; peak?: boolean }[] = [];
  const floor = (I + reach / R) / (1 / on + 1 / R);
  let v = floor;
  // The start: closed, and steady.
  for (let k = 0; k < lines; k++) {
    const a = Math.max(0, k * line + closes);
    const b = k * line + opens;
    const c = (k + 1) * line + closes;
    // The discharge in tenths of its 75 ns time constant, then coarser; the climb in 40 stretches.
    const down = [
      0,
      ...Array.from({ length: 40 }, (_, i) => a + (i + 1) * 7.5e-9),
      a + 1e-6,
      a + 2e-6,
      b,
    ].slice(1);
    const falls = integrate(true, a, v, down);
    down.forEach((t, i) => {
      samples.push({ t, v: falls[i], closed: true });
    });
    const up = Array.from({ length: 40 }, (_, i) => b + ((c - b) * (i + 1)) / 40);
    const climbs = integrate(false, b, falls[falls.length - 1], up);
    up.forEach((t, i) => {
      samples.push({ t, v: climbs[i], closed: false, peak: i === 39 });
    });
    v = climbs[climbs.length - 1];
  }
  const swing = v - floor;

  it("agrees at every peak to 1e-9", () => {
    const peaks = samples.filter((s) => s.peak);
    expect(peaks.length).toBe(lines);
    for (const s of peaks) expect(Math.abs(ramp.at(s.t) / s.v - 1)).toBeLessThan(1e-9);
  });
  it("agrees in the climb to 1e-6 of the swing", () => {
    for (const s of samples) if (!s.closed) expect(Math.abs(ramp.at(s.t) - s.v) / swing).toBeLessThan(1e-6);
  });
  it("agrees in the discharge to 1e-6 of the swing", () => {
    for (const s of samples) if (s.closed) expect(Math.abs(ramp.at(s.t) - s.v) / swing).toBeLessThan(1e-6);
  });
  it("and the integrator itself agrees with the exponentials to 1e-9", () => {
    const inf = I * R + reach;
    const peak = inf - (inf - floor) * Math.exp(-(line + closes - opens) / (R * C));
    expect(Math.abs(samples.find((s) => s.peak)!.v / peak - 1)).toBeLessThan(1e-9);
  });
});
