// Figures that the text shows, against the closed form of a capacitor on a current, dV/dt = I/C: 1 mA into 10 nF is 5 V after
// the 50 us that the switch is open in each period of 60 us, and 2 mA makes 10 V of it.
import { describe, expect, it } from "vitest";
import { compile, inspect, measure, shownFigures, simulate, verifyAll } from "../../src/index.js";
import { off } from "../facts/running.js";
import { emptied } from "./emptied.js";

const text = `${emptied}show "top" peak of ramp each gate
show "never" crossing of ramp rising through 50 V
show "everywhere" value of ramp at 35 us in every case
show "beyond" value of ramp at 35 us in case "fast"
run for 600 us
case "fast" feed is 2 mA
show "top" peak of ramp before 60 us`;
const design = compile(text);

describe("shownFigures", () => {
  it("measures what the text shows of the design as drawn, in its order", () => {
    const run = simulate(design);
    const found = shownFigures(run);
    expect(found.map((one) => [one.name, one.case, one.text])).toEqual([
      ["top", "", "5 V"],
      ["never", "", "none"],
      ["everywhere", "", "2.5 V"],
    ]);
    expect(off(found[0].value, 5)).toBeLessThan(1e-9);
    expect(found[0].periods).toHaveLength(10);
    expect(found[1].reason).toBe("it does not occur in the span");
    expect(found[0]).toEqual({ name: "top", case: "", ...measure(run, "peak of ramp each gate") });
  });

  it("of a case those that it stands under, that name it, or that are shown everywhere", () => {
    const found = shownFigures(simulate(design, { case: "fast" }));
    expect(found.map((one) => [one.name, one.case])).toEqual([
      ["everywhere", "fast"],
      ["beyond", "fast"],
      ["top", "fast"],
    ]);
    for (const [i, value] of [5, 5, 10].entries()) expect(off(found[i].value, value)).toBeLessThan(1e-9);
  });

  it("asks nothing: no verdict comes of it", () => {
    expect(verifyAll(design)).toEqual([]);
  });

  it("the run lasts past what it looks at", () => {
    const late = text.replace("run for 600 us", "").replace("at 35 us in every case", "at 7.235 ms");
    const run = simulate(compile(late));
    expect(run.until).toBeGreaterThan(7.235e-3);
    // 120 whole periods are 7.2 ms: again 25 us behind the end of the gate.
    expect(off(shownFigures(run)[2].value, 2.5)).toBeLessThan(1e-9);
  });

  it.each([
    ["a limit", 'show "x" peak of ramp below 5 V', "unexpected-word", 23],
    ["two of a name", 'show "top" floor of ramp in case "fast"', "name-twice", 6],
    ["a case that is not there", 'show "x" peak of ramp in case "slow"', "unknown-case", 31],
    ["no such measure", 'show "x" peek of ramp', "unknown-measure", 10],
    ["no such place", 'show "x" peak of romp', "unknown-place", 18],
    ["in capture", 'show "x" peak of ramp in capture', "unexpected-word", 26],
  ])("%s is refused at its place", (_, line, code, column) => {
    const { diagnostics } = inspect(`${text}\n${line}`);
    expect(diagnostics.map((d) => [d.code, d.span.line, d.span.column])).toEqual([[code, 14, column]]);
  });

  it("a figure may be called like a check", () => {
    expect(() => compile(`${text}\ncheck "top" peak of ramp above 1 V`)).not.toThrow();
  });
});
