// Findings and matchers against V = I t / C, and what their words must tell.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { allPass, checkPasses, measuresWithin } from "../../src/testing/testing.js";
import { textPlot } from "../../src/testing/textplot.js";
import { Trace } from "../../src/waveforms/trace.js";
import "../../src/testing/vitest.js";

// 1 mA into 10 nF for 50 us of every 60 us: peaks of 5 V, 60 us after each gate.
const text = (limit: string) => `
signal gate = pulse 0 V to 5 V, wide 10 us, every 60 us
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed while gate above 2.5 V
run for 600 us
check "fills" peak of ramp each gate ${limit}
check "half way" value of ramp at 35 us is 2.5 V +- 1 %
case "weak" feed is 0.5 mA
check "half" peak of ramp each gate is 2.5 V +- 1 %`;
const good = compile(text("is 5 V +- 1 %"));
const bad = compile(text("is 4 V +- 1 %"));
const failing = (act: () => void): string => {
  try {
    act();
  } catch (error) {
    return (error as Error).message;
  }
  return "";
};

describe("findings", () => {
  it("pass where every check of every case does, and tell what was measured", () => {
    const { pass, message } = allPass(good);
    expect(pass).toBe(true);
    expect(message.split("\n")).toHaveLength(3);
    expect(message).toContain(
      'pass "half" in case "weak": peak of ramp is 2.5 V, must be 2.475 V to 2.525 V',
    );
    expect(allPass(simulate(good)).message.split("\n")).toHaveLength(2);
  });

  it("tell of what fails the measured value, the limit, the margin, the instant, and show the trace", () => {
    const { pass, message } = allPass(bad);
    expect(pass).toBe(false);
    expect(message).toContain("1 of 3 checks fails");
    expect(message).toContain(
      'FAIL "fills": peak of ramp is 5 V, must be 3.96 V to 4.04 V (margin -1200 %; ',
    );
    expect(message).toMatch(/at \d+ µs, ramp:/);
    const plot = message.split("\n").filter((one) => one.includes(" |"));
    expect(plot).toHaveLength(10);
    // A ramp: it begins at the bottom on the left and ends at the top on the right.
    expect(plot[0]).toMatch(/5 V \| +\*+$/);
    expect(plot[8]).toMatch(/0 V \|\*+$/);
    expect(plot.some((one) => one.includes("-----"))).toBe(true);
    // The peak is the last that is seen of the period.
    expect(plot[9]).toMatch(/\| {59}\^$/);
  });

  it("of one check by its name", () => {
    expect(checkPasses(bad, "half").pass).toBe(true);
    expect(checkPasses(bad, "fills").pass).toBe(false);
    expect(() => checkPasses(bad, "fils")).toThrow('no check is called "fils"');
  });

  it("of a phrase between two values, in every period", () => {
    const run = simulate(good);
    expect(measuresWithin(run, "peak of ramp each gate", "4.99 V", "5.01 V").pass).toBe(true);
    const { pass, message } = measuresWithin(run, "peak of ramp each gate", "5.5 V", 6);
    expect(pass).toBe(false);
    expect(message).toContain("peak of ramp is 5 V, must be 5.5 V to 6 V (margin -100 %");
    expect(measuresWithin(run, "crossing of ramp rising through 9 V", "0 s", "1 s")).toMatchObject({
      pass: false,
      message: expect.stringContaining("it does not occur in the span"),
    });
    expect(() => measuresWithin(run, "peak of ramp", "1 A", "2 A")).toThrow("what is measured is in V");
    expect(() => measuresWithin(run, "peak of ramp", 2, 1)).toThrow("above 'high'");
  });

  it("nothing is proved where nothing is asked", () => {
    const bare = compile("supply rail = 12 V\nresistor r rail -> ground 1 kohm\nrun for 1 ms");
    expect(allPass(bare).pass).toBe(false);
  });

  it("a plot of a straight rise is a straight line", () => {
    const rise = new Trace({
      name: "x",
      unit: "V",
      time: Float64Array.of(0, 1),
      value: Float64Array.of(0, 8),
    });
    const plot = textPlot(rise, { from: 0, to: 1, levels: [], mark: 0.5 });
    const first = plot.slice(0, 9).map((one) => one.indexOf("*"));
    expect(first.every((c, i) => i === 0 || c < first[i - 1])).toBe(true);
    expect(plot[9].indexOf("^") - plot[9].indexOf("|") - 1).toBe(30);
  });

  it("shows a trace of many periods around the instant, since all of it would be a solid block", () => {
    const time = Float64Array.from({ length: 4001 }, (_, k) => k / 40);
    const saw = new Trace({ name: "saw", unit: "V", time, value: time.map((t) => t % 1) });
    for (const mark of [0.01, 50.5, 99.99]) {
      const plot = textPlot(saw, { from: 0, to: 100, levels: [], mark });
      const [begins, ends] = plot[10]
        .trim()
        .split(/ {2,}/)
        .map((words) => Number.parseFloat(words));
      // Six periods of a second or so, in which blanks are left.
      expect(ends - begins, `${mark}`).toBeGreaterThan(5);
      expect(ends - begins, `${mark}`).toBeLessThan(8);
      expect(plot[9]).toContain("^");
      expect(plot.slice(0, 9).join("").split("*").length, `${mark}`).toBeLessThan((9 * 60) / 2);
    }
  });
});

describe("matchers", () => {
  it("pass and fail as the findings do, with their words", () => {
    expect(good).toPassAllChecks();
    expect(simulate(good)).toPass("fills");
    expect(simulate(good)).toMeasure("peak of ramp each gate").within("4.99 V", "5.01 V");
    expect(simulate(good)).not.toMeasure("peak of ramp each gate").within(1, 2);
    expect(bad).not.toPassAllChecks();
    expect(failing(() => expect(bad).toPassAllChecks())).toBe(allPass(bad).message);
    expect(failing(() => expect(bad).toPass("fills"))).toBe(checkPasses(bad, "fills").message);
    const run = simulate(good);
    expect(failing(() => expect(run).toMeasure("peak of ramp").within(1, 2))).toBe(
      measuresWithin(run, "peak of ramp", 1, 2).message,
    );
  });
});
