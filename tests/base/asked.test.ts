// What callers hand over: quantities as text and as numbers, words out of a list, whole numbers, options by name. What makes no
// sense is one diagnostic, `bad-option`, that begins with the option's name.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { asked, exactly, oneOf, refuseOption, wholeNumber } from "../../src/base/asked.js";
import { DesignError, type Diagnostic } from "../../src/base/diagnostic.js";
import { dimension } from "../../src/base/dimension.js";
import { ratio, toNumber } from "../../src/base/fraction.js";

describe("quantities", () => {
  it.each([
    ["5 ms", "1/200"],
    ["-0.3 ms", "-3/10000"],
    ["4.7e-6 s", "47/10000000"],
    ["5ms", "1/200"],
    [" 5 ms ", "1/200"],
  ])("%j", (text, value) => expect(exactly(text, dimension.time, "it").toFraction()).toBe(value));
  it("a number is the decimal that it is written as, so that it has a common divisor with a design's instants", () => {
    expect(exactly(5e-3, dimension.time, "it").toFraction()).toBe("1/200");
    expect(exactly(-5.12e-4, dimension.time, "it").toFraction()).toBe("-8/15625");
    expect(exactly(0.1, dimension.time, "it").toFraction()).toBe("1/10");
    expect(exactly(0, dimension.time, "it").toFraction()).toBe("0");
  });
  it("and comes out as the same double", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (x) => {
        expect(toNumber(exactly(x, dimension.time, "it"))).toBe(x === 0 ? 0 : x);
      }),
    );
  });
  it.each(["5", "5 V", "five ms", "5 m s", "", "1e400 s", "5 ms ms", "0x5 ms"])("%j is no time", (text) => {
    expect(() => exactly(text, dimension.time, "it")).toThrow(/^it: /);
  });
  it("a rational is taken as it is", () => {
    expect(exactly(ratio(1, 3), dimension.time, "it").toFraction()).toBe("1/3");
  });
});

function refused(action: () => unknown): Diagnostic {
  try {
    action();
  } catch (error) {
    if (error instanceof DesignError && error.diagnostics.length === 1) return error.diagnostics[0];
  }
  throw new Error("nothing was refused");
}

describe("refusals", () => {
  it("name the option, and the mend where there is one", () => {
    const bare = refused(() => refuseOption("step", "too long"));
    expect([bare.code, bare.message, bare.hint]).toEqual(["bad-option", "step: too long", undefined]);
    expect(refused(() => refuseOption("step", "too long", "take less")).hint).toBe("take less");
  });
  it("a word out of a list, with the nearest one or all of them", () => {
    const known = ["steady", "settled"];
    expect(oneOf("start", "steady", known)).toBe("steady");
    expect(refused(() => oneOf("start", "stedy", known)).hint).toBe("did you mean 'steady'?");
    expect(refused(() => oneOf("start", "cold", known)).hint).toBe("known here: steady, settled");
  });
  it.each([0, 8, 1.5, Number.NaN, Number.POSITIVE_INFINITY])("%d is no whole number from 1 to 7", (x) => {
    expect(refused(() => wholeNumber("points", x, 1, 7)).message).toBe("points: a whole number from 1 to 7");
  });
  it("whole numbers in range pass", () => {
    expect([1, 7].map((x) => wholeNumber("points", x, 1, 7))).toEqual([1, 7]);
  });
  it("an option that is none, or of another sort", () => {
    const sorts = { until: "any", progress: "function" } as const;
    type Options = { until?: unknown; progress?: unknown };
    asked<Options>({ until: 3, progress: undefined }, sorts);
    const misspelt = refused(() => asked({ progres: 1 } as Options, sorts, "run."));
    expect([misspelt.message, misspelt.hint]).toEqual([
      "run.progres: there is no such option",
      "did you mean 'progress'?",
    ]);
    expect(refused(() => asked<Options>({ progress: 1 }, sorts)).message).toBe(
      "progress: expected a function",
    );
  });
});
