// An amplifier whose output stands at its rail while the rail moves: the rail feels what the output delivers and nothing of the
// amplifier's inside, however slow that is. By the closed form of one pole: C dv/dt = (V - v)/R - (v - reach)/(output + load).
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

it.each([
  ["1 kHz", "upper"],
  ["100 kHz", "upper"],
  ["10 MHz", "upper"],
  ["1 kHz", "lower"],
  ["100 kHz", "lower"],
] as const)("of %s, at its %s rail", (bandwidth, side) => {
  const sign = side === "upper" ? 1 : -1;
  const [R, C, load, output, reach] = [100, 1e-6, 2000, 150, 1.2];
  const volts = (v: number) => `${sign * v} V`;
  const [high, low] = side === "upper" ? ["rail", "other"] : ["other", "rail"];
  const run = simulate(
    compile(`
      signal feed = path ${volts(10)} at 50 us, ${volts(13)} at 50 us
      supply other = ${volts(-10)}
      supply far = ${volts(30)}
      resistor drop feed -> rail ${R} ohm
      capacitor store rail -> ground ${C} F
      amplifier buffer far -> out, minus out, high ${high}, low ${low}, bandwidth ${bandwidth}, reach ${reach} V, output ${output} ohm
      resistor load out -> ground ${load} ohm`),
    { until: "500 us" },
  );
  expect(run.status).toBe("complete");
  const rest = (V: number) => (V / R + reach / (output + load)) / (1 / R + 1 / (output + load));
  const tau = C / (1 / R + 1 / (output + load));
  const rail = run.trace("rail");
  for (let k = 0; k <= 400; k++) {
    const t = 50e-6 + k * 1e-6;
    const exact = rest(13) + (rest(10) - rest(13)) * Math.exp(-(t - 50e-6) / tau);
    expect(Math.abs(sign * rail.at(t) - exact)).toBeLessThan(3e-6);
  }
});
