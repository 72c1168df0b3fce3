// What happens when something fails: the table that a careful engineer makes by hand.
// Takes a design; runs it as drawn, then with each part open, each part short, each supply dead, open and low, and each signal
// stopped, one at a time, then in each of its cases; gives for each which of its checks fail, and which other parts are then asked for more
// than they are rated for. Always: a fault whose circuit cannot be simulated is a row with the reason, not an error.
import { DesignError, Report } from "../base/diagnostic.js";
import { type Fraction, ratio, zero } from "../base/fraction.js";
import { nearest } from "../base/nearest.js";
import type { CheckSpec, Design, PartSpec } from "../design/design.js";
import { checkStructure } from "../design/structure.js";
import { gated, scaled } from "../signals/wave.js";
import { caseLength, defaultLength } from "../simulation/length.js";
import { refuse, type SimulateOptions } from "../simulation/options.js";
import type { Run } from "../simulation/run.js";
import { simulate } from "../simulation/simulate.js";
import { unmeasured } from "./gauge.js";
import { exceeded, type RatingUse, rated, stress } from "./stress.js";
import type { Aborting } from "./trials.js";
import { type CheckResult, measureCheck } from "./verify.js";

/** What fails, or what else a row is about. */
export type FaultKind = "as drawn" | "open" | "short" | "dead" | "low" | "stopped" | "case";

/** A part that is asked for more than it is rated for. */
export interface Excess {
  /** Full name of the part. */
  readonly part: string;
  /** The rating that does not hold. */
  readonly rating: RatingUse;
}

/** One fault and what comes of it. */
export interface Fault {
  /** What fails, and how. */
  readonly kind: FaultKind;
  /** The part, supply or signal that fails, or the name of the case; empty for the design as drawn. */
  readonly name: string;
  /** `refused`: the circuit that is left makes no sense; `stopped`: its run could not go on. */
  readonly status: "complete" | "stopped" | "refused";
  /** Why it is not complete; else empty. */
  readonly reason: string;
  /** Every check of the design as drawn, and under a case also its own. */
  readonly checks: readonly CheckResult[];
  /** Names of those that fail. */
  readonly failing: readonly string[];
  /** Ratings that do not hold, those of the part that fails left out. */
  readonly exceeded: readonly Excess[];
}

/** All faults of a design. */
export interface FaultTable {
  /** Title of the design. */
  readonly title: string;
  /** The design as drawn first. */
  readonly faults: readonly Fault[];
  /** True where some part is rated, so that `exceeded` says something. */
  readonly rated: boolean;
  /** Whether the design as drawn passes its checks, and no fault asks another part for more than it is rated for. */
  readonly pass: boolean;
}

/** Which faults, and how to run them. */
export interface FaultsOptions {
  /** Names of parts, supplies and signals that fail; default: all. */
  readonly parts?: readonly string[];
  /** False: the cases of the design are left out. */
  readonly cases?: boolean;
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "progress" | "signal" | "stream" | "case">;
  /** Told after each fault: how many are done of how many. */
  readonly progress?: (done: number, of: number) => void;
  /** Ends the table when aborted; the rows so far are kept. */
  readonly signal?: Aborting;
}

/** One row to make. */
interface Plan {
  readonly kind: FaultKind;
  readonly name: string;
  readonly design: Design;
}

/**
 * The table of faults.
 * @throws DesignError `bad-option` for a part that is not there, or options for the runs that make no sense
 */
export function faults(design: Design, options: FaultsOptions = {}): FaultTable {
  const plans = planned(design, options);
  const rows: Fault[] = [];
  for (const plan of plans) {
    if (options.signal?.aborted) break;
    rows.push(row(plan, design, options));
    options.progress?.(rows.length, plans.length);
  }
  const drawn = rows.find((r) => r.kind === "as drawn");
  return {
    title: design.title,
    faults: rows,
    rated: rated(design),
    pass: drawn?.failing.length === 0 && rows.every((r) => r.exceeded.length === 0),
  };
}

function planned(design: Design, { parts: names, cases = true }: FaultsOptions): Plan[] {
  for (const name of names ?? []) {
    if (design.parts.some((p) => p.name === name)) continue;
    const near = nearest(
      name,
      design.parts.map((p) => p.name),
    );
    refuse("parts", `the design has no part '${name}'`, near && `did you mean '${near}'?`);
  }
  const list = design.parts.filter((p) => !names || names.includes(p.name));
  const each = (kind: FaultKind, of: (p: PartSpec) => boolean, made: (p: PartSpec) => PartSpec): Plan[] =>
    list.filter(of).map((p) => ({
      kind,
      name: p.name,
      design: { ...design, cases: [], parts: design.parts.map((other) => (other === p ? made(p) : other)) },
    }));
  const word = (p: PartSpec) => p.kind.word;
  const rail = (p: PartSpec) => word(p) === "supply";
  const plain = (p: PartSpec) => word(p) !== "supply" && word(p) !== "signal";
  return [
    { kind: "as drawn", name: "", design },
    ...each("open", plain, (p) => ({ ...p, fault: "open" })),
    ...each("short", plain, (p) => ({ ...p, fault: "short" })),
    ...each("dead", rail, (p) => scaledTo(p, zero)),
    // A rail that nothing feeds, and one that sags: four fifths are left (common practice, no source).
    ...each("open", rail, (p) => ({ ...p, fault: "open" })),
    ...each("low", rail, (p) => scaledTo(p, ratio(4, 5))),
    ...each(
      "stopped",
      (p) => word(p) === "signal",
      (p) => ({ ...p, wave: gated(p.wave!, { stops: zero }) }),
    ),
    ...(cases ? design.cases.map((c): Plan => ({ kind: "case", name: c.caseName, design: c })) : []),
  ];
}

function scaledTo({ wave, ...part }: PartSpec, share: Fraction): PartSpec {
  if (!part.value) return part;
  const { value, low, high } = part.value;
  return {
    ...part,
    value: { ...part.value, value: value.mul(share), low: low.mul(share), high: high.mul(share) },
    ...(wave && share.n !== 0n && { wave: scaled(wave, share) }),
  };
}

function row({ kind, name, design }: Plan, drawn: Design, options: FaultsOptions): Fault {
  const own =
    kind === "case" ? design.checks.filter((c) => !drawn.checks.some((d) => d.name === c.name)) : [];
  const specs = [...drawn.checks, ...own];
  const refused = structureFault(design);
  if (refused !== undefined) return without(kind, name, "refused", refused, specs);
  let run: Run;
  try {
    const until =
      options.simulate?.until ??
      (kind === "case" ? caseLength(design, drawn.run.length ?? defaultLength(drawn)) : undefined);
    run = simulate(design, { ...options.simulate, ...(until !== undefined && { until }) });
  } catch (error) {
    if (!(error instanceof DesignError) || error.diagnostics.some((d) => d.code === "bad-option"))
      throw error;
    return without(kind, name, "refused", error.diagnostics[0]!.message, specs);
  }
  const checks = specs.map((spec) => measureCheck(run, spec));
  const over = rated(design)
    ? exceeded(stress(run)).filter(({ part }) => kind === "case" || part !== name)
    : [];
  return {
    kind,
    name,
    status: run.status,
    reason: run.reason,
    checks,
    failing: failing(checks),
    exceeded: over,
  };
}

// What the graph alone can tell; the design as drawn and its cases have been looked at when they were compiled.
function structureFault(design: Design): string | undefined {
  const report = new Report();
  checkStructure({ names: [...design.places] }, design.parts, report);
  return report.diagnostics.find((d) => d.severity === "error")?.message;
}

function without(
  kind: FaultKind,
  name: string,
  status: Fault["status"],
  reason: string,
  specs: readonly CheckSpec[],
): Fault {
  const checks = specs.map((spec) => unmeasured({ spec, case: "" }, reason).result);
  return { kind, name, status, reason, checks, failing: failing(checks), exceeded: [] };
}

function failing(checks: readonly CheckResult[]): string[] {
  return checks.filter((c) => !c.pass).map((c) => c.name);
}
