// The worst case: what the checks measure at the corners, where every value stands at one end of its tolerance.
// Takes a design; gives for each check the lowest and highest with the corner that causes it, what each axis alone does, and
// the root of the sum of squares. Always: with few axes every corner is run; with many, the corner that the signs of what each
// axis alone does point to, one each way for each check, which is exact where no axis turns round another's effect; the
// result says which it was. A search of all corners that would be too many is refused, with their number, before any run.

import { asked, refuseOption } from "../base/asked.js";
import type { Design } from "../design/design.js";
import {
  Experiment,
  type ExperimentCheck,
  type ExperimentOptions,
  type Measured,
  passes,
  type Subject,
} from "./experiment.js";
import { type Cause, causesOf } from "./summary.js";
import { type Axis, type AxisPlaces, axisWords, valueAt } from "./tolerances.js";
import { asDesigned } from "./trials.js";

/** The lowest or highest of all corners that were run. */
export interface CornerExtreme {
  /** SI. */
  readonly value: number;
  /** Where every axis stands there. */
  readonly causes: readonly Cause[];
}

/** What one axis alone does: everything else stays as designed. SI units. */
export interface Effect {
  /** The axis in words. */
  readonly name: string;
  /** Its low end. */
  readonly from: number;
  /** Its high end. */
  readonly to: number;
  /** SI unit of both. */
  readonly unit: string;
  /** What is measured at its low end. */
  readonly low: number;
  /** What is measured at its high end. */
  readonly high: number;
  /** Share of the sum of the squares of all. */
  readonly share: number;
}

/** A lower and an upper value. */
interface Band {
  readonly low: number;
  readonly high: number;
}

/** The worst case of one check. SI units. */
export interface CornerCheck extends ExperimentCheck {
  /** What it measures as designed. */
  readonly nominal: number;
  /** The lowest of the corners that were run, and of each axis at its ends alone; absent where none has a value. */
  readonly lowest?: CornerExtreme;
  /** The highest of them. */
  readonly highest?: CornerExtreme;
  /** Whether it passes at all of them. */
  readonly pass: boolean;
  /** At how many of the corners it does not. */
  readonly failing: number;
  /** Why a corner has no value, of the first one. */
  readonly reason?: string;
  /**
   * The nominal value less and plus the root of the sum of the squares of what each axis moves it to that side: what to expect
   * of many independent parts that spread to their tolerances about alike. That takes it that what they do adds up. Where it
   * does not (one of them alone brings a ramp to its guard, two together no farther) the sum leads beyond anything that was
   * measured; the band then ends at the lowest and highest of the corners, and `adds` is false.
   */
  readonly squares: Band & {
    /** False where the root was cut at the worst case, since the effects do not add up. */
    readonly adds: boolean;
  };
  /** The axis that costs most first. */
  readonly effects: readonly Effect[];
}

/** The worst case of a design. */
export interface WorstCase extends Omit<Subject, "checks"> {
  /** `corners`: all of them were run; `signs`: those that the effects of each axis alone point to. */
  readonly method: "corners" | "signs";
  /** Number of all corners. */
  readonly corners: number;
  /** Places measured in all. */
  readonly runs: number;
  /** What was found of each check. */
  readonly checks: readonly CornerCheck[];
}

/** How to look for the worst case. */
export interface CornersOptions extends ExperimentOptions {
  /** True: all corners, up to a million; default: all where there are 4096 at most, else by signs. */
  readonly exact?: boolean;
  /** Told after each place: how many are done of how many that are sure to come. */
  readonly progress?: (done: number, of: number) => void;
}

/** Corners that are all run unasked, and at most. */
const few = 2 ** 12;
const most = 2 ** 20;

/**
 * The worst case of a design.
 * @throws DesignError `bad-option` (`exact` of too many corners), `unknown-check`, `ambiguous-goal`
 */
export function corners(design: Design, options: CornersOptions = {}): WorstCase {
  asked(options, {
    checks: "texts",
    case: "text",
    cases: "flag",
    temperature: "object",
    simulate: "object",
    exact: "flag",
    progress: "function",
  });
  const experiment = new Experiment(design, options);
  const work = search(experiment.subject, options);
  let done = 0;
  let next = work.next();
  while (!next.done) {
    const batch = next.value;
    const of = done + batch.length;
    next = work.next(
      batch.map((places) => {
        const measured = experiment.at(places);
        options.progress?.(++done, of);
        return measured;
      }),
    );
  }
  return next.value;
}

/**
 * The search as a plan: gives batches of places to measure, in any order, takes what they measured, ends with the result.
 * @throws DesignError `bad-option`
 */
export function* search(
  subject: Subject,
  { exact = false }: Pick<CornersOptions, "exact"> = {},
): Generator<readonly AxisPlaces[], WorstCase, readonly Measured[]> {
  const { axes, checks } = subject;
  const count = 2 ** axes.length;
  if (exact && count > most) {
    const hint = "leave 'exact' out, or give fewer values a tolerance";
    refuseOption(
      "exact",
      `there are ${grouped(count)} corners, more than the ${grouped(most)} that can be run`,
      hint,
    );
  }
  const pairs = pairsOf(axes);
  const nominal = asDesigned(subject);
  const [middle, ...sides] = yield [nominal, ...pairs.flatMap((pair) => [pair.low, pair.high])];
  let runs = 1 + sides.length;
  const alone = checks.map((_, k) =>
    pairs.map(({ axis, warm }, i): Alone => {
      const [low, high] = [sides[2 * i].values[k], sides[2 * i + 1].values[k]];
      return { axis, warm, low, high };
    }),
  );
  const all = exact || count <= few;
  const found = checks.map((check, k) => new Found(check, k));
  // An axis may turn round between its ends, and then one alone is farther than every corner.
  pairs.forEach((pair, i) => {
    for (const one of found)
      [pair.low, pair.high].forEach((places, end) => {
        one.meet(places, sides[2 * i + end], false);
      });
  });
  const middles = checks.map((_, k) => middle.values[k]);
  const batches = all ? everyCorner(count, axes.length) : [signed(axes, alone, middles)];
  for (const batch of batches) {
    const measured = yield batch;
    runs += batch.length;
    batch.forEach((places, i) => {
      for (const one of found) one.meet(places, measured[i]);
    });
  }
  return {
    ...subject,
    method: all ? "corners" : "signs",
    corners: count,
    runs,
    checks: found.map((one, k) => judged(one, axes, middle, alone[k])),
  };
}

/** Both ends of one axis, with everything else as designed. */
interface Pair {
  readonly axis: number;
  /** A drift does nothing at the temperature where values hold, so it is looked at with the temperature at both its ends. */
  readonly warm: number;
  readonly low: AxisPlaces;
  readonly high: AxisPlaces;
}

/** What a check measures at both ends of one axis. */
type Alone = Pick<Pair, "axis" | "warm"> & { readonly low: number; readonly high: number };

function pairsOf(axes: readonly Axis[]): Pair[] {
  const heat = axes.findIndex((axis) => axis.what === "temperature");
  return axes.flatMap(({ what }, axis) => {
    const contexts = what === "drift" && heat >= 0 ? [0, 1] : [Number.NaN];
    return contexts.map((warm): Pair => {
      const at = (end: number) => axes.map((_, i) => (i === axis ? end : i === heat ? warm : Number.NaN));
      return { axis, warm, low: at(0), high: at(1) };
    });
  });
}

// In batches, so that a million corners are never all in hand. Bit k of a corner's number tells the end of axis k.
function* everyCorner(count: number, axes: number): Generator<readonly AxisPlaces[]> {
  for (let from = 0; from < count; from += few)
    yield Array.from({ length: Math.min(few, count - from) }, (_, i) =>
      Array.from({ length: axes }, (_, k) => ((from + i) >>> k) & 1),
    );
}

// For each check the corner that every axis pushes up, and the one that each pushes down; each corner once.
function signed(
  axes: readonly Axis[],
  alone: readonly (readonly Alone[])[],
  middles: readonly number[],
): AxisPlaces[] {
  const heat = axes.findIndex((axis) => axis.what === "temperature");
  const list = new Map<string, AxisPlaces>();
  alone.forEach((effects, k) => {
    for (const way of [1, -1]) {
      const end = (axis: number, warm: number) => {
        const one = effects.find((e) => e.axis === axis && (Number.isNaN(e.warm) || e.warm === warm));
        if (!one || one.high === one.low || Number.isNaN(one.high - one.low)) return Number.NaN;
        const up = (one.high - one.low) * way > 0;
        // Where both ends lead the other way, it stays as designed. A drift has its own middle, at its temperature.
        const gain = (up ? one.high : one.low) - middles[k];
        return Number.isNaN(one.warm) && gain * way <= 0 ? Number.NaN : Number(up);
      };
      // Where the temperature itself does nothing, the drifts still may: then at its high end.
      const own = heat < 0 ? Number.NaN : end(heat, Number.NaN);
      const warm = heat >= 0 && Number.isNaN(own) ? 1 : own;
      const places = axes.map((_, i) => (i === heat ? warm : end(i, warm)));
      list.set(places.join(), places);
    }
  });
  return [...list.values()];
}

/** The extremes of one check among the corners that were run. */
class Found {
  lowest: { value: number; places: AxisPlaces } | undefined;
  highest: { value: number; places: AxisPlaces } | undefined;
  failing = 0;
  /** Whether it failed where one axis alone stands at its end. */
  alone = false;
  reason: string | undefined;

  constructor(
    readonly check: ExperimentCheck,
    readonly k: number,
  ) {}

  meet(places: AxisPlaces, { measured, reason }: Measured, corner = true): void {
    const value = measured[this.k];
    if (!passes(this.check, value)) {
      if (corner) this.failing++;
      else this.alone = true;
    }
    if (Number.isNaN(value)) {
      this.reason ??= reason;
      return;
    }
    if (!this.lowest || value < this.lowest.value) this.lowest = { value, places };
    if (!this.highest || value > this.highest.value) this.highest = { value, places };
  }
}

function judged(
  { check, k, lowest, highest, failing, alone: byItself, reason }: Found,
  axes: readonly Axis[],
  middle: Measured,
  alone: readonly Alone[],
): CornerCheck {
  const extreme = ({ value, places }: { value: number; places: AxisPlaces }): CornerExtreme => ({
    value,
    causes: causesOf(axes, places),
  });
  const swing = ({ low, high }: Alone) => (Number.isNaN(high - low) ? 0 : high - low);
  // Of a drift, at the temperature where it does more.
  const effects = axes.map((_, i) =>
    alone.filter((one) => one.axis === i).reduce((a, b) => (Math.abs(swing(b)) > Math.abs(swing(a)) ? b : a)),
  );
  const total = effects.reduce((sum, one) => sum + swing(one) ** 2, 0);
  const nominal = middle.values[k];
  // How far an axis moves it one way, at whichever end.
  const moved = ({ low, high }: Alone, way: 1 | -1) =>
    [low, high].reduce((far, v) => Math.max(far, way * (v - nominal) || 0), 0);
  const root = (way: 1 | -1) => Math.sqrt(effects.reduce((sum, one) => sum + moved(one, way) ** 2, 0));
  return {
    ...check,
    nominal: middle.measured[k],
    ...(lowest && { lowest: extreme(lowest) }),
    ...(highest && { highest: extreme(highest) }),
    pass: failing === 0 && !byItself,
    failing,
    ...(reason !== undefined && { reason }),
    squares: bounded(
      nominal,
      { low: nominal - root(-1), high: nominal + root(1) },
      lowest?.value,
      highest?.value,
    ),
    effects: effects
      .map((one, i): Effect => {
        const axis = axes[i];
        const share = total > 0 ? swing(one) ** 2 / total : 0;
        const [from, to] = [valueAt(axis, 0), valueAt(axis, 1)];
        return { name: axisWords(axis), from, to, unit: axis.unit, low: one.low, high: one.high, share };
      })
      .sort((a, b) => b.share - a.share || 0),
  };
}

// By a millionth a band may reach beyond the corners for the error of the runs alone.
function bounded(nominal: number, { low, high }: Band, lowest = low, highest = high): CornerCheck["squares"] {
  const [least, most] = [Math.min(lowest, nominal), Math.max(highest, nominal)];
  const adds = Math.max(least - low, high - most) <= 1e-6 * Math.max(Math.abs(least), Math.abs(most));
  return { low: Math.max(low, least), high: Math.min(high, most), adds };
}

/** A whole number in groups of three figures; beyond 2^53 as a power of two, which all counts of corners are. */
function grouped(count: number): string {
  return count <= Number.MAX_SAFE_INTEGER
    ? String(count).replace(/\B(?=(\d{3})+$)/g, " ")
    : `2^${Math.round(Math.log2(count))}`;
}
