// The bench sheet: for each test point that the design names and each place that a check reads, along the path of the signal:
// what is seen there, how far boards may differ, how to set the instrument, and what it means where it looks wrong. All for the
// design as drawn; the spread comes from boards drawn at random, as `spread` draws them.

import { asked, refuseOption, wholeNumber } from "../base/asked.js";
import { DesignError } from "../base/diagnostic.js";
import { toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import { movingPeriods } from "../captures/movingperiods.js";
import type { CheckSpec, Design } from "../design/design.js";
import { headingOf } from "../design/heading.js";
import { revalued } from "../design/revalue.js";
import { specOf, windowOf } from "../diagnosis/columns.js";
import { readSymptoms } from "../diagnosis/readsymptoms.js";
import type { SymptomTable } from "../diagnosis/symptomtable.js";
import { excerpt } from "../judging/excerpt.js";
import { changedParts, Influence } from "../judging/influence.js";
import { measureChecks } from "../judging/verify.js";
import { measures } from "../measures/measures.js";
import { type TimeSpan, traceBounds } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import { plan, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import { Axes } from "../spread/tolerances.js";
import { type Aborting, places, seedOf } from "../spread/trials.js";
import { extremes } from "../waveforms/outline.js";
import type { Trace } from "../waveforms/trace.js";
import { type BenchFigure, timesOf } from "./benchfigure.js";
import { type Meaning, meaningsFrom, meaningsOf } from "./meanings.js";
import {
  crossingsAt,
  divisions,
  type Recurrence,
  recurrenceOf,
  type ScopeSetting,
  settingOf,
} from "./scopesetting.js";
import { signalOrder } from "./signalorder.js";

/** One test point. Plain data, SI units. */
export interface BenchPoint {
  /** Its name in the design; empty where only a check reads it. */
  readonly name: string;
  /** The place, or the part with `.current` and the like. */
  readonly of: string;
  /** Unit of the trace. */
  readonly unit: string;
  /** Floor, peak and mean. */
  readonly levels: readonly BenchFigure[];
  /** Period, and how long it stays beyond the trigger level; empty where it does not recur. */
  readonly times: readonly BenchFigure[];
  /** What the checks of the design as drawn measure there. */
  readonly checks: readonly BenchFigure[];
  /** How to set the instrument. */
  readonly setting: ScopeSetting;
  /** What the screen then shows: time from its left edge, s, and value. */
  readonly shape: {
    /** Rising, s. */
    readonly time: readonly number[];
    /** As many values, in the unit of the trace. */
    readonly value: readonly number[];
  };
  /** What it means where it looks wrong. */
  readonly meanings: readonly Meaning[];
}

/** A sheet for the bench. Plain data. */
export interface BenchSheet {
  /** Title of the design. */
  readonly title: string;
  /** Along the path of the signal. */
  readonly points: readonly BenchPoint[];
  /** How many boards were drawn within their tolerances. */
  readonly boards: number;
  /** How many of them could not be run. */
  readonly missing: number;
  /** Whether wrong looks are explained by the table of single faults; else by the parts that feed a place. */
  readonly faults: boolean;
  /** False where the run as drawn stopped early. */
  readonly whole: boolean;
}

/** How to make a sheet. */
export interface BenchSheetOptions {
  /** Boards to draw, 24 unless given; 0: none. */
  readonly boards?: number;
  /** A whole number from 0 to 2^32 − 1; 1 unless given. */
  readonly seed?: number;
  /** The table of single faults of the same design, as `symptoms` makes it. */
  readonly table?: SymptomTable;
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Called after each run: how many are done of how many. */
  readonly progress?: (done: number, of: number) => void;
  /** Ends the drawing of boards when aborted; finished ones count. */
  readonly signal?: Aborting;
}

/** Columns of a shape. */
const columns = 200;
/** How many of the longest periods that affect a trace are looked at. */
const seenPeriods = 2.4;
const levels = ["floor", "peak", "mean"] as const;

/** A test point before anything was run. */
interface Spot {
  readonly name: string;
  readonly of: string;
  readonly unit: string;
  readonly checks: readonly CheckSpec[];
}

/** What one run shows at a spot. */
interface Shown {
  readonly levels: Record<(typeof levels)[number], number>;
  readonly trace: Trace;
}

/**
 * The bench sheet of a design as drawn.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const { points } = benchSheet(design, { boards: 10 });
 * points.map(({ of }) => of); // ["ramp"]
 * ```
 * @throws DesignError `bad-option`, also where the design names no test point and no check reads a place
 */
export function benchSheet(design: Design, options: BenchSheetOptions = {}): BenchSheet {
  handed("design", design);
  asked(options, {
    boards: "number",
    seed: "number",
    table: "object",
    simulate: "object",
    progress: "function",
    signal: "object",
  });
  const table = options.table && readSymptoms(options.table);
  const axes = new Axes(design);
  const boards = axes.list.length === 0 ? 0 : wholeNumber("boards", options.boards ?? 24, 0, 100_000);
  const seed = seedOf(options.seed);
  const spots = spotsOf(design);
  const until = plan(design, { ...options.simulate }).until;
  const window = windowOf(design, toNumber(until));
  const run = simulate(design, { ...options.simulate, until });
  options.progress?.(1, 1 + boards);
  if (run.reached <= window.from) return { ...head(design, options), points: [], whole: false };
  const span = { from: window.from, to: Math.min(window.to, run.reached) };
  const found = spots.map((spot) => pointOf(run, spot, span, table));
  const influence = new Influence(design);
  const drawn: (readonly number[])[] = [];
  let missing = 0;
  for (let i = 0; i < boards && !options.signal?.aborted; i++) {
    const settings = axes.settings(places(axes.list, seed, i));
    const figures = attempted(() => {
      const board = revalued(design, settings, []);
      const changed = changedParts(design, board);
      const moved = found.filter(({ spot }) => influence.reaches(looksOf(spot), changed));
      // Only what leads there is run: the rest shows what it does as drawn.
      const own = excerpt(
        board,
        moved.flatMap(({ spot }) => looksOf(spot)),
      );
      const one = moved.length === 0 ? run : simulate(own, { ...options.simulate, until });
      if (one.status !== "complete") return undefined;
      return found.flatMap((f) => (moved.includes(f) ? figuresOf(one, f, span) : f.figures));
    });
    if (figures) drawn.push(figures);
    else missing++;
    options.progress?.(2 + i, 1 + boards);
  }
  let at = 0;
  const ranged = (one: BenchFigure): BenchFigure => {
    const all = drawn.map((figures) => figures[at]).filter((v) => !Number.isNaN(v));
    at++;
    return all.length === 0 ? one : { ...one, low: Math.min(...all), high: Math.max(...all) };
  };
  const points = found.map(({ point }) => {
    const [a, b, c] = [point.levels.map(ranged), point.times.map(ranged), point.checks.map(ranged)];
    return { ...point, levels: a, times: b, checks: c };
  });
  return {
    ...head(design, options),
    points,
    boards: drawn.length + missing,
    missing,
    whole: run.status === "complete",
  };
}

function head({ title }: Design, { table }: BenchSheetOptions) {
  return { title, boards: 0, missing: 0, faults: table !== undefined };
}

/** What the design names, then every other place that a check of it or of a case reads, along the path of the signal. */
function spotsOf(design: Design): Spot[] {
  const called = new Map<string, string>();
  for (const { name, of } of design.testpoints)
    called.set(of, called.has(of) ? `${called.get(of)}; ${name}` : name);
  // A probe shows voltages; those who can probe currents name them.
  const shown = (target: string) => !/\.(clipping|slewing|power|current)$/.test(target);
  const targets = [design, ...design.cases].flatMap((one) => one.checks.map((c) => c.target));
  const all = [...new Set([...called.keys(), ...targets.filter(shown)])];
  if (all.length === 0)
    refuseOption(
      "design",
      "it names no test point, and no check looks at a place",
      'write: testpoint "sync" at gate',
    );
  return signalOrder(design, all).map((i): Spot => {
    const of = all[i];
    const checks = design.checks.filter((c) => c.target === of);
    return { name: called.get(of) ?? "", of, unit: specOf(design, `peak of ${of}`).unit, checks };
  });
}

/** A point as drawn, and what is needed to take its figures on another board. */
interface Drawn {
  readonly point: BenchPoint;
  readonly spot: Spot;
  readonly figures: readonly number[];
  readonly again?: Recurrence;
  /** The time in which recurrence is looked for, s. */
  readonly seen: TimeSpan;
}

function pointOf(run: Run, spot: Spot, span: TimeSpan, table: SymptomTable | undefined): Drawn {
  const { of, unit } = spot;
  const known = movingPeriods(run.design, of);
  // A slow recurrence shows twice only if the span reaches farther back.
  const back = span.to - seenPeriods * (known.at(-1)?.period ?? 0);
  const seen = { from: Math.max(0, Math.min(span.from, back)), to: span.to };
  const shown = shownAt(run, of, span, seen);
  const reach = shown.levels;
  const periods = known.map(({ period }) => period);
  const again = recurrenceOf(shown.trace, seen, reach, periods);
  const setting = settingOf(of, reach, again, known[0]);
  const shape = shapeOf(run, shown, { again, span, seen, division: setting.timePerDivision });
  const meanings = (table && meaningsFrom(table, of)) ?? meaningsOf(run.design, of);
  const results = measureChecks(run, spot.checks);
  const point: BenchPoint = {
    name: spot.name,
    of,
    unit,
    levels: levels.map((what) => ({ what, unit, shown: "value", value: shown.levels[what] })),
    times: timesOf(shown.trace, again, seen, reach),
    checks: spot.checks.map((spec, i) => {
      const { unit: own, shown: how } = headingOf(spec, "");
      return { what: spec.name, unit: own, shown: how, value: results[i].measured, limit: spec.limit };
    }),
    setting,
    shape,
    meanings,
  };
  const figures = [...point.levels, ...point.times, ...point.checks].map((figure) => figure.value);
  return { point, spot, figures, again, seen };
}

/** What a screen shows of a trace: from a division before the trigger on. */
function shapeOf(
  run: Run,
  { trace, levels }: Shown,
  { again, span, seen, division }: Pick<Drawn, "again" | "seen"> & { span: TimeSpan; division: number },
): BenchPoint["shape"] {
  const width = division * divisions.across;
  const last = seen.to - width + division;
  let drawn = trace;
  let starts = again?.starts.filter((t) => t - division >= seen.from) ?? [];
  // The screen of a slow trace is filled from earlier in the run: from a trigger in the period before the last that fits.
  if (again && !starts.some((t) => t <= last)) {
    const early = { from: Math.max(0, last - division - again.period), to: seen.to };
    [drawn] = run.stretch([trace.name], early.from, early.to);
    starts = crossingsAt(drawn, early, levels, again).filter((t) => t - division >= early.from);
  }
  const fitting = starts.filter((t) => t >= span.from && t <= last);
  // From the middle of the recording: video begins without a picture.
  const start = fitting[fitting.length >> 1] ?? starts[0];
  const from = start === undefined ? Math.max(seen.from, seen.to - width) : start - division;
  const { time, value } = extremes(drawn, from, Math.min(from + width, seen.to), columns);
  return { time: Array.from(time, (t) => t - from), value: [...value] };
}

/** What is read at a spot: its trace, and what its checks count by. */
const looksOf = ({ of, checks }: Spot): readonly Pick<CheckSpec, "target" | "each">[] => [
  { target: of },
  ...checks,
];

/** All figures of a point on a run of another board, in the order of the point. */
function figuresOf(run: Run, one: Drawn, span: TimeSpan): number[] {
  const { spot, again, seen } = one;
  const shown = shownAt(run, spot.of, span, seen);
  const times = timesOf(shown.trace, again, seen, shown.levels);
  const checks = measureChecks(run, spot.checks);
  return [
    ...levels.map((what) => shown.levels[what]),
    ...times.map((t) => t.value),
    ...checks.map((c) => c.measured),
  ];
}

function shownAt(run: Run, of: string, { from, to }: TimeSpan, seen: TimeSpan): Shown {
  // Levels are read off it, so a sketch will not do: that is true to a millivolt of such a ramp, whose floor is five.
  const [trace] = run.stretch([of], seen.from, seen.to);
  const { low, high } = traceBounds(trace, from, to);
  const mean = measures.find((m) => m.words === "mean")!.take({ trace, from, to });
  return { trace, levels: { floor: low, peak: high, mean } };
}

function attempted<T>(action: () => T): T | undefined {
  try {
    return action();
  } catch (error) {
    if (error instanceof DesignError && !error.diagnostics.some((d) => d.code === "bad-option"))
      return undefined;
    throw error;
  }
}
