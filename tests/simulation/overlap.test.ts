// Polyphase rectifiers whose phases overlap: while a source's inductance hands its current over to the next phase, both conduct, and
// the mean falls by ωLI/2π a pulse: 3√3 V̂/2π − 3ωLI/2π of three phases (handbook formula, e.g. Mohan, Undeland & Robbins, Power
// Electronics; from memory). The large resistance beside the load takes nothing worth the name, but makes a time constant that is
// 1e9 times shorter and more than what everything else does: what is left of it, and cancels, must hide no diode's turn.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

const volts = 174;
const rectifier = (amperes: number, bleeder: string, coil: string) => `
${["a", "b", "c"]
  .map(
    (phase, i) => `signal s${phase} = sine ${-volts} V to ${volts} V, at 50 Hz, phase ${[0, 240, 120][i]} deg
inductor l${phase} s${phase} -> ${phase} ${coil}
diode d${phase} ${phase} -> out drop 0 V`,
  )
  .join("\n")}
current load out -> ground ${amperes} A
${bleeder && `resistor bleeder out -> ground ${bleeder}`}
run for 160 ms, from rest`;

describe.each(["", "1 Mohm", "100 Mohm", "1 Gohm", "10 Gohm"])(
  "three phases beside a load with %s",
  (bleeder) => {
    it.each([
      [0.171, 11.3e-3],
      [5, 11.3e-3],
      [50, 11.3e-3],
      [5, 1e-4],
    ])("%f A overlap through %f H", (amperes, coil) => {
      const run = simulate(compile(rectifier(amperes, bleeder, `${coil} H`)));
      expect(run.status).toBe("complete");
      const mean = (3 * Math.sqrt(3) * volts - 3 * 2 * Math.PI * 50 * coil * amperes) / (2 * Math.PI);
      // 1 Mohm takes 150 uA more, of which the overlap takes its share.
      const found = measure(run, "mean of out after 80 ms before 140 ms").value;
      expect(Math.abs(found - mean)).toBeLessThan(bleeder === "1 Mohm" ? 1e-3 : 2e-5);
    });
  },
);

it("beside 10 Tohm what is left of 500 TV is told, with parts and places", () => {
  const run = simulate(compile(rectifier(50, "10 Tohm", "11.3 mH")));
  expect(run.warnings.join()).toMatch(/when .*'db' \(from 'b' to 'out'\).* is not right to six digits/);
});
