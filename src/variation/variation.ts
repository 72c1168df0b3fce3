// What checks measure while one value of a design goes from one end of a range to the other. A point where a check has no value
// holds NaN and the reason.

import { asked, type Given, oneOf, refuseOption, wholeNumber } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { handed, handedText } from "../base/handed.js";
import { engineering } from "../base/quantity.js";
import { seriesNames } from "../base/series.js";
import { type Spacing, spaced, suited } from "../base/spacing.js";
import type { Design } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import type { SettableValue } from "../design/revalue.js";
import { evaluateGoals } from "../judging/evaluation.js";
import { goalsIn, goalsOf } from "../judging/goals.js";
import { settableNamed, settableTo } from "../judging/settable.js";
import type { CheckResult } from "../judging/verify.js";
import { inRange } from "../parts/range.js";
import { probeOf } from "../reading/probe.js";
import type { Run } from "../reading/result.js";
import { caseNamed, type SimulateOptions } from "../simulation/options.js";
import { Trace } from "../waveforms/trace.js";

/** What to vary, and what to look at. */
export interface VaryOptions {
  /** Full name of a number: a named value (`timing`, `line.timing`), a part for its value, or its property (`feed.headroom`). */
  readonly value: string;
  /** The range: text with a unit, or a number in SI units. */
  readonly from: Given;
  /** Its end, above its start. */
  readonly to: Given;
  /** How many points, 2 to 10 000; 21 unless given. Of a series all its values in the range are taken. */
  readonly points?: number;
  /**
   * Even distances, even ratios, or the preferred values of a series, `E3` to `E192`. Default: even ratios where the range
   * spans more than an octave above zero, else even distances.
   */
  readonly spacing?: Spacing;
  /** The case to run; default: the design as drawn. */
  readonly case?: string;
  /** Names of checks, of any case; default: those of the case that is run. */
  readonly checks?: readonly string[];
  /** Names of traces to keep of every run of the case: places, or parts with `.current`, `.voltage`, `.power`. */
  readonly traces?: readonly string[];
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Told after each point of how many. */
  readonly progress?: (done: number, points: number) => void;
}

/** What one check measures along the range. */
export interface VariedCheck extends CheckHeading {
  /** At each point, SI; NaN where there is no value. */
  readonly measured: readonly number[];
  /** At each point, whether the check passes. */
  readonly pass: readonly boolean[];
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
  /** As the design has it. */
  readonly nominal: number;
  /** How the points are spread. */
  readonly spacing: Spacing;
}

/** A run that stopped early. */
export interface VariedStop {
  /** Which point, from 0. */
  readonly point: number;
  /** Why. */
  readonly reason: string;
}

/** A value varied. SI units. */
export interface Variation {
  /** The design's. */
  readonly title: string;
  /** The case that was run; empty for the design as drawn. */
  readonly case: string;
  /** What was varied. */
  readonly value: VariedValue;
  /** The values, rising. */
  readonly points: readonly number[];
  /** What was measured, in the order asked, or that of the design. */
  readonly checks: readonly VariedCheck[];
  /** As asked for. */
  readonly traces: readonly VariedTrace[];
  /** Points whose run stopped early. */
  readonly stopped: readonly VariedStop[];
}

/** The most points. */
const most = 10_000;

/**
 * Varies one value of a design.
 * @throws DesignError `bad-option`, `unknown-check`, `unknown-trace` for what makes no sense
 */
export function vary(design: Design, options: VaryOptions): Variation {
  handed("design", design);
  asked(options, {
    value: "text",
    from: "any",
    to: "any",
    points: "number",
    spacing: "text",
    case: "text",
    checks: "texts",
    traces: "texts",
    simulate: "object",
    progress: "function",
  });
  const { value: name } = options;
  handedText(name, "value");
  const found = settableNamed(design, name, "value");
  const { points, spacing } = pointsOf(found, options);
  const one = caseNamed(design, options.case);
  const goals = options.checks ? goalsOf(design, options.checks) : goalsIn(one);
  const wanted = (options.traces ?? []).map((trace) => ({ name: trace, unit: probeOf(one, trace).unit }));
  if (goals.length + wanted.length === 0)
    refuseOption(
      "checks",
      "there is nothing to look at: the case has no checks, and no traces are asked for",
    );

  const results: CheckResult[][] = [];
  const kept = wanted.map(() => [] as (Trace | undefined)[]);
  const stopped: { point: number; reason: string }[] = [];
  const label = labels(points, unitOf(found.amount.dimension));
  points.forEach((value, i) => {
    const ran = (run: Run) => {
      if (run.design.caseName !== one.caseName) return;
      if (run.status === "stopped") stopped.push({ point: i, reason: run.reason });
      if (run.recording.count === 0) return;
      wanted.forEach((trace, k) => {
        kept[k][i] = renamed(run.trace(trace.name), label[i]);
      });
    };
    const how = { simulate: options.simulate, ran, also: one.caseName };
    results.push(evaluateGoals(design, goals, new Map([[name, value]]), how).map((e) => e.result));
    options.progress?.(i + 1, points.length);
  });
  return {
    title: design.title,
    case: one.caseName,
    value: {
      name,
      unit: unitOf(found.amount.dimension),
      nominal: toNumber(found.amount.value),
      spacing,
    },
    points: points.map(toNumber),
    checks: goals.map(({ spec, case: where }, k) => ({
      ...headingOf(spec, where),
      measured: results.map((r) => r[k].measured),
      pass: results.map((r) => r[k].pass),
      reasons: results.map((r) => r[k].reason ?? ""),
    })),
    traces: wanted.map((trace, k) => ({ ...trace, runs: points.map((_, i) => kept[k][i]) })),
    stopped,
  };
}

function pointsOf(value: SettableValue, options: VaryOptions): { points: Fraction[]; spacing: Spacing } {
  const [from, to] = [settableTo(value, options.from, "from"), settableTo(value, options.to, "to")];
  if (!to.gt(from)) refuseOption("to", "the range does not rise from its start to its end");
  const { points: count = 21, spacing = suited(from, to) } = options;
  wholeNumber("points", count, 2, most);
  oneOf<Spacing>("spacing", spacing, ["linear", "log", ...seriesNames]);
  if (spacing !== "linear" && !inRange(from, "positive"))
    refuseOption(
      "from",
      `a range with ${spacing === "log" ? "even ratios" : "preferred values"} begins above zero`,
    );
  const points = spaced(from, to, count, spacing);
  if (points.length === 0) refuseOption("spacing", `no value of ${spacing} lies in the range`);
  if (points.length > most)
    refuseOption("points", `${points.length} values lie in the range, allowed are ${most}`);
  return { points, spacing };
}

// The values in words, with figures enough to tell neighbours apart.
function labels(points: readonly Fraction[], unit: string): string[] {
  for (const figures of [3, 4, 6, 9]) {
    const words = points.map((p) => engineering(toNumber(p), unit, figures));
    if (new Set(words).size === words.length) return words;
  }
  return points.map((p) => `${toNumber(p)} ${unit}`.trim());
}

function renamed({ unit, time, value, slope, slopeBefore }: Trace, name: string): Trace {
  return new Trace({ name, unit, time, value, slope, slopeBefore });
}
