// What checks measure while one value of a design goes from one end of a range to the other. A point where a check has no value
// holds NaN and the reason.

import { asked, refuseOption, type Sorts } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { handed, handedText } from "../base/handed.js";
import { engineering } from "../base/quantity.js";
import type { Spacing } from "../base/spacing.js";
import type { Design } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { evaluateGoals } from "../judging/evaluation.js";
import { type Goal, goalsIn, goalsOf } from "../judging/goals.js";
import { settableNamed } from "../judging/settable.js";
import type { CheckResult } from "../judging/verify.js";
import type { Limit } from "../measures/verdict.js";
import { probeOf } from "../reading/probe.js";
import type { Run } from "../reading/result.js";
import { caseNamed, type SimulateOptions } from "../simulation/options.js";
import { Trace, type TraceData } from "../waveforms/trace.js";
import { pointsOf, type VariedRange } from "./variedpoints.js";

/** What to vary, and what to measure. */
export interface VaryOptions extends VariedRange {
  /** Full name of a number: a named value (`timing`, `line.timing`), a part for its value, or its property (`feed.headroom`). */
  readonly value: string;
  /** The case to run; default: the design as drawn. */
  readonly case?: string;
  /** Names of checks, of any case; default: those of the case that is run. */
  readonly checks?: readonly string[];
  /** Names of traces to keep of every run of the case: places, or parts with `.current`, `.voltage`, `.power`. */
  readonly traces?: readonly string[];
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Called after each point: how many are done of how many. */
  readonly progress?: (done: number, points: number) => void;
}

/** What one check measures along the range. */
export interface VariedCheck extends CheckHeading {
  /** At each point, SI; NaN where there is no value. */
  readonly measured: readonly number[];
  /** At each point, whether the check passes. */
  readonly pass: readonly boolean[];
  /** At each point, what passes there; absent where that is `limit` everywhere, since it is not made of what varies. */
  readonly limits?: readonly Limit[];
  /** Why there is no value; empty where there is one. */
  readonly reasons: readonly string[];
}

/** One trace of every run, named after the value of its point. */
export interface VariedTrace {
  /** As asked for. */
  readonly name: string;
  /** SI unit. */
  readonly unit: string;
  /** At each point; undefined where nothing was recorded. */
  readonly runs: readonly (Trace | undefined)[];
}

/** The value that was varied. */
export interface VariedValue {
  /** Its full name. */
  readonly name: string;
  /** Its SI unit. */
  readonly unit: string;
  /** The value in the design. */
  readonly nominal: number;
  /** How the points are spaced; for values named one by one, the spacing that suits an axis of them. */
  readonly spacing: Spacing;
}

/** A run that stopped early. */
export interface VariedStop {
  /** Which point, from 0. */
  readonly point: number;
  /** Why. */
  readonly reason: string;
}

/** The result of varying a value. SI units. */
export interface Variation {
  /** Title of the design. */
  readonly title: string;
  /** The case that was run; empty for the design as drawn. */
  readonly case: string;
  /** What was varied. */
  readonly value: VariedValue;
  /** The values, rising. */
  readonly points: readonly number[];
  /** What was measured, in the order asked for, else that of the design. */
  readonly checks: readonly VariedCheck[];
  /** In the order asked for. */
  readonly traces: readonly VariedTrace[];
  /** Points whose run stopped early. */
  readonly stopped: readonly VariedStop[];
  /** Points that were asked for but not run, since the work was ended early; they are left out. */
  readonly missing: number;
}

/** What the run of one point found. Plain data. */
export interface VariedPoint {
  /** By check. */
  readonly results: readonly CheckResult[];
  /** By trace; undefined where nothing was recorded. */
  readonly traces: readonly (TraceData | undefined)[];
  /** Why the run stopped early; absent where it did not. */
  readonly stopped?: string;
}

const sorts: Sorts<Required<VaryOptions>> = {
  value: "text",
  from: "any",
  to: "any",
  values: "any",
  points: "number",
  spacing: "text",
  case: "text",
  checks: "texts",
  traces: "texts",
  simulate: "object",
  progress: "function",
};

/**
 * Varies one value of a design.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const { points, checks } = vary(design, { value: "timing", values: ["12 nF", "15 nF", "18 nF"] });
 * checks[0].pass; // [false, true, false]
 * ```
 * @throws DesignError `bad-option`, `unknown-check`, `unknown-trace` for invalid options
 */
export function vary(design: Design, options: VaryOptions): Variation {
  handed("design", design);
  const study = new VaryStudy(design, options);
  const { runs } = study;
  for (let id = 0; id < runs; id++) {
    study.take(id, study.perform(id));
    options.progress?.(id + 1, runs);
  }
  return study.table();
}

/** The points of a variation one by one, so that threads and machines can share them. */
export class VaryStudy {
  private readonly one: Design;
  private readonly goals: readonly Goal[];
  private readonly wanted: readonly { readonly name: string; readonly unit: string }[];
  private readonly points: readonly Fraction[];
  private readonly value: VariedValue;
  private readonly found = new Map<number, VariedPoint>();

  /** @throws DesignError as `vary` does */
  constructor(
    private readonly design: Design,
    private readonly options: VaryOptions,
  ) {
    asked(options, sorts);
    const { value: name } = options;
    handedText(name, "value");
    this.one = caseNamed(design, options.case);
    const settable = settableNamed(this.one, name, "value");
    const { points, spacing } = pointsOf(settable, options);
    this.points = points;
    const { dimension, value } = settable.amount;
    this.value = { name, unit: unitOf(dimension), nominal: toNumber(value), spacing };
    this.goals = options.checks ? goalsOf(design, options.checks) : goalsIn(this.one);
    this.wanted = (options.traces ?? []).map((trace) => ({
      name: trace,
      unit: probeOf(this.one, trace).unit,
    }));
    if (this.goals.length + this.wanted.length === 0)
      refuseOption(
        "checks",
        "there is nothing to look at: the case has no checks, and no traces are asked for",
      );
  }

  /** How many points there are. */
  get runs(): number {
    return this.points.length;
  }

  /** Runs a point; the result is plain data. */
  perform(id: number): VariedPoint {
    const { one, wanted } = this;
    let stopped: string | undefined;
    let traces: (TraceData | undefined)[] = wanted.map(() => undefined);
    const ran = (run: Run) => {
      if (run.design.caseName !== one.caseName) return;
      if (run.status === "stopped") stopped = run.reason;
      if (run.recording.count > 0) traces = wanted.map(({ name }) => traceData(run.trace(name)));
    };
    const how = { simulate: this.options.simulate, ran, also: one.caseName, moving: true };
    // A case that sets the value has nothing of its own against being asked for others: as a function it holds there too.
    const values = new Map([[this.value.name, () => this.points[id]]]);
    const results = evaluateGoals(this.design, this.goals, values, how).map((e) => e.result);
    return { results, traces, ...(stopped !== undefined && { stopped }) };
  }

  take(id: number, one: VariedPoint): void {
    this.found.set(id, one);
  }

  /** The points so far, rising. */
  table(): Variation {
    const ids = [...this.found.keys()].sort((a, b) => a - b);
    const rows = ids.map((id) => this.found.get(id)!);
    const label = labels(this.points, this.value.unit);
    const named = (data: TraceData | undefined, id: number) =>
      data && new Trace({ ...data, name: label[id] });
    return {
      title: this.design.title,
      case: this.one.caseName,
      value: this.value,
      points: ids.map((id) => toNumber(this.points[id])),
      checks: this.goals.map(({ spec, case: where }, k) => ({
        ...headingOf(spec, where),
        measured: rows.map(({ results }) => results[k].measured),
        pass: rows.map(({ results }) => results[k].pass),
        ...limitsOf(
          spec.limit,
          rows.map(({ results }) => results[k].limit),
        ),
        reasons: rows.map(({ results }) => results[k].reason ?? ""),
      })),
      traces: this.wanted.map((trace, k) => ({
        ...trace,
        runs: rows.map(({ traces }, i) => named(traces[k], ids[i])),
      })),
      stopped: rows.flatMap(({ stopped: reason }, point) =>
        reason === undefined ? [] : [{ point, reason }],
      ),
      missing: this.runs - ids.length,
    };
  }
}

function limitsOf(text: Limit, limits: readonly Limit[]): Pick<VariedCheck, "limits"> {
  return limits.every(({ low, high }) => low === text.low && high === text.high) ? {} : { limits };
}

// The values in words, with enough figures to tell neighbours apart.
function labels(points: readonly Fraction[], unit: string): string[] {
  for (const figures of [3, 4, 6, 9]) {
    const words = points.map((p) => engineering(toNumber(p), unit, figures));
    if (new Set(words).size === words.length) return words;
  }
  return points.map((p) => `${toNumber(p)} ${unit}`.trim());
}

// A trace as plain data, without what belongs to its run.
function traceData({ name, unit, time, value, slope, slopeBefore, exact }: Trace): TraceData {
  return { name, unit, time, value, slope, slopeBefore, exact };
}
