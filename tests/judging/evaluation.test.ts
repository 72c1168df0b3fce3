// Checks at other values, against the divider V = E R / (R + Rs): where one case makes no sense at these values, the others are
// measured all the same.
import { describe, expect, it } from "vitest";
import { ratio } from "../../src/base/fraction.js";
import { compile, type DesignError } from "../../src/index.js";
import { evaluateGoals } from "../../src/judging/evaluation.js";
import { goalsOf } from "../../src/judging/goals.js";

const divider = (drawn: string, changed: string) =>
  compile(`
given top = 40 ohm
supply p = 10 V
resistor source p -> out 10 ohm
resistor load out -> ground ${drawn}
run for 1 ms
check "drawn" value of out at 0.5 ms above 1 V
case "changed" load is ${changed}
check "changed" value of out at 0.5 ms above 1 V
case "other" source is 30 ohm
check "other" value of out at 0.5 ms above 1 V`);

function at(text: ReturnType<typeof compile>, top: number) {
  const found = evaluateGoals(
    text,
    goalsOf(text, ["other", "changed", "drawn"]),
    new Map([["top", ratio(top)]]),
  );
  return new Map(found.map(({ result }) => [result.name, result]));
}

describe("checks at other values", () => {
  it("a case without sense hides neither the design as drawn nor another case", () => {
    const found = at(divider("top", "top - 20 ohm"), 20);
    expect(found.get("drawn")!.measured).toBeCloseTo((10 * 20) / 30, 9);
    expect(found.get("other")!.measured).toBeCloseTo((10 * 20) / 50, 9);
    expect(found.get("changed")!.measured).toBeNaN();
    expect(found.get("changed")!.reason).toContain("load");
  });

  it("a design as drawn without sense does not hide its case", () => {
    const found = at(divider("top - 20 ohm", "90 ohm"), 20);
    expect(found.get("changed")!.measured).toBeCloseTo(9, 9);
    for (const name of ["drawn", "other"]) expect(found.get(name)!.reason).toContain("load");
  });

  it("all make sense: each has its value", () => {
    const found = at(divider("top", "top - 20 ohm"), 60);
    expect([...found.values()].map((r) => r.measured)).toEqual(
      [60 / 90, 40 / 50, 60 / 70].map((share) => expect.closeTo(10 * share, 9)),
    );
  });

  it("an option that makes no sense is refused all the same", () => {
    const design = divider("top", "90 ohm");
    const wrong = () =>
      evaluateGoals(design, goalsOf(design, ["drawn"]), new Map(), { simulate: { until: "-1 s" } });
    expect(wrong).toThrow(
      expect.objectContaining({
        diagnostics: [expect.objectContaining({ code: "bad-option" })],
      }) as DesignError,
    );
  });
});
