// A design with other values, against the closed form V = I t / C of a capacitor on a current.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, simulate, trials, vary, withValues } from "../../src/index.js";
import { off } from "../facts/running.js";

const design = compile(`
given timing = 15 nF +- 5 %
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground timing
capacitor twin rail -> other timing
resistor load other -> ground 10 kohm
switch reset ramp -> ground closed before 10 us, on 5 ohm
run for 80 us
check "fills" value of ramp at 50 us is 4 V +- 50 %
case "small" timing is 5 nF
check "small fills" value of ramp at 20 us is 2 V +- 50 %`);
const seen = (one: typeof design, at: number) => simulate(one, { until: "80 us" }).trace("ramp").at(at);
// While the switch is closed the ramp stands at I R; from 10 us on it rises by I t / C.
const volts = (farads: number, seconds: number, ohms = 5) =>
  1e-3 * ohms + (1e-3 * (seconds - 10e-6)) / farads;

describe("withValues", () => {
  it("moves every user of a named value, and the design given stays as it is", () => {
    const made = withValues(design, { timing: "18 nF" });
    expect(off(seen(made, 50e-6), volts(18e-9, 50e-6))).toBeLessThan(1e-9);
    expect(off(seen(design, 50e-6), volts(15e-9, 50e-6))).toBeLessThan(1e-9);
    const farads = made.parts.filter((p) => p.kind.word === "capacitor").map((p) => Number(p.value!.value));
    expect(farads).toEqual([18e-9, 18e-9]);
    const { low, high } = made.givens.get("timing")!;
    expect([Number(low), Number(high)]).toEqual([17.1e-9, 18.9e-9]);
  });

  it("takes parts and properties, as text or as numbers, and leaves a case what it sets itself", () => {
    const made = withValues(design, { "reset.on": 10, feed: "2 mA", timing: 10e-9 });
    expect(off(seen(made, 50e-6), 2 * volts(10e-9, 50e-6, 10))).toBeLessThan(1e-9);
    expect(off(seen(made.cases[0], 20e-6), 2 * volts(5e-9, 20e-6, 10))).toBeLessThan(1e-9);
  });

  it("one after the other is both at once, and of one name the last counts", () => {
    const once = withValues(withValues(design, { timing: "18 nF" }), { "reset.on": "10 ohm" });
    expect(off(seen(once, 50e-6), volts(18e-9, 50e-6, 10))).toBeLessThan(1e-9);
    expect(off(seen(withValues(once, { timing: "30 nF" }), 50e-6), volts(30e-9, 50e-6, 10))).toBeLessThan(
      1e-9,
    );
    const inCase = withValues(once.cases[0], { feed: "2 mA" });
    expect(off(seen(inCase, 20e-6), 2 * volts(5e-9, 20e-6, 10))).toBeLessThan(1e-9);
  });

  it("studies keep what was set: one value varied, tolerances tried", () => {
    const made = withValues(design, { timing: "30 nF" });
    const { checks } = vary(made, { value: "reset.on", from: "10 ohm", to: "20 ohm", points: 2 });
    const expected = [10, 20].map((ohms) => volts(30e-9, 50e-6, ohms));
    for (const [i, v] of checks[0].measured.entries()) expect(off(v, expected[i])).toBeLessThan(1e-9);
    const tried = trials(made, { trials: 20, seed: 1 });
    // The axis is the tolerance of 5 % about the value that was set.
    expect(tried.axes.map((a) => [a.low, a.high])).toEqual([[28.5e-9, 31.5e-9]]);
    expect(tried.fingerprint).not.toBe(trials(design, { trials: 1, seed: 1 }).fingerprint);
    const [low, high] = [volts(31.5e-9, 50e-6), volts(28.5e-9, 50e-6)];
    for (const v of tried.measured.flat()) expect(v > low - 1e-9 && v < high + 1e-9).toBe(true);
  });

  it.each<[string, () => unknown, RegExp]>([
    [
      "a name that is none",
      () => withValues(design, { timin: "1 nF" }),
      /no value of the design is called 'timin'/,
    ],
    ["another dimension", () => withValues(design, { timing: "1 ohm" }), /resistance.*not.*capacitance/],
    [
      "a value that the part does not allow",
      () => withValues(design, { "reset.on": "-1 ohm" }),
      /allowed is/,
    ],
    ["no design", () => withValues({} as never, {}), /expected a design/],
    ["no values", () => withValues(design, null as never), /expected an object/],
  ])("refuses %s", (_, call, message) => {
    let found: DesignError | undefined;
    try {
      call();
    } catch (error) {
      found = error as DesignError;
    }
    expect(found?.diagnostics?.[0].code).toBe("bad-option");
    expect(found!.message).toMatch(message);
  });
});
