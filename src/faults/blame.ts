// What a fault is to blame for: a run with it beside the same run without it. A check that fails, or a rating that is exceeded,
// without the fault as well is not blamed on it. A fault is called latent only where every run with it, and every one beside it,
// went to its end and showed nothing.
import type { RatingUse } from "../judging/stresses.js";
import type { CheckResult } from "../judging/verify.js";
import type { FailureKind } from "../parts/contract.js";

/** What fails, or what else a row shows. */
export type FaultKind = "as drawn" | "case" | FailureKind;

/** A part driven beyond its rating. */
export interface Excess {
  /** Full name of the part. */
  readonly part: string;
  /** The rating that is exceeded. */
  readonly rating: RatingUse;
}

/** What a check measures with the fault and without it. */
export interface FaultCheck extends CheckResult {
  /** The same in the same case with nothing failed; absent where nothing has. */
  readonly unfaulted?: {
    /** As in `CheckResult`. */
    readonly measured: number;
    /** Likewise. */
    readonly pass: boolean;
  };
}

/** What one run found, not yet compared. Plain data. */
export interface Found {
  /** The case that was run; empty for the design as drawn. */
  readonly case: string;
  /** `refused`: the circuit that is left is invalid; `stopped`: its run could not go on. */
  readonly status: "complete" | "stopped" | "refused";
  /** Why it is not complete; else empty. */
  readonly reason: string;
  /** A case's own checks; with nothing failed also those of the design as drawn. */
  readonly checks: readonly FaultCheck[];
  /** Ratings that are exceeded; with a fault only those that hold without it, and none of the failed part. */
  readonly exceeded: readonly Excess[];
}

/** The result of one run. */
export interface FaultRun extends Found {
  /** Names of the checks that fail; with a fault only those that pass without it. */
  readonly failing: readonly string[];
  /** Names of those that fail with the fault and without it. */
  readonly already: readonly string[];
  /** Names of those that pass with the fault and fail without it. */
  readonly mended: readonly string[];
}

/** One fault and its effects: in the design as drawn (or in its case, for a row that is a case), and in its cases. */
export interface Fault extends FaultRun {
  /** What fails, and how. */
  readonly kind: FaultKind;
  /** The part, supply or signal that fails, or the name of the case; empty for the design as drawn. */
  readonly name: string;
  /** The same fault in the cases where a check can change, in the order of the text. */
  readonly cases: readonly FaultRun[];
  /**
   * Where a check first shows it. `in a case`: none does as drawn, so it hides until that case comes; `never`: none does
   * anywhere, it is latent; `unknown`: no check shows it, but not every run went to its end, with the fault and without it. Absent
   * where nothing fails.
   */
  readonly shows?: "as drawn" | "in a case" | "never" | "unknown";
}

/** All faults of a design. */
export interface FaultTable {
  /** Title of the design. */
  readonly title: string;
  /** The design as drawn first, then its cases, then the faults. */
  readonly faults: readonly Fault[];
  /** True where any part is rated, so that `exceeded` means something. */
  readonly rated: boolean;
  /** Runs that were to be made but were not: the table was ended early. */
  readonly missing: number;
  /**
   * Whether, with nothing failed, every check of the design as drawn and every case's own checks pass, and no fault drives
   * another part beyond its rating.
   */
  readonly pass: boolean;
}

/** A run with nothing failed. */
export function unfaulted(found: Found): FaultRun {
  const failing = found.checks.filter((c) => !c.pass).map((c) => c.name);
  return { ...found, failing, already: [], mended: [] };
}

/**
 * A run with a fault beside the same one without it.
 * @param asked checks of the case; those not measured cannot change, and keep their result without the fault
 */
export function blamed(found: Found, beside: Found, asked: readonly { readonly name: string }[]): FaultRun {
  const after = new Map(found.checks.map((c) => [c.name, c]));
  const before = new Map(beside.checks.map((c) => [c.name, c]));
  const checks = asked.map(({ name }): FaultCheck => {
    const { measured, pass } = before.get(name)!;
    return { ...(after.get(name) ?? before.get(name)!), unfaulted: { measured, pass } };
  });
  const names = (of: (c: FaultCheck) => boolean) => checks.filter(of).map((c) => c.name);
  const held = ({ part, rating }: Excess) =>
    !beside.exceeded.some(
      (e) => e.part === part && e.rating.of === rating.of && e.rating.size === rating.size,
    );
  return {
    ...found,
    checks,
    exceeded: found.exceeded.filter(held),
    failing: names((c) => !c.pass && c.unfaulted!.pass),
    already: names((c) => !c.pass && !c.unfaulted!.pass),
    mended: names((c) => c.pass && !c.unfaulted!.pass),
  };
}

/** Where a fault first shows. @param besides the same runs without it: beside one that could not go on nothing shows */
export function showing(
  [drawn, ...cases]: readonly FaultRun[],
  besides: readonly Found[],
): NonNullable<Fault["shows"]> {
  if (drawn.failing.length > 0) return "as drawn";
  if (cases.some((c) => c.failing.length > 0)) return "in a case";
  return [drawn, ...cases, ...besides].every((c) => c.status === "complete") ? "never" : "unknown";
}
