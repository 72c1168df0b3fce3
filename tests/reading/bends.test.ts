// The ripple of a step-down converter: parabolas of which one bends over between two samples. A trace of leaps follows them there,
// however steep it arrives. Against the equations by the classical Runge-Kutta method (Hairer, Nørsett & Wanner, Solving Ordinary
// Differential Equations I, 1993, II.1), and the mean against the balance of the coil's volts: V = D · V of the supply.
import { expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";
import { tries } from "../counts.js";

const seeds = Array.from({ length: tries(60) }, (_, i) => i + 1);

it(`${seeds.length} converters: every instant of the ripple, and its mean`, () => {
  for (const seed of seeds) {
    let state = (seed * 48271) % 2147483647;
    const next = () => {
      state = (state * 48271) % 2147483647;
      return state / 2147483647;
    };
    const period = 10 ** (-6 + 2 * next());
    const [share, V, R] = [0.2 + 0.6 * next(), 5 + 15 * next(), 10 ** (0.5 + 1.5 * next())];
    const [L, C] = [R * period * 10 ** (1 + next()), (period / R) * 10 ** (1 + next())];
    const wide = share * period;
    const text = `supply p = ${V} V
signal g = pulse 0 V to 5 V, wide ${wide} s, every ${period} s
switch s p -> sw closed while g above 2.5 V, on 0 ohm
diode d ground -> sw drop 0 V
inductor l sw -> o ${L} H
capacitor c o -> ground ${C} F
resistor r o -> ground ${R} ohm`;
    const run = simulate(compile(text), { until: 3 * period, start: "settled" });
    expect(run.status).toBe("complete");
    const o = run.trace("o");
    const swing = Math.max(...o.value) - Math.min(...o.value);
    let [v, i, t, worst] = [o.value[0], run.trace("l.current").value[0], 0, 0];
    const slopes = (v: number, i: number, on: number) => [(i - v / R) / C, (on - v) / L] as const;
    for (const [end, on] of [
      [wide, V],
      [period, 0],
    ]) {
      const h = (end - t) / 200;
      for (let k = 0; k < 200; k++) {
        const a = slopes(v, i, on);
        const b = slopes(v + (h / 2) * a[0], i + (h / 2) * a[1], on);
        const c = slopes(v + (h / 2) * b[0], i + (h / 2) * b[1], on);
        const d = slopes(v + h * c[0], i + h * c[1], on);
        v += (h / 6) * (a[0] + 2 * b[0] + 2 * c[0] + d[0]);
        i += (h / 6) * (a[1] + 2 * b[1] + 2 * c[1] + d[1]);
        t += h;
        worst = Math.max(worst, Math.abs(o.at(t) - v));
      }
    }
    // Beside a level some ten million times the ripple the last bits of a double are what is left.
    expect(worst).toBeLessThan(1e-6 * swing + 1e-11 * V);
    const mean = measure(run, `mean of o after ${period / 2} s before ${1.5 * period} s`).value;
    expect(Math.abs(mean - share * V)).toBeLessThan(1e-6 * swing + 1e-11 * V);
  }
});
