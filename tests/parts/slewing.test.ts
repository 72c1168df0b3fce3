// How long an amplifier goes as fast as it can: `mean of u.slewing` is that share of the time.
import { describe, expect, it } from "vitest";
import { compile, inspect, simulate, verify } from "../../src/index.js";

const rails = "supply v = 9 V\nsupply w = -9 V\n";
const follower = "amplifier u s -> o minus o, high v, low w, bandwidth 1 MHz, gain 1000000000, slew 1 V/us\n";

describe("the slewing of an amplifier", () => {
  it("lasts for a step of 5 V until what is left is slew rate times time constant", () => {
    const run = simulate(
      compile(`signal s = path 0 V at 0 s, 0 V at 10 us, 5 V at 10 us
${rails}${follower}run for 20 us
check "how long" mean of u.slewing below 1 %
check "in the step" pulses of u.slewing rising through 0.5 is 1`),
    );
    const [share, times] = verify(run);
    // W. Jung, Op Amp Applications Handbook, ch. 1: dv/dt = ω (in − out) within ± slew.
    expect(Math.abs(share.measured / ((5e-6 - 1 / (2e6 * Math.PI)) / 20e-6) - 1)).toBeLessThan(1e-6);
    expect([share.pass, times.measured]).toEqual([false, 1]);
  });

  it("is nothing for a sine that it can follow: 2 π f V stays below the slew rate", () => {
    const text = (volts: number) => `signal s = sine -${volts} V to ${volts} V, at 100 kHz
${rails}${follower}run for 100 us, from settled
check "none" mean of u.slewing below 1 %`;
    expect(2 * Math.PI * 100e3 * 1.5).toBeLessThan(1e6);
    expect(verify(simulate(compile(text(1.5))))[0].measured).toBe(0);
    expect(2 * Math.PI * 100e3 * 3).toBeGreaterThan(1e6);
    expect(verify(simulate(compile(text(3))))[0].measured).toBeGreaterThan(0.5);
  });

  it("cannot be asked of a resistor", () => {
    const { diagnostics } = inspect(
      `signal s = sine -1 V to 1 V, at 1 kHz\nresistor r s -> ground 1 kohm\ncheck "none" mean of r.slewing below 1 %`,
    );
    expect(diagnostics.map((d) => d.code)).toEqual(["unknown-place"]);
  });
});
