// An amplifier leaves its upper limit while the rail that limits it moves with what it delivers: the integrator held there must not
// weigh on that rail, or the two never agree. Expected: at the limit Ohm's law around the rail, p = (12 V + 1.5 V k)/(1 + k) with k =
// R_supply / (100 ohm + 1 kohm), once the ramp has risen to the rail; after the reset 1.5 V behind 100 ohm, the lower limit.
import { expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

// Bandwidth, MHz; supply, ohm; to the ramp, ohm; current limit, mA.
const values = [
  [1.71, 2.31, 194, 15],
  [2.43, 5.26, 740, 20],
  [11.9, 1, 570, 12],
  [0.6, 9.1, 330, 15],
  [28, 0.07, 120, 30],
  [5.2, 0.4, 860, 11],
] as const;

it.each(values)("%s MHz on a supply of %s ohm, %s ohm to the ramp, %s mA at most", (mhz, ro, r, limit) => {
  for (const limited of ["", `, limit ${limit} mA`, ", limit 5.7 mA"]) {
    const run = simulate(
      compile(`supply plus12 = 12 V, output ${ro} ohm
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
resistor feed plus12 -> ramp ${r} ohm
capacitor hold ramp -> ground 9.79 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
amplifier buffer ramp -> out minus out, high plus12, low ground, bandwidth ${mhz} MHz${limited}
resistor load out -> ground 1 kohm
run for 140 us`),
    );
    expect([run.status, run.reason]).toEqual(["complete", ""]);
    const at = (place: string, us: number) => measure(run, `value of ${place} at ${us} us`).value;
    const k = ro / 1100;
    const rail = limited === ", limit 5.7 mA" ? 12 - 5.7e-3 * ro : (12 + 1.5 * k) / (1 + k);
    expect(at("plus12", 127.9)).toBeCloseTo(rail, 3);
    expect(at("out", 127.9)).toBeCloseTo(limited === ", limit 5.7 mA" ? 5.7 : (rail - 1.5) / 1.1, 3);
    // The ramp is far lower than an output can go.
    expect(at("ramp", 132.6)).toBeLessThan(0.7);
    expect(at("out", 132.6)).toBeCloseTo(1.5 / 1.1, 6);
  }
});
