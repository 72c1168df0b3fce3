// Two capacitors in parallel are one (C = C1 + C2): as a state that follows another they must cost no more than the one does, and
// show the same. A switch and a guard in their group then stop no other group.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const circuit = (hold: string) => `supply plus12 = 12 V
supply plus5 = 5 V
signal gate = pulse 0 V to 5 V, wide 5 us, every 64 us, edges 200 ns
signal beside = pulse 0 V to 1 V, wide 11 us, every 27 us, edges 100 ns
current feed plus12 -> ramp 1.8 mA, headroom 0.9 V, output 2 Mohm
${hold}
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
diode guard ramp -> plus5 drop 0.6 V, on 10 ohm
resistor path beside -> held 1 kohm
capacitor store held -> ground 10 nF
`;
const two = "capacitor hold ramp -> ground 10 nF\ncapacitor trim ramp -> ground 5 nF";
const one = "capacitor hold ramp -> ground 15 nF";

describe("a capacitor beside another", () => {
  const [tied, alone] = [two, one].map((hold) => simulate(compile(circuit(hold)), { until: "2 ms" }));

  it("takes no more leaps and events than both in one", () => {
    expect(alone.statistics.events).toBeGreaterThan(80);
    expect(tied.statistics.events).toBe(alone.statistics.events);
    expect(tied.statistics.steps).toBe(alone.statistics.steps);
  });

  it("shows what both in one show", () => {
    for (const place of ["ramp", "held"])
      for (let k = 1; k < 200; k++) {
        const at = k * 9.87e-6;
        expect(Math.abs(tied.trace(place).at(at) - alone.trace(place).at(at))).toBeLessThan(1e-12);
      }
  });
});
