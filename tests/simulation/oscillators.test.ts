// Oscillators have no steady state: a run starts at rest instead, and says so. Their periods are closed forms of the charging of a
// capacitor (Horowitz & Hill, The Art of Electronics, 3rd ed., 2015, 7.1; from memory).
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
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
