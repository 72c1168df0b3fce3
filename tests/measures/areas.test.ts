// Means, charges and energies over any window are those of the waveform itself, not of the samples that were taken of it. A resistor
// and a capacitor behind a source of straight pieces: with w = u - v, w' = u' - w / RC, so that on each piece
//     w = a + b e^(-t/RC),  a = u' RC,  ∫w dt = a t + b RC (1 - e),  ∫w² dt = a² t + 2 a b RC (1 - e) + b² RC (1 - e²) / 2
// with e = e^(-t/RC); the charge is C Δv, the energy ∫w² dt / R (worked out for this test).
import { describe, expect, it } from "vitest";
import { compile, measure, simulate, Trace } from "../../src/index.js";
import { mean } from "../../src/measures/average.js";
import { tries } from "../counts.js";
import { chance, stair } from "../reading/stairs.js";

describe("a resistor and a capacitor behind stairs", () => {
  it.each(Array.from({ length: tries(40) }, (_, i) => i + 1))("values by chance, %d", (seed) => {
    const next = chance(seed);
    const edge = 10 ** (-8 + 2 * next());
    const points = stair(next, 40, edge);
    const last = points[points.length - 1][0];
    const tau = edge * 10 ** (-1 + 2.5 * next());
    const R = 1000;
    const path = points.map(([t, v]) => `${v} V at ${t} s`).join(", ");
    const text = `voltage v a -> ground path ${path}\nresistor r a -> o ${R} ohm\ncapacitor c o -> ground ${tau / R} F`;
    const run = simulate(compile(text), { until: last, start: "rest" });

    /** v, and the integrals of u - v and of its square from 0 on, at an instant. */
    const until = (t: number) => {
      let [w, v, one, two] = [0, 0, 0, 0];
      for (let k = 0; k + 1 < points.length && points[k][0] < t; k++) {
        const [[from, level], [to, end]] = [points[k], points[k + 1]];
        const rise = (end - level) / (to - from);
        const h = Math.min(to, t) - from;
        const [a, e] = [rise * tau, Math.exp(-h / tau)];
        const b = w - a;
        one += a * h + b * tau * (1 - e);
        two += a * a * h + 2 * a * b * tau * (1 - e) + (b * b * tau * (1 - e * e)) / 2;
        w = a + b * e;
        v = level + rise * h - w;
      }
      return { v, one, two };
    };
    const swing = Math.max(...points.map(([, v]) => v)) - Math.min(...points.map(([, v]) => v));
    for (let k = 0; k < 8; k++) {
      const [from, to] = [last * next(), last * next()].sort((x, y) => x - y);
      const span = `from ${from} s to ${to} s`;
      const [a, b] = [until(from), until(to)];
      const energy = (b.two - a.two) / R;
      const least = (1e-3 * swing * swing * tau) / R;
      const seen = (phrase: string) => measure(run, `${phrase} ${span}`).value;
      expect(Math.abs(seen("mean of r.voltage") - (b.one - a.one) / (to - from)) / swing).toBeLessThan(1e-8);
      expect(Math.abs(seen("energy of r.power") - energy) / Math.max(energy, least)).toBeLessThan(1e-6);
      expect(Math.abs(seen("rms of r.voltage") - Math.sqrt((energy * R) / (to - from))) / swing).toBeLessThan(
        1e-7,
      );
      expect(
        Math.abs(seen("charge of c.current") - (tau / R) * (b.v - a.v)) / ((tau / R) * swing),
      ).toBeLessThan(1e-6);
    }
  });
});

describe("edges late in a run", () => {
  it("are not halved for what the clock rounds: 5 million volts a second seem to be off by that in the last place of an instant", () => {
    // Every microsecond from 40 ms on, a quarter of it each: down from 0 V to -0.6 V, there, up, and at 0 V, so that the mean is
    // half of it. By ticks of 1/(3·2²⁵) s, few of which are doubles.
    const [second, edge, level] = [3 * 2 ** 25, 25, -0.6];
    const period = 4 * edge;
    const start = 4_026_500;
    const ticks = Array.from({ length: 400 }, (_, k) => start + period * (k >> 2) + edge * (k & 3));
    const value = (tick: number) => {
      const at = (((tick - start) % period) + period) % period;
      const share = Math.min(1, at / edge, Math.max(0, 3 - at / edge));
      return level * share;
    };
    const slope = (tick: number) => {
      const at = (tick - start) % period;
      return at < edge
        ? (level * second) / edge
        : at >= 2 * edge && at < 3 * edge
          ? (-level * second) / edge
          : 0;
    };
    let looks = 0;
    const slopes = Float64Array.from(ticks, slope);
    const trace = new Trace({
      name: "edges",
      unit: "V",
      time: Float64Array.from(ticks, (tick) => tick / second),
      value: Float64Array.from(ticks, value),
      slope: slopes,
      slopeBefore: Float64Array.from(ticks, (_, k) => slopes[Math.max(0, k - 1)]),
      exact: true,
      curve: (time) => {
        looks++;
        const tick = Math.round(time * second * 64) / 64;
        return { value: value(tick) + slope(tick) * (time - tick / second), slope: slope(tick) };
      },
    });
    const [from, to] = [ticks[0] / second, (start + period * 99) / second];
    const seen = mean.take({ trace, from, to });
    expect(Math.abs(seen - level / 2)).toBeLessThan(1e-12);
    expect(looks).toBeLessThanOrEqual(ticks.length);
  });
});
