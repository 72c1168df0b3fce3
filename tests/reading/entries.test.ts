// A probe inside a leap carries on only the entries of z that move it. What it sees must be what the whole leap gives, to the
// bit: the law that looking does not depend on what else is in the circuit. The reference is the leap of all entries.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { probeReader } from "../../src/reading/forms.js";
import { ModeView } from "../../src/reading/modeview.js";
import { probeOf } from "../../src/reading/probe.js";

// A ring, a ladder driven by a carrier and a ramp, and a filter behind the ladder that does not load it.
const text = `
  signal tone = sine -1 V to 1 V, at 3 kHz, phase 20 deg
  signal saw = pulse 0 V to 5 V, wide 30 us, every 100 us, edges 20 us
  resistor in tone -> a 1 kohm
  capacitor first a -> ground 10 nF
  resistor on a -> b 4.7 kohm
  capacitor second b -> ground 1 nF
  inductor coil saw -> c 1 mH
  resistor damp c -> d 10 ohm
  capacitor tank d -> ground 2.2 nF
  resistor last d -> e 100 kohm
  capacitor third e -> ground 100 pF`;

describe("entries of z that move a probe", () => {
  const design = compile(text);
  const run = simulate(design, { until: "1 ms" });
  const { assembly } = run;
  const [at] = assembly.system.combinations;

  for (const name of ["a", "b", "c", "e", "coil.current", "on.power"]) {
    it(`suffice for ${name}, in any length`, () => {
      const mode = new ModeView(assembly, at, probeReader(assembly, probeOf(design, name).probe));
      const { motion, matrices } = mode.course;
      expect(mode.entries.length).toBeLessThan(motion.width);
      for (let k = 1; k < 200; k++) {
        const ticks = 1 + ((k * k * 7919) % Math.floor(assembly.clock.end / 7));
        const whole = Float64Array.from({ length: motion.width }, (_, j) => Math.sqrt(1 + j * k) - 3);
        whole[motion.one] = 1;
        const some = whole.map((v, j) => (mode.entries.includes(j) ? v : 1e9));
        matrices.leap(whole, ticks, false);
        matrices.leapSome(some, ticks, mode.moving, mode.levels);
        for (const form of mode.plain.forms) {
          const seen = (z: Float64Array) =>
            form.value.reduce((sum, v, j) => (v === 0 ? sum : sum + v * z[j]), 0);
          expect(seen(some)).toBe(seen(whole));
        }
        for (const j of mode.entries) expect(some[j]).toBe(whole[j]);
      }
    });
  }
});
