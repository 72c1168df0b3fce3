// A carrier that turns thousands of times in one leap, by the sinusoidal steady state of an RC section (any text on AC circuits:
// |H| = 1/√(1 + (ωRC)²), and the power of the resistor |U - V|²/2R).
import { describe, expect, it } from "vitest";
import { balance, compile, measure, simulate } from "../../src/index.js";

describe("an RC section through a thousand turns", () => {
  // ωRC = 2: |H|² = 1/5, and 4/5 of the square of the source stand across the resistor.
  const [r, c] = [1e3, 1e-9];
  const frequency = 2 / (2 * Math.PI * r * c);
  const turns = 1000;
  const run = simulate(
    compile(`
      signal tone = sine -1 V to 1 V, at ${frequency} Hz
      resistor series tone -> out ${r} ohm
      capacitor shunt out -> ground ${c} F`),
    { until: turns / frequency },
  );
  // The onset has died away to e^-25 within eight turns.
  const late = `from ${8 / frequency} s to ${(turns - 8) / frequency} s`;
  const got = (phrase: string) => measure(run, `${phrase} ${late}`).value;

  it("peaks, means and mean squares are those of the steady state", () => {
    const top = Math.sqrt(1 / 5);
    expect(Math.abs(got("peak of out") / top - 1)).toBeLessThan(1e-6);
    expect(Math.abs(got("floor of out") / -top - 1)).toBeLessThan(1e-6);
    expect(Math.abs(got("mean of out")) / top).toBeLessThan(1e-9);
    expect(Math.abs(got("rms of out") / (top / Math.SQRT2) - 1)).toBeLessThan(1e-8);
  });

  it("so are the powers", () => {
    expect(Math.abs(got("mean power of series") / (4 / 5 / (2 * r)) - 1)).toBeLessThan(1e-7);
    expect(Math.abs(got("peak power of series") / (4 / 5 / r) - 1)).toBeLessThan(1e-6);
    expect(Math.abs(got("mean power of shunt")) / (4 / 5 / r)).toBeLessThan(1e-8);
    expect(balance(run).energy).toBeLessThan(1e-8);
  });

  it("and every instant, however late", () => {
    const trace = run.trace("out");
    let worst = 0;
    for (let k = 0; k < 2000; k++) {
      const t = ((8 + (turns - 16) * ((k * (Math.sqrt(5) - 1)) / 2)) / frequency) % ((turns - 8) / frequency);
      if (t < 8 / frequency) continue;
      const exact = Math.sqrt(1 / 5) * Math.sin(2 * Math.PI * frequency * t - Math.atan(2));
      worst = Math.max(worst, Math.abs(trace.at(t) - exact));
    }
    expect(worst / Math.sqrt(1 / 5)).toBeLessThan(1e-6);
  });
});
