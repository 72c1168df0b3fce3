// Instants of signals without a run, against the standards (ITU-R BT.470: 64 us a line, 625 lines a frame) and a run.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, instants, simulate } from "../../src/index.js";

const design = compile(`
signal camera = video of 625/50, black
signal tone = sine -1 V to 1 V, at 1 kHz
resistor load camera -> ground 75 ohm
resistor other tone -> ground 75 ohm`);

describe("instants", () => {
  it("of lines, fields and frames of 625/50", () => {
    const lines = instants(design, "camera.lines", "40 ms");
    expect(lines.length).toBe(626);
    for (const [i, t] of lines.entries()) expect(t).toBe((i * 64) / 1e6);
    expect(instants(design, "camera", 40e-3)).toEqual(lines);
    const frames = instants(design, "camera.frames", "0.2 s");
    expect([...frames.subarray(1)].map((t, i) => Number((t - frames[i]).toFixed(12)))).toEqual(
      Array.from({ length: frames.length - 1 }, () => 40e-3),
    );
    expect(frames.length).toBeGreaterThan(3);
  });

  it("are those of a run", () => {
    const run = simulate(design, { until: "20 ms" });
    for (const name of ["camera", "camera.fields", "camera.pulses", "tone"])
      expect(instants(design, name, "20 ms")).toEqual(run.periods(name));
  });

  it.each<[string, string]>([
    ["camera.line", "no signal is called 'camera.line'"],
    ["load", "no signal is called 'load'"],
  ])("%s is refused", (name, message) => {
    expect(() => instants(design, name, "1 ms")).toThrow(message);
  });

  it("too many are refused, and so is what is no time", () => {
    const told = (until: string) => {
      try {
        instants(design, "camera", until);
      } catch (error) {
        return (error as DesignError).diagnostics[0].code;
      }
      return "taken";
    };
    expect([told("1 V"), told("10000 s"), told("1 ms")]).toEqual(["bad-option", "bad-option", "taken"]);
  });
});
