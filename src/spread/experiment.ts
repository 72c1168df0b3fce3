// The experiment behind a spread: a design, the checks to measure, and what varies. What is measured depends only on the places
// on the axes, so it is the same in any order and on any machine; experiments that would measure something else have other
// fingerprints.

import { exactly, type Given, refuseOption, type Sorts } from "../base/asked.js";
import { fingerprint } from "../base/digest.js";
import { dimension } from "../base/dimension.js";
import { Fraction, toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { settableValues } from "../design/revalue.js";
import { evaluateGoals } from "../judging/evaluation.js";
import { caseOf, type Goal, goalsIn, goalsOf } from "../judging/goals.js";
import { caseNamed, type SimulateOptions } from "../simulation/options.js";
import { bagsOf, type MeasuredStock, triedBags } from "./stock.js";
import { Axes, type Axis, type AxisPlaces, type Temperatures } from "./tolerances.js";

/** Both ends of a range of temperatures, as differences. */
export interface TemperatureRange {
  /** The lowest, relative to the temperature at which values hold: `"-30 K"`, or kelvins. */
  readonly from: Given;
  /** The highest. */
  readonly to: Given;
}

/** What to measure, and at which temperatures. */
export interface ExperimentOptions {
  /** Names of the checks to measure; default: those of the case. */
  readonly checks?: readonly string[];
  /** The case to run; default: the design as drawn. */
  readonly case?: string;
  /** True: all checks of the design as drawn and of every case. */
  readonly cases?: boolean;
  /**
   * Range of temperatures, as differences in kelvin from the one at which the values hold: `{ from: "-25 K", to: "30 K" }`.
   * Without it drifts and wander do not count.
   */
  readonly temperature?: TemperatureRange;
  /** Parts measured one by one: values are drawn from them instead of from their tolerances. */
  readonly measured?: readonly MeasuredStock[];
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "progress" | "signal" | "stream" | "case">;
}

export const experimentSorts: Sorts<Required<ExperimentOptions>> = {
  checks: "texts",
  case: "text",
  cases: "flag",
  temperature: "object",
  measured: "object",
  simulate: "object",
};

/** What a spread is of, as plain data. */
export interface Subject {
  /** Title of the design. */
  readonly title: string;
  /** Equal where design, checks, axes and run options are. */
  readonly fingerprint: string;
  /** The range of temperatures, where they count. */
  readonly temperature?: Temperatures;
  /** What varies. */
  readonly axes: readonly Axis[];
  /** What is measured. */
  readonly checks: readonly CheckHeading[];
}

/** What each check measured at some places. */
export interface Measured {
  /** By check, SI; NaN where there is no value. */
  readonly measured: readonly number[];
  /** The same by `Evaluation.value`: of many periods not the worst but the middle, where the limit has two sides. */
  readonly values: readonly number[];
  /** Why some value is missing; absent where none is. */
  readonly reason?: string;
}

/** A design ready to be measured at many places. */
export class Experiment {
  readonly subject: Subject;
  private readonly axes: Axes;
  private readonly goals: readonly Goal[];

  /** @throws DesignError `bad-option`, `unknown-check` or `ambiguous-goal` */
  constructor(
    private readonly design: Design,
    private readonly options: ExperimentOptions = {},
  ) {
    const temperature = temperaturesOf(options.temperature);
    const bags = bagsOf(design, options.measured);
    this.goals = goalsFor(design, options);
    const varied = [...new Set(this.goals.map((goal) => goal.case))].map((name) => caseOf(design, name));
    this.axes = new Axes(design, temperature, bags, varied.length > 0 ? varied : [design]);
    triedBags(design, this.axes, bags);
    if (this.axes.list.length === 0)
      refuseOption(
        "design",
        "nothing in it has a tolerance, so that there is nothing to vary",
        "give a value one: '15 nF +- 5 %', or measured parts to be drawn from",
      );
    if (this.goals.length === 0)
      refuseOption(
        "checks",
        "the case has no checks, so there is nothing to measure",
        "add a check to the design",
      );
    const checks = this.goals.map(({ spec, case: name }) => headingOf(spec, name));
    const rest = { title: design.title, axes: this.axes.list, checks, temperature };
    const whole = fingerprintOf(
      design,
      this.goals.map((g) => g.spec),
      rest,
      options.simulate,
    );
    this.subject = { ...rest, fingerprint: whole };
  }

  /** Measures all checks at places on the axes. */
  at(places: AxisPlaces): Measured {
    const { simulate } = this.options;
    const found = evaluateGoals(this.design, this.goals, this.axes.settings(places), { simulate });
    const reason = found.find((r) => Number.isNaN(r.result.measured))?.result.reason;
    return {
      measured: found.map((r) => r.result.measured),
      values: found.map((r) => r.value),
      reason,
    };
  }
}

function goalsFor(design: Design, options: ExperimentOptions): Goal[] {
  if (options.checks) return goalsOf(design, options.checks);
  const chosen = options.cases ? [design, ...design.cases] : [caseNamed(design, options.case)];
  return chosen.flatMap(goalsIn);
}

function temperaturesOf(given: ExperimentOptions["temperature"]): Temperatures | undefined {
  if (!given) return undefined;
  const from = toNumber(exactly(given.from, dimension.temperature, "temperature.from"));
  const to = toNumber(exactly(given.to, dimension.temperature, "temperature.to"));
  if (from > to) refuseOption("temperature", "the range does not rise from its start to its end");
  return { from, to };
}

/** A fingerprint of everything that decides the runs of a design and its cases, and of whatever else a study depends on. */
export function fingerprintOf(design: Design, ...rest: readonly unknown[]): string {
  return fingerprint(JSON.stringify([described(design), ...rest], plain));
}

// Everything that decides a run, of the design and of its cases.
function described(design: Design): object {
  return [design, ...design.cases].map(({ caseName, places, parts, givens, run }) => ({
    caseName,
    places,
    run,
    parts,
    givens,
    numbers: [...settableValues({ parts, givens })],
  }));
}

/** Fingerprints of the shapes of waves: a field of video has a hundred thousand numbers, and most cases share it. */
const shapes = new WeakMap<object, string>();

function ofShape(shape: object): string {
  const known = shapes.get(shape) ?? fingerprint(JSON.stringify(shape, plain));
  shapes.set(shape, known);
  return known;
}

// Plain data for exact numbers, maps and sets; kinds and measures by their words, shapes of waves by their fingerprints; positions
// in the text do not count.
function plain(key: string, value: unknown): unknown {
  if (key === "span" || typeof value === "function") return undefined;
  if (key === "shape" && typeof value === "object" && value) return ofShape(value);
  if (key === "kind" && typeof value === "object") return (value as { word: string }).word ?? value;
  if (key === "measure" && typeof value === "object") return (value as { words: string }).words;
  if (value instanceof Fraction) return value.toFraction();
  if (typeof value === "bigint") return String(value);
  if (value instanceof Map || value instanceof Set) return [...value];
  if (ArrayBuffer.isView(value)) return Array.from(value as Float64Array);
  return value;
}
