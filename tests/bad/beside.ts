// A limit is tried just below, at, and just above: the first two are taken, the third gets a diagnostic that says how much may
// be, and names the option that allows more, where there is one.
import { expect, it } from "vitest";
import { DesignError, type Diagnostic } from "../../src/index.js";
import { full } from "../counts.js";

/** A limit. */
export interface Limit {
  readonly what: string;
  readonly limit: number;
  /** How much is said to be allowed, where that is not the number itself. */
  readonly says?: RegExp;
  readonly code: string;
  /** The option that allows more, as the diagnostic names it; or why there is none. */
  readonly option: string | { readonly none: string };
  /** What is said of so much: nothing where it is taken. Throws what the library throws. */
  readonly at: (amount: number) => readonly Diagnostic[] | unknown;
  /** Takes a second or more: tried in the CI alone. */
  readonly heavy?: boolean;
}

/** Far above what anybody writes; more would only cost memory and time before it is refused for something else. */
export const far = { none: "far above what anybody writes, and there so that hostile input ends at once" };
/** More would make nothing better. */
export const idle = { none: "more would make the answer no better" };

/** What is said of an act, errors alone, as `code: message = hint`. */
export function said(act: () => unknown): string[] {
  let all: unknown;
  try {
    all = act();
  } catch (error) {
    if (!(error instanceof DesignError)) throw error;
    all = error.diagnostics;
  }
  const list = Array.isArray(all) ? (all as Diagnostic[]) : [];
  return list
    .filter((d) => d.severity === "error")
    .map(({ code, message, hint = "" }) => `${code}: ${message} = ${hint}`);
}

/** Tests of limits, one each. */
export function tryLimits(limits: readonly Limit[]): void {
  for (const { what, limit, says, code, option, at, heavy } of limits)
    it.skipIf(heavy && !full)(`${limit} ${what}`, () => {
      expect(said(() => at(limit - 1))).toEqual([]);
      expect(said(() => at(limit))).toEqual([]);
      const beyond = said(() => at(limit + 1));
      expect(beyond).toHaveLength(1);
      expect(beyond[0].startsWith(`${code}: `), beyond[0]).toBe(true);
      expect(beyond[0].replaceAll(/(?<=\d)[ ,](?=\d{3})/g, "")).toMatch(says ?? new RegExp(`\\b${limit}\\b`));
      if (typeof option === "string") expect(beyond[0]).toContain(option);
    });
}
