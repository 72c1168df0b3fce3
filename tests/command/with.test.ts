// Other values on the command line, against the closed form V = I t / C of `sound`: 1 mA into 10 nF, let go at 10 µs.
import { describe, expect, it } from "vitest";
import { verbs } from "../../src/command/verbs.js";
import { file, rampwright, sound } from "./running.js";

const measured = (...words: string[]) => {
  const { status, out, err } = rampwright([...words, "--json"]);
  return { status, err, checks: JSON.parse(out).checks as { name: string; measured: number }[] };
};

describe("--with", () => {
  it("moves a part and a property: 20 nF and 2 mA give the same ramp, 20 nF alone half of it", () => {
    const design = file(sound);
    const half = measured("check", design, "--with", "hold 20 nF");
    expect(half.status).toBe(1);
    expect(half.checks.map((c) => Number(c.measured.toPrecision(9)))).toEqual([0.5, 2.5]);
    expect(measured("check", design, "--with", "hold 20 nF, feed 2 mA").status).toBe(0);
  });

  it("says the same in threads as in one", () => {
    const design = file(`${sound}case "large" hold is 40 nF
check "large volts" value of ramp at 60 us is 5 V +- 50 %`);
    const values = ["--with", "feed 4 mA"];
    const [one, two] = ["1", "2"].map((n) => measured("check", design, ...values, "--workers", n));
    expect(one).toEqual(two);
    expect(Number(one.checks[2].measured.toPrecision(9))).toBe(5);
  });

  it("is refused where it names nothing, or makes no sense", () => {
    const design = file(sound);
    for (const [words, told] of [
      ["holt 20 nF", "with.holt: no value of the design is called 'holt'"],
      ["hold 20 V", "not a capacitance"],
      ["hold", "'hold' is no name with a value behind it"],
      ["hold 1 nF, hold 2 nF", "'hold' stands there twice"],
    ]) {
      const { status, err } = rampwright(["check", design, "--with", words]);
      expect([status, err]).toEqual([2, expect.stringContaining(told)]);
    }
  });

  it("is taken by every verb that asks for the design's runs", async () => {
    const found = await Promise.all(Object.values(verbs).map((one) => one()));
    const runs = found.filter((verb) => "until" in verb.options).map((verb) => verb.word);
    expect(runs.length).toBeGreaterThan(8);
    expect(found.filter((verb) => "with" in verb.options).map((verb) => verb.word)).toEqual(runs);
  });
});
