// Checks that the text asks of a capture alone: `check "as built" peak of ramp is 3.95 V +- 5 % in capture`, judged like all others.
// Always: a check that the capture does not tell, or that cannot be laid over the run, has no value, and why is said.
import { DesignError } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import type { CheckSpec, HeldSpec } from "../design/design.js";
import { type CheckResult, unmeasured } from "../judging/verify.js";
import { judge } from "../measures/verdict.js";
import type { Run } from "../reading/result.js";
import { layOver } from "./layover.js";

/**
 * Judges the checks that a design asks of captures in the case that was run.
 * @returns one result a check and capture, in the order of the text, as plain data; none where nothing is asked of captures
 * @throws DesignError `bad-option` for what is no run
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
