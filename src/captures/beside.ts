// A design compared with its captures: every captured case is run, each capture is laid over its run, and if values are to be
// fitted, again over the runs with these. The captures are those of the design or others; the result is plain data.

import { asked, refuseOption } from "../base/asked.js";
import { handed } from "../base/handed.js";
import { decimal } from "../base/spacing.js";
import type { Design } from "../design/design.js";
import { caseLength, defaultLength } from "../design/length.js";
import { revalued } from "../design/revalue.js";
import type { Run } from "../reading/result.js";
import { caseNamed, plan, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import { type Fit, type FitValue, fit as fitTo } from "./fit.js";
import type { FitCapture } from "./fitruns.js";
import { type LaidOver, layOver } from "./layover.js";
import { type TellingApart, tellApart } from "./tellapart.js";

/** What to compare a design with, and what to fit. */
export interface MatchOptions {
  /** Captures; those that the design's text names unless given. */
  readonly captures?: readonly FitCapture[];
  /** Values to fit, by name or with a range. */
  readonly fit?: readonly (string | FitValue)[];
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
}

/** A design beside its captures. */
export interface Match {
  /** In the order of the captures. */
  readonly captures: readonly LaidOver[];
  /** The fit, if one was asked for. */
  readonly fit?: Fit;
  /** The captures over runs with the fitted values. */
  readonly fitted?: readonly LaidOver[];
  /** For values that the captures do not tell apart: the further places and cases that would do so best. */
  readonly apart?: readonly TellingApart[];
  /** The runs that stopped early, and why. */
  readonly stopped: readonly {
    /** The case; empty for the design as drawn. */
    readonly case: string;
    /** In words. */
    readonly reason: string;
  }[];
  /** Whether every check passes for which the captures have a verdict. */
  readonly pass: boolean;
}

/**
 * Compares a design with captures: each is laid over the run of its case, the checks are measured on both, and values are fitted.
 *
 * @category Captures
 * @example
 * ```ts
 * const capture = readCapture(readFileSync("examples/captures/good.csv", "utf8"));
 * match(design, { captures: [{ capture, of: "ramp" }] }).pass; // true
 * ```
 * @throws DesignError `bad-option`, also if there is no capture, and what `layOver` and `fit` throw
 */
export function match(design: Design, options: MatchOptions = {}): Match {
  handed("design", design);
  asked(options, { captures: "object", fit: "object", simulate: "object" });
  const captures = options.captures ?? heldIn(design);
  if (!Array.isArray(captures)) refuseOption("captures", "expected a list");
  if (captures.length === 0)
    refuseOption(
      "captures",
      "the design is held against no capture",
      `write 'capture "ramp.csv" of ramp' into it, or hand captures over`,
    );
  const first = laidOver(design, captures, options.simulate);
  const whole = first.stopped.length === 0;
  const found =
    whole && options.fit?.length
      ? fitTo(design, { captures, values: options.fit, simulate: options.simulate })
      : undefined;
  const again = found && laidOver(withFitted(design, found), captures, options.simulate).laid;
  const apart =
    found && found.inseparable.length > 0
      ? tellApart(design, { captures, fit: found, simulate: options.simulate })
      : undefined;
  return {
    captures: first.laid,
    ...(found && { fit: found, fitted: again }),
    apart,
    stopped: first.stopped,
    pass: first.laid.every(({ checks }) => checks.every((check) => check.pass || !check.told)),
  };
}

/** The captures that a text compares with traces, of the design as drawn and of its cases. */
export function heldIn(design: Design): FitCapture[] {
  return [design, ...design.cases].flatMap((one) =>
    one.captures.map(({ held }) => ({ ...held, case: one.caseName })),
  );
}

/** A design with the fitted values. */
export function withFitted(design: Design, { values }: Pick<Fit, "values">): Design {
  return revalued(design, new Map(values.map(({ name, value }) => [name, decimal(value)])));
}

function laidOver(
  design: Design,
  captures: readonly FitCapture[],
  how: MatchOptions["simulate"],
): { laid: LaidOver[]; stopped: Match["stopped"] } {
  const laid: LaidOver[] = [];
  const stopped: { case: string; reason: string }[] = [];
  const cases = captures.map((c) => caseNamed(design, c.case));
  for (const one of new Set(cases)) {
    const run = runOf(design, one, how);
    if (run.status === "stopped") stopped.push({ case: one.caseName, reason: run.reason });
    if (run.recording.count < 2) continue;
    captures.forEach(({ case: _, ...held }, k) => {
      if (cases[k] === one) laid[k] = layOver(run, held);
    });
  }
  return { laid: laid.filter((one) => one !== undefined), stopped };
}

/** The run of one case, as long as the case or the design says. */
export function runOf(design: Design, one: Design, how: MatchOptions["simulate"] = {}): Run {
  const { until } = plan(design, how);
  return simulate(one, {
    ...how,
    until: one === design ? until : caseLength(one, until ?? defaultLength(design)),
  });
}
