// Reports of what is wrong: kept in the order of the text, each once, capped with a count; and the error that carries
// them. The cap is the report's own constant.
import { describe, expect, it } from "vitest";
import { DesignError, Report, refusal } from "../../src/base/diagnostic.js";

const span = (line: number, column = 1) => ({ line, column, length: 1 });

describe("a report", () => {
  it("is sorted by place, and tells the same thing at the same place once", () => {
    const report = new Report();
    report.error("later", "the second", span(3));
    report.warn("doubt", "a doubt", span(2, 9));
    report.error("early", "the first", span(2, 4));
    report.error("later", "the second", span(3));
    expect(report.diagnostics.map((d) => d.code)).toEqual(["early", "doubt", "later"]);
  });
  it("fails by errors, not by warnings", () => {
    const report = new Report();
    report.warn("doubt", "a doubt", span(1));
    expect(report.failed).toBe(false);
    report.error("wrong", "a mistake", span(1));
    expect(report.failed).toBe(true);
  });
  it("keeps a hundred and counts the rest", () => {
    const report = new Report();
    for (let i = 1; i <= 250; i++) report.error("wrong", `mistake ${i}`, span(i));
    expect(report.diagnostics.length).toBe(Report.cap + 1);
    const last = report.diagnostics[Report.cap];
    expect([last.code, last.message]).toEqual(["too-many", "150 more mistakes are not listed"]);
  });
});

describe("DesignError", () => {
  it("names the first error and how many there are", () => {
    const report = new Report();
    report.warn("doubt", "a doubt", span(1));
    report.error("wrong", "a mistake", span(2, 5));
    const error = new DesignError(report.diagnostics);
    expect(error.message).toBe("2:5: a mistake (and 1 more)");
    // What a call is refused for has no place in a text; its mend stands in the message.
    expect(refusal("bad-option", "untl: there is no such option", "did you mean 'until'?").message).toBe(
      "untl: there is no such option; did you mean 'until'?",
    );
    expect(error.name).toBe("DesignError");
    expect(error).toBeInstanceOf(Error);
  });
});
