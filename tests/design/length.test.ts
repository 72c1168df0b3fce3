// Times in a text that no run can reach are mistakes of the text, told where they stand: nothing that compiles is refused
// for its length by a run that nobody set a length for.
import { describe, expect, it } from "vitest";
import { inspect, simulate, verifyAll } from "../../src/index.js";

const sweep = `supply plus12 = 12 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
current feed plus12 -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
`;

describe("times that no run reaches", () => {
  const wrong: [what: string, line: string][] = [
    ["a run too long", "run for 1e13 s"],
    ["a run too short", "run for 1e-19 s"],
    ["a check's instant", 'check "x" value of ramp at 1e12 s below 5 V'],
    ["a check's beginning", 'check "x" peak of ramp after 1e30 s below 5 V'],
    ["a check's end", 'check "x" peak of ramp before 7e11 s below 5 V'],
    ["a case's beginning", 'case "x" gate starts at 6e11 s'],
    ["a case's end", 'case "x" gate stops at 1e33 ms'],
    ["a switch by time", "switch late ramp -> ground closed after 7e11 s, on 5 ohm"],
    ["a corner of a path", "signal slow = path 0 V at 0 s, 1 V at 9e11 s"],
  ];
  for (const [what, line] of wrong) {
    it(what, () => {
      const { diagnostics, design } = inspect(`${sweep}${line}\n`);
      expect(design).toBeUndefined();
      const errors = diagnostics.filter((d) => d.severity === "error");
      expect(errors.map((d) => [d.code, d.span.line > 1])).toEqual([["out-of-range", true]]);
      expect(errors[0].message).toMatch(/1e-18 s to 1e12 s/);
    });
  }

  it("a signal too slow or too fast for eight periods is no mistake", () => {
    for (const f of ["1e-14 Hz", "1e19 Hz"]) {
      const { design } = inspect(`signal s = sine -1 V to 1 V, at ${f}\nresistor r s -> ground 1 kohm\n`);
      const run = simulate(design!, { limits: { steps: 1000 } });
      expect(["complete", "stopped"]).toContain(run.status);
      expect(verifyAll(design!)).toEqual([]);
    }
  });
});
