// Tilt and sag of coupled signals, end to end, against closed forms.
import { describe, expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { make } from "../waveforms/making.js";
import { off, take } from "./taking.js";

const found = (text: string) => {
  const run = simulate(compile(text));
  expect(run.reason).toBe("");
  return new Map(verify(run).map((r) => [r.name, r]));
};

describe("sag", () => {
  it("is what a trace loses from end to end, whatever it stands on", () => {
    const falls = make([0, 1, 4], [0.25, 3, -0.25]);
    expect(take("sag", falls)).toBe(0.5);
    expect(take("tilt", falls)).toBeNaN();
    expect(take("sag", make([0, 1], [-2, -1]))).toBe(-1);
    // A jump at either end belongs to the neighbour.
    expect(take("sag", make([0, 1, 1, 2, 2, 3], [9, 9, 4, 3, 0, 0]), { from: 1, to: 2 })).toBe(1);
  });
});

// A 50 % square of period T through C and R, settled: it decays from top to top · e^(−T/2RC) and both make up the step,
// so what the top loses over half the step is 2 tanh(T/4RC) (Millman & Taub, "Pulse, Digital, and Switching Waveforms",
// 1965, ch. 2; figures re-derived).
describe.each([
  ["field", "20 ms", "10 ms", "10 kohm", "20 uF", 0.1, 0.04998959],
  ["field, poorly coupled", "20 ms", "10 ms", "10 kohm", "2 uF", 1, 0.48983732],
  ["line", "64 us", "32 us", "1 kohm", "640 nF", 0.1, 0.04998959],
])("a square over a %s through a coupling capacitor", (_, period, half, ohms, farads, ratio, tilt) => {
  const results = found(`
    signal square = pulse 0 V to 1 V, wide ${half}, every ${period}
    capacitor couple square -> out ${farads}
    resistor leak out -> ground ${ohms}
    run for 4 * ${period}, from settled
    check "top" tilt of out each square from 0 s to ${half} below 1 %
    check "bottom" tilt of out each square from ${half} to ${period} below 1 %
    check "sinks" sag of out each square from 0 s to ${half} below 1 mV
    check "rises" sag of out each square from ${half} to ${period} above 0 V
    check "whole" sag of out each square below 1 mV`);

  it(`tilts by ${tilt} of half the swing at T/RC = ${ratio}, above and below`, () => {
    expect(off(2 * Math.tanh(ratio / 4), tilt)).toBeLessThan(1e-7);
    for (const name of ["top", "bottom"]) expect(off(results.get(name)!.measured, tilt)).toBeLessThan(1e-6);
  });

  it("sags by as many half volts, and rises by as many below", () => {
    expect(results.get("sinks")).toMatchObject({ unit: "V", pass: false });
    expect(off(results.get("sinks")!.measured, tilt / 2)).toBeLessThan(1e-6);
    expect(off(results.get("rises")!.measured, -tilt / 2)).toBeLessThan(1e-6);
    // Over a whole period from top to the end of the bottom: the whole step.
    expect(off(results.get("whole")!.measured, 1)).toBeLessThan(1e-6);
  });
});

describe("tilt of the picture over a field", () => {
  it("is what RC makes of the mean: a grey of 50 % through 1 µF and 10 kΩ", () => {
    // The same line again and again: from like instant to like instant the voltage of the capacitor goes exponentially
    // (RC, any book) to what it would be were there no field sync. So what is lost in 100 lines, 6.4 ms, is
    // e^(−6.4 ms/RC) of what the 100 lines before lost, whatever that level is.
    const results = found(`
      signal camera = video of 625/50, flat, level 50 %
      capacitor couple camera -> out 1 uF
      resistor leak out -> ground 10 kohm
      run for 40 ms, from settled
      check "early" sag of out each camera.fields from 2030 us to 8430 us above 0 V
      check "late" sag of out each camera.fields from 8430 us to 14830 us above 0 V`);
    const [early, late] = ["early", "late"].map((name) => results.get(name)!.measured) as [number, number];
    expect(off(late / early, Math.exp(-0.64))).toBeLessThan(1e-4);
    expect(early).toBeGreaterThan(0);
  });
});
