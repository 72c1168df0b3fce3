// Checks that apply only to a capture: `check "as built" peak of ramp is 3.95 V +- 5 % in capture`, judged like all others. If a
// capture does not decide a check, or cannot be laid over the run, the check has no value and the result says why.
import { DesignError } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import type { CheckSpec, HeldSpec } from "../design/design.js";
import { type CheckResult, unmeasured } from "../judging/verify.js";
import { judge } from "../measures/verdict.js";
import type { Run } from "../reading/result.js";
import { layOver } from "./layover.js";

/**
 * Judges the checks `in capture` of the case that was run.
 *
 * @category Captures
 * @example
 * ```ts
 * const held = `capture "good.csv" of ramp\ncheck "as built" peak of ramp is 3.95 V +- 5 % in capture\nrun for`;
 * const bench = compile(text.replace("run for", held), folderResolvers("examples/captures"));
 * verifyCaptured(simulate(bench)).map(({ name, pass }) => `${name} ${pass}`); // ["as built true"]
 * ```
 * @returns one result for each check and capture, in the order of the text, as plain data; empty if there are no such checks
 * @throws DesignError `bad-option` for anything but a run
 */
export function verifyCaptured(run: Run): CheckResult[] {
  handed("run", run);
  return run.design.captures.flatMap((one) => (one.checks.length > 0 ? judged(run, one) : []));
}

function judged(run: Run, { held, checks }: HeldSpec): CheckResult[] {
  const { name: capture } = held.capture;
  const none = (check: CheckSpec, reason: string): CheckResult => ({
    ...unmeasured(check, run.design.caseName, reason),
    capture,
  });
  if (run.recording.count < 2)
    return checks.map((check) => none(check, run.reason || "nothing was recorded"));
  try {
    const laid = layOver(run, held).checks.filter((check) => check.inCapture);
    return checks.map((check, k): CheckResult => {
      const {
        inCapture: _,
        simulated,
        captured,
        difference,
        share,
        scatter,
        told,
        reason,
        ...rest
      } = laid[k];
      if (!told) return none(check, reason ?? "it does not occur in what was captured");
      return { ...rest, measured: captured, ...judge(captured, rest.limit), capture };
    });
  } catch (error) {
    if (!(error instanceof DesignError)) throw error;
    return checks.map((check) => none(check, error.diagnostics[0].message));
  }
}
