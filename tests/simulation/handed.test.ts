// What flows on when a switch opens, and what charges share when it closes, in one instant: laws of charge and of flux linkage (any
// circuits text).
import { expect, it } from "vitest";
import { balance, compile, simulate } from "../../src/index.js";

it("two coils in series that carried different currents share the flux of both, and nothing is cut off", () => {
  // 5 V for 1 ms across 1 mH is 5 A; behind it stands a coil of 4 mH with 0 A: 1 · 5 / (1 + 4) = 1 A in both.
  const run = simulate(
    compile(`supply p = 5 V
    inductor first p -> mid 1 mH, starts 0 A
    switch hold mid -> ground closed from 0 s to 1 ms
    inductor second mid -> out 4 mH, starts 0 A
    resistor load out -> ground 5 ohm`),
    { until: "1.5 ms", start: "rest" },
  );
  expect(run.reason).toBe("");
  expect(run.trace("first.current").at(0.999999e-3)).toBeCloseTo(4.999995, 9);
  for (const name of ["first", "second"])
    expect(run.trace(`${name}.current`).at(1e-3 + 1e-12)).toBeCloseTo(1, 6);
  expect(balance(run).energy).toBeLessThan(1e-9);
});

it("charge that is shared goes on through a diode at once, and the account holds", () => {
  // 10 µC on 1 µF, then on 1, 1 and 2 µF together: 2.5 V.
  const run = simulate(
    compile(`signal g = pulse 0 V to 5 V, wide 1 ms, first 1 ms
    capacitor one a -> ground 1 uF, starts 10 V
    capacitor two b -> ground 1 uF, starts 0 V
    capacitor three d -> ground 2 uF, starts 0 V
    switch joins a -> b closed while g above 2.5 V
    diode hop b -> d drop 0 V`),
    { until: "1.5 ms", start: "rest" },
  );
  expect(run.reason).toBe("");
  for (const place of ["a", "b", "d"]) expect(run.trace(place).at(1.2e-3)).toBeCloseTo(2.5, 9);
  expect(balance(run).energy).toBeLessThan(1e-9);
});
