// Coils whose current is that of a source in series: nothing cuts it off, whatever else switches.
// What is expected follows from Kirchhoff's laws.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

// The switch takes the source's current past the load, and gives it back: the coil's is the same all the time,
// also at the instants at which a capacitor is emptied at once.
const text = (source: string) => `supply plus12 = 12 V
signal gate = pulse 0 V to 5 V, wide 10 us, every 60 us
current feed plus12 -> top ${source}
inductor choke top -> out 1 mH
resistor load out -> ground 1 kohm
switch past out -> ground closed while gate above 2.5 V, on 1 ohm
diode guard out -> held drop 0.6 V, on 1 ohm
supply held = 3 V
current charge plus12 -> ramp 1 mA
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed while gate above 2.5 V
run for 600 us`;

describe("a coil behind a current source", () => {
  it("keeps its current while a switch and a diode turn", () => {
    const run = simulate(compile(text("5 mA")));
    expect(run.status).toBe("complete");
    for (const words of ["peak", "floor"])
      expect(Math.abs(measure(run, `${words} of choke.current`).value - 5e-3)).toBeLessThan(1e-15);
    // 5 mA would be 5 V in the load: the diode holds 3.6 V, and 1 ohm of it takes (5 - 3.6) mA.
    const top = (5e-3 + 3.6) / (1 + 1e-3);
    expect(Math.abs(measure(run, "peak of out").value - top)).toBeLessThan(1e-9);
    expect(Math.abs(measure(run, "peak of choke.voltage").value)).toBeLessThan(1e-12);
  });

  it("follows a source that moves, and its voltage is L di/dt", () => {
    const run = simulate(compile(text("path 5 mA at 0 s, 6 mA at 200 us, 5 mA at 400 us, every 400 us")));
    expect(run.status).toBe("complete");
    // 1 mA in 200 us through 1 mH: 5 mV either way.
    expect(Math.abs(measure(run, "peak of choke.voltage").value - 5e-3)).toBeLessThan(1e-12);
    expect(Math.abs(measure(run, "floor of choke.voltage").value + 5e-3)).toBeLessThan(1e-12);
  });
});
