// Same text, same options, same bits: one checksum for a fixed set of runs stands here for every machine and engine. The
// march uses + − × ÷ √ alone, so it must not miss the functions whose last digit an engine may choose.
import { afterEach, describe, expect, it, vi } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { checksum, expected } from "../verify/checksum.js";

describe("determinism", () => {
  afterEach(() => {
    vi.restoreAllMocks();
  });

  it("the runs have the checksum they always had", () => {
    expect(checksum({ compile, simulate })).toBe(expected);
  });

  it("and have it where sines, powers, chance and the clock are made to throw", () => {
    const inexact = ["sin", "cos", "tan", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh"] as const;
    const powers = [
      "exp",
      "expm1",
      "log",
      "log2",
      "log10",
      "log1p",
      "pow",
      "cbrt",
      "hypot",
      "random",
    ] as const;
    const refuse = () => {
      throw new Error("a run must not depend on this");
    };
    const careful: typeof simulate = (design, options) => {
      for (const name of [...inexact, ...powers]) vi.spyOn(Math, name).mockImplementation(refuse);
      vi.spyOn(Date, "now").mockImplementation(refuse);
      vi.spyOn(performance, "now").mockImplementation(refuse);
      try {
        return simulate(design, options);
      } finally {
        vi.restoreAllMocks();
      }
    };
    expect(checksum({ compile, simulate: careful })).toBe(expected);
  });
});
