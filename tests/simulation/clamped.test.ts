// Settled starts where modes change at the very start: a source turns on the border of two periods, and a clamp lets go; or a state that
// no period has led to begins a delay or a pulse.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

// The coupled signal is pulled up to its lowest by the diode, which lets go where it turns upwards, at the start of a period.
const clamp = (ohms: number, last: string) => `
signal s = path 0 V at 0 s, 4 V at 40 us, ${last}, 0 V at 100 us, every 100 us
capacitor couple s -> out 40 nF
diode clamp ground -> out drop 0.3 V
resistor leak out -> ground ${ohms} ohm
run for 1 ms, from settled`;

describe.each(["1 V at 80 us", "5 V at 50 us", "0.1 V at 99 us"])(
  "a clamp that lets go on the border, after %s",
  (last) => {
    it.each([5e3, 1e5, 1e7])("has a settled start with %f ohm", (ohms) => {
      const run = simulate(compile(clamp(ohms, last)));
      expect(run.status).toBe("complete");
      // Clamp level, and never below it.
      expect(run.trace("out").at(0)).toBeCloseTo(-0.3, 12);
      expect(measure(run, "floor of out").value).toBeCloseTo(-0.3, 9);
      // Up to 4 V the current of C ds/dt charges through the leak: out' = s' - out/RC with out(0) = -0.3 V.
      const tau = ohms * 40e-9;
      const top = 0.1e6 * tau + (-0.3 - 0.1e6 * tau) * Math.exp(-40e-6 / tau);
      for (const begin of [0, 500e-6]) expect(run.trace("out").at(begin + 40e-6)).toBeCloseTo(top, 6);
    });
  },
);

// The mean of the signal stands behind the RC, 2.6 V with 0.2 V of ripple: above the threshold throughout. 100 ohm drive 2.57 kohm.
describe.each(["", ", delay 1.04 us", ", delay 20 us", ", delay 150 us"])(
  "what stands beyond a threshold throughout%s",
  (delay) => {
    const settled = (part: string) =>
      simulate(
        compile(`
signal s = path 0 V at 0 s, 4.66 V at 30 us, 5 V at 50 us, 0.97 V at 80 us, 0 V at 100 us, every 100 us
resistor r s -> slow 9.914 kohm
capacitor c slow -> ground 44.16 nF
${part}
resistor load out -> ground 2.57 kohm
run for 1.6 ms, from settled`),
      );

    it.each([
      [`inverter k slow -> out threshold 1.15 V, hysteresis 100 mV${delay}`, 0],
      [`comparator k slow -> out threshold 1.15 V, hysteresis 100 mV${delay}`, (5 * 2570) / 2670],
      [`gate k slow -> out and slow, threshold 1.15 V, hysteresis 100 mV${delay}`, (5 * 2570) / 2670],
    ])("%s", (part, level) => {
      const run = settled(part);
      expect(run.status).toBe("complete");
      expect(measure(run, "floor of out").value).toBeCloseTo(level, 9);
      expect(measure(run, "peak of out").value).toBeCloseTo(level, 9);
    });

    it("triggers no one-shot", () => {
      const run = settled(`oneshot k slow -> out above 1.58 V, lasts ${delay ? delay.slice(8) : "40 us"}`);
      expect(measure(run, "peak of out").value).toBe(0);
    });
  },
);

// A pulse of 119.6 us every second period of 100 us: modes are the same at the end of each, the time left of the pulse is not. Through
// an RC of τ the end of such a pulse stands at V (1 − e^(−w/τ))/(1 − e^(−2T/τ)).
it("a pulse that lasts more than a period comes back after two", () => {
  const run = simulate(
    compile(`
signal s = pulse 0 V to 5 V, wide 28 us, every 100 us, first 86 us
capacitor couple s -> in 5 nF
resistor back in -> ground 1.5 kohm
oneshot k in -> out lasts 119.6 us, output 0 ohm
resistor r out -> held 10 kohm
capacitor c held -> ground 10 nF
run for 1.6 ms, from settled`),
  );
  expect(run.status).toBe("complete");
  const peak = (5 * (1 - Math.exp(-1.196))) / (1 - Math.exp(-2));
  expect(measure(run, "peak of held before 400 us").value).toBeCloseTo(peak, 6);
  expect(measure(run, "peak of held after 1 ms").value).toBeCloseTo(peak, 6);
});
