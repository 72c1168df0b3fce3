// Behind a diode that blocks, a large resistance makes much of a small current: of what is left of an ampere by rounding, 1 Tohm
// makes a millivolt. A current that has been forgotten must not count as rounding for longer than it lasts.
import { expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

const [volts, henries, ohms, omega] = [10, 0.1, 20, 2 * Math.PI * 50];

/**
 * Mean voltage of a load behind a coil and an ideal diode: V̂ (1 − cos β) / 2π, where the current, sin(ωt − φ) + sin φ e^(−ωt / tan φ) times
 * V̂ / Z, ends at β (handbook formula, e.g. Mohan, Undeland & Robbins, Power Electronics; from memory).
 */
function mean(): number {
  const phi = Math.atan2(omega * henries, ohms);
  const current = (angle: number) => Math.sin(angle - phi) + Math.sin(phi) * Math.exp(-angle / Math.tan(phi));
  let [low, high] = [Math.PI, 2 * Math.PI];
  for (let turn = 0; turn < 60; turn++) {
    const middle = (low + high) / 2;
    if (current(middle) > 0) low = middle;
    else high = middle;
  }
  return (volts * (1 - Math.cos(low))) / (2 * Math.PI);
}

it.each(["1 Gohm", "1 Tohm", "10 Tohm", "100 Tohm", "1000 Tohm"])(
  "a diode, a coil and a load, beside %s",
  (leak) => {
    const run = simulate(
      compile(`
      signal mains = sine ${-volts} V to ${volts} V, at 50 Hz
      diode d mains -> a drop 0 V
      inductor choke a -> out ${henries} H
      resistor load out -> ground ${ohms} ohm
      resistor leak a -> ground ${leak}
      run for 200 ms, from rest`),
    );
    expect(run.warnings).toEqual([]);
    const found = measure(run, "mean of out after 100 ms before 180 ms").value;
    expect(Math.abs(found - mean())).toBeLessThan(1e-6 * volts);
  },
);

it("a store that is filled through 1 ohm, then loses 1 pA, and is filled again where the mains exceed it", () => {
  // 1 nF that 10 Tohm drain: after a period it stands at 10 V e^(−20 ms / 10000 s), in closed form.
  const run = simulate(
    compile(`
      signal mains = sine 0 V to 10 V, at 50 Hz
      diode d mains -> a drop 0 V, on 1 ohm
      capacitor store a -> ground 1 nF
      resistor leak a -> ground 10 Tohm
      run for 100 ms, from rest`),
  );
  expect(run.warnings).toEqual([]);
  const drop = run.trace("a").at(81e-3) - run.trace("a").at(84e-3);
  expect(drop).toBeCloseTo(10 * (3e-3 / 1e4), 10);
});
