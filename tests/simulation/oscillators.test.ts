// Oscillators have no steady state: a run starts at rest instead, and says so. Their periods are closed forms of the charging of a
// capacitor (Horowitz & Hill, The Art of Electronics, 3rd ed., 2015, 7.1; from memory).
import { expect, it } from "vitest";
import { compile, engineering, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { chance, periodOf } from "./making.js";

const seeds = Array.from({ length: tries(60) }, (_, i) => i + 1);

it(`${seeds.length} inverters with hysteresis, a resistor and a capacitor`, () => {
  for (const seed of seeds) {
    const next = chance(seed);
    const [R, C, middle] = [10 ** (3 + 3 * next()), 10 ** (-12 + 5 * next()), 1 + 3 * next()];
    const width = 0.9 * Math.min(middle, 5 - middle) * (0.2 + 1.2 * next());
    const [high, low] = [middle + width / 2, middle - width / 2];
    const period = (R + 100) * C * (Math.log((5 - low) / (5 - high)) + Math.log(high / low));
    const text = `inverter turn x -> y threshold ${middle} V, hysteresis ${width} V, output 100 ohm
resistor r y -> x ${R} ohm
capacitor c x -> ground ${C} F`;
    const run = simulate(compile(text), { until: 12.5 * period });
    expect([run.status, run.start]).toEqual(["complete", "rest"]);
    expect(run.warnings).toEqual([expect.stringContaining("'turn' switches itself without end")]);
    expect(Math.abs(periodOf(run.trace("x"), middle) / period - 1)).toBeLessThan(1e-6);
  }
});

it(`${seeds.length} sawtooths: a current into a capacitor that a switch with two levels empties`, () => {
  for (const seed of seeds) {
    const next = chance(seed);
    const [I, C, R] = [10 ** (-5 + 2.5 * next()), 10 ** (-10 + 4 * next()), 1 + 9 * next()];
    const period = (C * 3) / I + R * C * Math.log((4 - I * R) / (1 - I * R));
    const text = `supply p = 12 V
current feed p -> ramp ${I} A
capacitor c ramp -> ground ${C} F
switch s ramp -> ground closed while ramp above 4 V, open 1 V, on ${R} ohm`;
    const run = simulate(compile(text), { until: 12.5 * period });
    expect([run.status, run.start]).toEqual(["complete", "rest"]);
    expect(run.warnings).toEqual([expect.stringContaining("'s' switches itself without end")]);
    expect(Math.abs(periodOf(run.trace("ramp"), 2.5) / period - 1)).toBeLessThan(1e-6);
  }
});

// What starts on its balance stays there in numbers, and says so. A disturbance grows by the larger root of the characteristic
// polynomial of capacitor and amplifier, by the laws of the kinds: half of the output returns to one input, a lag of RC to the other.
it.each([
  ["steady", 1e6],
  ["rest", 1e6],
  ["settled", 1e6],
  ["steady", 2e4],
  ["rest", 2e4],
] as const)("an amplifier that oscillates, from %s, bandwidth %d Hz", (start, hertz) => {
  const text = `
supply upper = 12 V
supply lower = -5 V
resistor r out -> slow 10 kohm
capacitor c slow -> ground 10 nF
resistor a out -> half 10 kohm
resistor b half -> ground 10 kohm
amplifier held half -> out minus slow, high upper, low lower, bandwidth ${hertz} Hz, gain 10000, output 0 ohm`;
  const run = simulate(compile(text), { start, until: "5 ms" });
  expect(run.status).toBe("complete");
  expect(run.trace("out").value.every((v) => v === 0)).toBe(true);
  const [pole, lag] = [2 * Math.PI * hertz, 1e4];
  const [sum, product] = [pole * (0.5 - 1e-4) - lag, pole * lag * (0.5 + 1e-4)];
  const rate = (sum + Math.sqrt(sum * sum - 4 * product)) / 2;
  const [told, ...more] = run.warnings;
  expect(more).toEqual([]);
  expect(told).toMatch(
    /^the run stands on a balance that no circuit keeps: what disturbs '(c|held)' the least/,
  );
  expect(told).toContain(` grows 2.7 times in ${engineering(1 / rate, "s", 2)};`);
});

it.each([
  [
    "a signal that begins in the run",
    "signal s = sine -1 V to 1 V, at 1 kHz, starts 1 us\nresistor k s -> slow 1 Mohm",
  ],
  ["a capacitor that starts charged", "capacitor k slow -> ground 1 nF, starts 1 mV"],
])("and does not with %s", (_, kick) => {
  const text = `
supply upper = 12 V
supply lower = -5 V
resistor r out -> slow 10 kohm
capacitor c slow -> ground 10 nF${kick.includes("starts 1 mV") ? ", starts 1 mV" : ""}
resistor a out -> half 10 kohm
resistor b half -> ground 10 kohm
amplifier held half -> out minus slow, high upper, low lower, bandwidth 1 MHz
${kick}`;
  const run = simulate(compile(text), { start: "rest", until: "5 ms" });
  expect(run.status).toBe("complete");
  expect(Math.max(...run.trace("out").value)).toBeGreaterThan(10);
  expect(run.warnings).toEqual([]);
});
