// The limits of a run as options of the command: each has one, the message of a run that it stopped names it, and what is
// plainly beyond one is told before anything is run. The limits are the command's own; no outside source.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { folder, rampwright, sound } from "./running.js";

/** A thousand pulses into a second's time constant: each two corners, and none the same as another to the bit. */
const busy = sound.replace(
  "run for 100 us",
  "signal s = pulse 0 V to 5 V, wide 1 us, every 10 us\nresistor slow s -> out 1 Mohm\ncapacitor store out -> ground 1 uF\nrun for 10 ms",
);

describe("a limit", () => {
  it.each([
    ["--steps", "50"],
    ["--bytes", "30000"],
  ])("%s %s ends a run early, and is named", (option, most) => {
    const out = join(folder(), "w.csv");
    const { status, err } = rampwright(["run", "-", "--out", out, option, most], { input: busy });
    expect(status).toBe(3);
    expect(err).toMatch(new RegExp(`stopped at .*, ${option}, was reached`));
    // What there is is written.
    expect(readFileSync(out, "utf8")).toMatch(/^time \(s\)/);
  });

  it.each(["check", "stress", "faults"])("reaches the runs of %s", (verb) => {
    const { status, out, err } = rampwright([verb, "-", "--steps", "50"], { input: busy });
    expect(status).toBe(3);
    expect(out + err).toContain("the limit on steps");
  });

  it.each([["check"], ["run", "--out", "-"], ["stress"]])(
    "on time is kept by %s, though nothing was begun",
    (verb, ...words) => {
      const { status, err } = rampwright([verb, "-", ...words, "--seconds", "1e-9"], { input: busy });
      expect(status).toBe(3);
      expect(err).toContain("the limit on time, --seconds, was reached");
    },
  );

  it("--periods is foreseen, and named, before anything is run", () => {
    const text = `signal s = pulse 0 V to 5 V, wide 1 us, every 10 us
resistor load s -> out 1 kohm
capacitor c out -> ground 1 nF
run for 10 ms
check "height" peak of out each s below 6 V
`;
    const { status, out, err } = rampwright(["check", "-", "--periods", "900"], { input: text });
    expect({ status, out }).toEqual({ status: 2, out: "" });
    expect(err).toMatch(/--until: 's' has more periods in the run than the 900 .*raise --periods/);
    expect(rampwright(["check", "-", "--periods", "1001"], { input: text }).status).toBe(0);
  });

  it("--bytes is foreseen for the equations", () => {
    const { status, err } = rampwright(["check", "-", "--bytes", "1"], { input: busy });
    expect(status).toBe(2);
    expect(err).toMatch(/--bytes: the equations of this circuit take/);
  });

  it.each(["0", "-1", "many", ""])("of %j is none", (most) => {
    const { status, out, err } = rampwright(["check", "-", "--steps", most], { input: sound });
    expect({ status, out }).toEqual({ status: 2, out: "" });
    expect(err).toBe("rampwright: --steps: a limit must be greater than zero (raise it, or leave it out)\n");
  });
});
