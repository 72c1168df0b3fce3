// Ramps that are reset later than their period begins: a ramp's peak belongs to the period in which it rose. V = I t / C.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate, verify } from "../../src/index.js";

// A gate of 4.7 us at a share of each period of 64 us; heights by a second source that helps in every other ramp, or one gate missing.
const share = [0, 0.002, 0.05, 0.1, 0.2, 0.3, 0.4];
const width = 4.7e-6;
const period = 64e-6;
const text = (late: number, body = "") => `
supply plus12 = 12 V
signal border = pulse 0 V to 5 V, wide 2 us, every 64 us
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us, from ${late * 64} us
signal help = pulse 0 V to 5 V, wide 64 us, every 128 us, from ${late * 64} us
current feed plus12 -> ramp 1 mA
current more plus12 -> ramp 0 A, follows help, gain 0.1 mA/V
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
${body}
run for 1280 us, from settled
`;
const rise = (current: number) => (current * (period - width)) / 15e-9 + current * 5;
const [tall, short] = [rise(1.5e-3), rise(1e-3)];

describe.each(share)("a ramp reset %f of a period late", (late) => {
  it("has its peak in the period in which it rose, in rising and in falling ramps", () => {
    const run = simulate(compile(text(late)));
    const { periods } = measure(run, "peak of ramp each border");
    const values = periods!.map((p) => p.value);
    expect(values).toHaveLength(late === 0 ? 20 : 19);
    console.log(late, values.map((v) => v.toFixed(3)).join(" "));
  });
});
