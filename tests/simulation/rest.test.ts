// A stiff circuit at rest: its slopes are rounding and nothing else, and a trace takes no samples for them. Expected: Ohm's law.
import { expect, it } from "vitest";
import { compile, simulate, stress } from "../../src/index.js";

it("a current that rests in a diode of a few ohms is a straight line, however long", () => {
  // 1 mA into 0.6 V and 10 Ω above 5 V: the current is the small difference of what stands at its ends.
  const run = simulate(
    compile(`supply plus5 = 5 V, rated 50 mA
    current feed ground -> ramp 1 mA
    capacitor hold ramp -> ground 15 nF
    diode guard ramp -> plus5 drop 0.6 V, on 10 ohm`),
    { until: "1 s" },
  );
  for (const name of ["plus5.current", "plus5.power", "guard.power", "hold.current"])
    expect(run.trace(name).time.length).toBeLessThan(10);
  expect(run.trace("plus5.current").at(0.5)).toBeCloseTo(1e-3, 12);
  expect(stress(run).parts.find((p) => p.part === "plus5")!.current.peak.value).toBeCloseTo(1e-3, 12);
});
