/**
 * Matchers for Vitest: `import "rampwright/vitest"` once, in a set-up file or in the test itself. A failure says what was
 * measured, what it must be, by what margin, when, and how the trace runs there.
 *
 * @example
 * ```ts
 * import "rampwright/vitest";
 *
 * test("the line sweep", () => {
 *   expect(compile(text)).toPassAllChecks();
 *   expect(simulate(compile(text))).toMeasure("peak of ramp each gate").within("3.83 V", "4.07 V");
 * });
 * ```
 * @module rampwright/vitest
 */
import { chai, expect } from "vitest";
import type { Given } from "../base/asked.js";
import type { Design } from "../design/design.js";
import type { Run } from "../reading/result.js";
import { allPass, checkPasses, type Finding, measuresWithin } from "./testing.js";

/** The value that a phrase measures, to be judged. */
export interface Measuring {
  /** It lies between two values, both included; for a phrase with `each`, in every period. */
  within(low: Given, high: Given): void;
}

/** The matchers, on a run or a design. */
export interface RampwrightMatchers {
  /** Every check passes: all checks of a run, or of a design and all its cases. */
  toPassAllChecks(): void;
  /** The check of that name passes wherever it applies. */
  toPass(name: string): void;
  /** What a phrase measures on a run: `peak of ramp each gate`. */
  toMeasure(phrase: string): Measuring;
}

declare module "vitest" {
  // biome-ignore lint/suspicious/noExplicitAny: the parameter is the one that is extended.
  interface Matchers<T = any> extends RampwrightMatchers {}
}

const told = ({ pass, message }: Finding) => ({ pass, message: () => message });

expect.extend({
  toPassAllChecks: (subject: Design | Run) => told(allPass(subject)),
  toPass: (subject: Design | Run, name: string) => told(checkPasses(subject, name)),
});

// `extend` cannot make a matcher that is followed by another word.
chai.use((library, { flag }) => {
  library.Assertion.addMethod("toMeasure", function toMeasure(phrase: string): Measuring {
    return {
      within: (low, high) => {
        const { pass, message } = measuresWithin(flag(this, "object") as Run, phrase, low, high);
        this.assert(pass, message, message, undefined);
      },
    };
  });
});
