// Clipping as `check` tells it: on standard error for people, in the JSON for programs.
import { describe, expect, test } from "vitest";
import { rampwright, sound } from "./running.js";

/** Five times 1 V, between 5 V rails that the output reaches within 1.5 V: ±3.5 V. */
const text = `supply vp = 5 V
supply vm = -5 V
signal camera = sine -0.5 V to 0.5 V, at 1 kHz
amplifier gain camera -> bright minus tap, high vp, low vm, bandwidth 50 MHz, output 0 ohm
resistor upper bright -> tap 4 kohm
resistor lower tap -> ground 1 kohm
run for 2 ms
check "clean" clipping time of gain below 1 us
case "too much" camera is sine -1 V to 0.5 V, at 1 kHz
check "level" clipping level of gain below -3.4 V
`;

describe("check", () => {
  test("tells on standard error which output clips in which case", () => {
    const { status, out, err } = rampwright(["check", "-"], { input: text });
    expect(status).toBe(0);
    expect(out).toMatch(/clean +0 s +below 1 µs/);
    expect(out).toMatch(/level +-3\.5 V +below -3\.4 V/);
    expect(err.trim().split("\n")).toEqual([
      expect.stringMatching(
        /^rampwright: Case "too much": gain clips at its lower limit, -3\.5 V: from \d+\.?\d* µs on, \d+\.?\d* µs in all$/,
      ),
    ]);
  });

  test("lists it in the JSON, with nothing on standard error", () => {
    const { out, err } = rampwright(["check", "-", "--json"], { input: text });
    const { runs } = JSON.parse(out);
    expect(err).toBe("");
    expect(runs[0].clipping).toEqual([]);
    expect(runs[1].clipping).toEqual([
      expect.objectContaining({ part: "gain", output: "bright", limit: "lower", times: 2 }),
    ]);
    expect(runs[1].clipping[0].level).toBeCloseTo(-3.5, 9);
    expect(JSON.parse(rampwright(["check", "-", "--json"], { input: sound }).out).runs[0].clipping).toEqual(
      [],
    );
  });
});
