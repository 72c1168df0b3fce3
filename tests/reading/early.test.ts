// What rises from rest, with no slope, and is gone long before its leap ends: a resistor behind the first capacitor charges a second
// one while a coil takes the first back. Expected: x' = A x + b from Kirchhoff's laws, marched by the series of exp(A h).
import { describe, expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

const [r3, r4, r7, c5, c8, l10] = [1070, 21700, 382, 6.08e-10, 1.75e-9, 928e-6];

/** The second capacitor's voltage at each step of h, for a source of `volts` from 0 s. */
function marched(volts: number, h: number, steps: number): number[] {
  const rates = ([v5, v8, i]: readonly number[]) => [
    ((volts - v5) / r4 - v5 / r3 - (v5 - v8) / r7 - i) / c5,
    (v5 - v8) / r7 / c8,
    v5 / l10,
  ];
  const still = rates([0, 0, 0]);
  const seen = [0];
  let x = [0, 0, 0];
  for (let k = 0; k < steps; k++) {
    // The terms of the series: each is A h / n times the one before; A x is what the rates have without their constants.
    let term = rates(x).map((d) => d * h);
    const next = x.map((v, j) => v + term[j]);
    for (let n = 2; n < 24; n++) {
      term = rates(term).map((d, j) => ((d - still[j]) * h) / n);
      for (let j = 0; j < 3; j++) next[j] += term[j];
    }
    x = next;
    seen.push(x[1]);
  }
  return seen;
}

describe("a transient that is gone before the first look", () => {
  const text = (pieces: string) => `signal n1 = ${pieces}
resistor r3 n2 -> ground ${r3} ohm
resistor r4 n1 -> n2 ${r4} ohm
capacitor c5 n2 -> ground ${c5} F
resistor r7 n2 -> n3 ${r7} ohm
capacitor c8 n3 -> ground ${c8} F
inductor l10 n2 -> ground ${l10} H
run for 8 ms, from rest`;

  it.each([
    ["once", "path -6 V at 0 s, -6 V at 375.7 us, -8 V at 652 us", -6],
    ["in leaps that recur", "pulse 0 V to -6 V, wide 400 us, every 800 us", -6],
  ])("is drawn, and measured: %s", (_, pieces, volts) => {
    const run = simulate(compile(text(pieces)), { repeats: false });
    const h = 10e-9;
    const exact = marched(volts, h, 10_000);
    // The vertex of the parabola through the lowest step and its neighbours.
    const at = exact.indexOf(Math.min(...exact));
    const [before, here, after] = exact.slice(at - 1, at + 2);
    const lowest = here - (after - before) ** 2 / (8 * (before - 2 * here + after));
    const near = 1e-6 * Math.abs(lowest);
    expect(Math.abs(measure(run, "floor of n3 before 300 us").value - lowest)).toBeLessThan(near);
    // A later pulse follows a plan of the earlier ones.
    if (pieces.startsWith("pulse"))
      expect(Math.abs(measure(run, "floor of n3 from 6.3 ms to 6.7 ms").value - lowest)).toBeLessThan(near);
    const trace = run.trace("n3");
    for (let k = 1; k < exact.length; k += 37)
      expect(Math.abs(trace.at(k * h) - exact[k])).toBeLessThan(near);
    const mean =
      exact.slice(0, -1).reduce((sum, v, k) => sum + ((v + exact[k + 1]) / 2) * h, 0) / (10_000 * h);
    expect(Math.abs(measure(run, "mean of n3 before 100 us").value - mean)).toBeLessThan(
      1e-6 * Math.abs(lowest),
    );
  });
});
