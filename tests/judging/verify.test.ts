// What is judged: a run by itself, or a design with all its cases. V = I t / C: 4 V at 60 us, 2 V with half the current.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, simulate, verify, verifyAll } from "../../src/index.js";

const design = compile(`
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 15 nF, starts 0 V
run for 80 us, from rest
check "drawn" value of ramp at 60 us is 4 V +- 0.001 %
case "weak" feed is 0.5 mA
check "weak" value of ramp at 60 us is 2 V +- 0.001 %
case "unasked" feed is 2 mA`);
const names = (results: { name: string; case: string; pass: boolean }[]) =>
  results.map((r) => [r.name, r.case, r.pass]);

describe("verify", () => {
  it("judges the run it is given, and runs nothing", () => {
    expect(names(verify(simulate(design)))).toEqual([["drawn", "", true]]);
    expect(names(verify(simulate(design, { case: "weak" })))).toEqual([["weak", "weak", true]]);
    expect(verify(simulate(design, { case: "unasked" }))).toEqual([]);
  });

  it("one check that looks at more than there is room for takes no verdict from the others", () => {
    // An undamped tank of 5.03 GHz: v = 5 V cos(t / sqrt(L C)), 3.8 V at 22.34 ps; a millisecond of it is some 10^8 samples.
    const tank = compile(`capacitor c a -> ground 1 pF, starts 5 V
      inductor l a -> ground 1 nH
      check "whole" peak of a below 6 V
      check "early" value of a at 22.3606797749979 ps is ${5 * Math.cos(Math.SQRT1_2)} V +- 0.001 %`);
    const [whole, early] = verify(simulate(tank, { until: "1 ms", limits: { bytes: 1e6 } }));
    expect([whole.pass, whole.measured]).toEqual([false, Number.NaN]);
    expect(whole.reason).toContain("raise limits.bytes");
    expect(early.pass).toBe(true);
  });

  it("what repeats a billion times is refused before it is drawn", () => {
    const pulses = compile(`signal s = pulse 0 V to 5 V, wide 1 ms, every 1 s
      resistor r s -> x 1 kohm
      capacitor c x -> ground 1 nF
      check "whole" peak of x below 6 V`);
    const [whole] = verify(simulate(pulses, { until: "1e9 s" }));
    expect(whole.pass).toBe(false);
    expect(whole.reason).toMatch(/limits\.bytes|limits\.steps/);
  });

  it("draws no more of a run than checks look at: two fields of colour are kept in a few megabytes", () => {
    // Drawn whole, each of the two waveforms has five million samples of three doubles.
    const colour = compile(`signal camera = video of 625/50, colour bars
      resistor source camera -> jack 75 ohm
      resistor load jack -> ground 75 ohm
      capacitor couple jack -> base 100 nF
      resistor bias base -> ground 10 kohm
      check "half of it" peak of jack after 39.5 ms below 1 V
      check "coupled" swing of base after 39.5 ms below 1 V`);
    const before = process.memoryUsage().arrayBuffers;
    const run = simulate(colour, { until: "40 ms" });
    const results = verify(run);
    const taken = process.memoryUsage().arrayBuffers - before;
    expect(run.recording.count).toBeGreaterThan(10_000);
    expect(results.map((r) => r.pass)).toEqual([true, true]);
    expect(taken).toBeLessThan(32e6);
  });

  it("refuses what is no run", () => {
    expect(() => verify(design as never)).toThrow("expected a run");
  });
});

describe("verifyAll", () => {
  it("judges every case that asks something, each on a run of its own", () => {
    const runs: string[] = [];
    const results = verifyAll(design, { ran: (run) => runs.push(run.design.caseName) });
    expect(names(results)).toEqual([
      ["drawn", "", true],
      ["weak", "weak", true],
    ]);
    expect(runs).toEqual(["", "weak"]);
  });

  it("tells each case what each run by itself tells", () => {
    const each = ["", "weak"].flatMap((name) => verify(simulate(design, { case: name })));
    expect(verifyAll(design)).toEqual(each);
  });

  it.each(["case", "stream"])("has no use for %s", (name) => {
    let found: DesignError | undefined;
    try {
      verifyAll(design, { simulate: { [name]: "weak" } as never });
    } catch (error) {
      found = error as DesignError;
    }
    expect(found?.diagnostics[0]).toMatchObject({ code: "bad-option", hint: "leave it out" });
  });
});
