// Dielectric absorption and leakage as RC branches (P. C. Dow, IRE Trans. Electron. Comput. EC-7(1), 1958; from memory): what a
// capacitor recovers follows from the conservation of charge, how fast it begins to from the branches' currents.
import { expect, it } from "vitest";
import { compile, type Run, simulate } from "../../src/index.js";

function run(text: string, until: string): Run {
  const done = simulate(compile(text), { until });
  expect(done.reason).toBe("");
  return done;
}

it("an emptied capacitor recovers what its branches have kept", () => {
  const done = run(
    `bring "shipped/absorption"
    supply plus5 = 5 V
    use absorbing_capacitor as hold joins ramp, ground with size 15 nF, share 0.2 %
    switch charge plus5 -> ramp closed before 1 ms
    switch reset ramp -> ground closed from 2 ms to 2.05 ms`,
    "400 ms",
  );
  const kept = [100e-6, 1e-3, 10e-3].map((tau) => 5 * Math.exp(-50e-6 / tau));
  const sum = kept.reduce((a, b) => a + b, 0);
  expect(Math.abs(done.trace("ramp").at(0.4) / ((0.002 * sum) / (1 + 3 * 0.002)) - 1)).toBeLessThan(1e-6);
  const [quick, middle, slow] = kept as [number, number, number];
  const slope = 0.002 * (quick / 100e-6 + middle / 1e-3 + slow / 10e-3);
  expect(Math.abs(done.trace("ramp").at(2.05e-3 + 10e-9) / (slope * 10e-9) - 1)).toBeLessThan(1e-3);
});

it("a capacitor that leaks keeps e^(−t/τ), whatever its size", () => {
  for (const size of ["4.7 uF", "15 nF"]) {
    const done = run(
      `bring "shipped/leakage"
      supply plus5 = 5 V
      use leaking_capacitor as hold joins ramp, ground with size ${size}, insulation 60 s
      switch charge plus5 -> ramp closed before 1 s`,
      "40 s",
    );
    expect(Math.abs(done.trace("ramp").at(31) / (5 * Math.exp(-0.5)) - 1)).toBeLessThan(1e-6);
  }
});
