// A long trace of which the lowest and the highest value alone are asked is left coarse where it stays within what it has shown.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate, traceBounds } from "../../src/index.js";

// A square wave through a resistor and a capacitor, driven for so long that it has forgotten its start. It comes to rest between
// V / (1 + e^(T / 2RC)) and V / (1 + e^(-T / 2RC)) (Millman & Taub, "Pulse, Digital, and Switching Waveforms", 1965, chapter 2).
const text = `
signal drive = pulse 0 V to 1 V, wide 5 us, every 10 us
resistor  r drive -> out 1 kohm
capacitor c out -> ground 2 nF
run for 60 ms
`;
const share = Math.exp(-5e-6 / 2e-6);

describe("the outermost values of a long trace", () => {
  const run = () => simulate(compile(text), { repeats: false });

  it("are those of the trace drawn whole, and of the closed form", () => {
    const own = run();
    const { to } = own.trace("out");
    const whole = traceBounds(own.trace("out"), 1e-3, to);
    const high = measure(run(), "peak of out after 1 ms");
    expect(Math.abs(high.value - whole.high)).toBeLessThan(4e-7);
    expect(Math.abs(high.value - 1 / (1 + share))).toBeLessThan(1e-6);
    const each = measure(run(), "swing of out each drive after 1 ms");
    for (const { value } of each.periods ?? [])
      expect(Math.abs(value - (1 - share) / (1 + share))).toBeLessThan(1e-6);
    expect(each.periods?.length).toBe(5900);
  });

  it("take fewer samples, and leave the trace itself as it is", () => {
    const own = run();
    const coarse = own.outermost("out", () => [{ from: 0, to: 0.06 }]);
    const whole = own.trace("out");
    expect(whole.time.length).toBeGreaterThan(200_000);
    expect(coarse.time.length).toBeLessThan(0.8 * whole.time.length);
  });
});
