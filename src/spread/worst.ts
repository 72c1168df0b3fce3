// The worst case: what the checks measure at the corners, where every value stands at one end of its tolerance. With few axes
// every corner is run; with many, for each check the two corners to which the signs of what each axis alone does point, and where
// effects do not add up, what lies about them. Unless effects are straight and add up, the worst is also sought between the
// ends of each. A search of too many corners is refused before any run.

import { asked, refuseOption } from "../base/asked.js";
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";
import { searchSigns } from "./exchange.js";
import {
  Experiment,
  type ExperimentOptions,
  experimentSorts,
  type Measured,
  type Subject,
} from "./experiment.js";
import type { Axis, AxisPlaces } from "./tolerances.js";
import { asDesigned } from "./trials.js";
import { searchWithin } from "./within.js";
import { type AxisAlone, CheckExtremes, type CornerCheck } from "./worstcheck.js";

/** The worst case of a design. */
export interface WorstCase extends Omit<Subject, "checks"> {
  /**
   * `corners`: all were run. `signs`: those that the effects of single axes point to, and some near them where these effects do not
   * add up.
   */
  readonly method: "corners" | "signs";
  /** The number of all corners. */
  readonly corners: number;
  /** The number of places measured. */
  readonly runs: number;
  /** How many of these lie between the ends of tolerances or temperatures, looked at where effects bend or do not add up. */
  readonly within: number;
  /** What was found of each check. */
  readonly checks: readonly CornerCheck[];
}

/** How to look for the worst case. */
export interface CornersOptions extends ExperimentOptions {
  /** True: run all corners, up to a million; default: all if there are at most 4096, else by signs. */
  readonly exact?: boolean;
  /** Called after each place: how many are done, of how many certain so far. */
  readonly progress?: (done: number, of: number) => void;
}

/** The most corners that are all run by default, and with `exact`. */
const few = 2 ** 12;
const most = 2 ** 20;

/**
 * The worst case of a design.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const { checks } = corners(design);
 * engineering(checks[0].highest?.value ?? 0, "V"); // "4.268 V"
 * checks[0].pass; // false
 * ```
 * @throws DesignError `bad-option` (`exact` of too many corners), `unknown-check`, `ambiguous-goal`
 */
export function corners(design: Design, options: CornersOptions = {}): WorstCase {
  handed("design", design);
  asked(options, {
    ...experimentSorts,
    exact: "flag",
    progress: "function",
  });
  const experiment = new Experiment(design, options);
  const work = cornerSearch(experiment.subject, options);
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
 * The search as a plan: yields batches of places to measure in any order, takes their results, and returns the worst case.
 * @throws DesignError `bad-option`
 */
export function* cornerSearch(
  subject: Subject,
  { exact = false }: Pick<CornersOptions, "exact"> = {},
): Generator<readonly AxisPlaces[], WorstCase, readonly Measured[]> {
  const { axes, checks } = subject;
  refuseSets(axes);
  const count = 2 ** axes.length;
  if (exact && count > most) {
    const message = `there are ${grouped(count)} corners, more than the ${grouped(most)} that can be run`;
    refuseOption("exact", message, "leave 'exact' out, or give fewer values a tolerance");
  }
  const pairs = pairsOf(axes);
  const nominal = asDesigned(subject);
  const [middle, ...sides] = yield [nominal, ...pairs.flatMap((pair) => [pair.low, pair.high])];
  let runs = 1 + sides.length;
  const alone = checks.map((_, k) =>
    pairs.map(({ axis, warm }, i): AxisAlone => {
      const [low, high] = [sides[2 * i].values[k], sides[2 * i + 1].values[k]];
      return { axis, warm, low, high };
    }),
  );
  const all = exact || count <= few;
  const found = checks.map((check, k) => new CheckExtremes(check, k));
  // The effect of an axis may turn round between its ends; then the design itself, or one axis alone, is worse than any corner.
  for (const one of found) one.meet(nominal, middle, false);
  pairs.forEach((pair, i) => {
    for (const one of found)
      [pair.low, pair.high].forEach((places, end) => {
        one.meet(places, sides[2 * i + end], false);
      });
  });
  const middles = checks.map((_, k) => middle.values[k]);
  const matters = alone.map((list) =>
    axes.map((_, i) => list.some(({ axis, low, high }) => axis === i && low !== high)),
  );
  if (all)
    for (const batch of everyCorner(count, axes.length)) {
      const measured = yield batch;
      runs += batch.length;
      batch.forEach((places, i) => {
        for (const one of found) one.meet(places, measured[i]);
        // What does nothing alone may do something at a corner.
        axes.forEach((_, axis) => {
          const other = measured[i ^ (1 << axis)];
          if (2 ** axis < few && other)
            matters.forEach((list, k) => {
              list[axis] ||= other.values[k] !== measured[i].values[k];
            });
        });
      });
    }
  else runs += yield* searchSigns({ axes, alone, middles }, found);
  const within = yield* searchWithin(axes, found, alone, middles, matters);
  return {
    ...subject,
    method: all ? "corners" : "signs",
    corners: count,
    runs: runs + within,
    within,
    checks: found.map((one, k) => one.worst(axes, middle, alone[k])),
  };
}

// A corner would take its parts from different sets.
function refuseSets(axes: readonly Axis[]): void {
  const turns = axes.map(({ distribution: d }) => (d.shape === "measured" ? d.turns.join("\n") : undefined));
  const second = axes.find((_, k) => turns[k] !== undefined && turns.indexOf(turns[k]) < k);
  if (second)
    refuseOption(
      "measured",
      `'${second.name}' comes out of a set with others, which has no corners`,
      "random trials draw whole sets",
    );
}

/** Both ends of one axis, with everything else as designed. */
interface AxisEnds {
  readonly axis: number;
  /** For a drift the end of the temperature, as it does nothing at the temperature where values hold; else NaN. */
  readonly warm: number;
  readonly low: AxisPlaces;
  readonly high: AxisPlaces;
}

function pairsOf(axes: readonly Axis[]): AxisEnds[] {
  const heat = axes.findIndex((axis) => axis.what === "temperature");
  return axes.flatMap(({ what }, axis) => {
    const contexts = what === "drift" && heat >= 0 ? [0, 1] : [Number.NaN];
    return contexts.map((warm): AxisEnds => {
      const at = (end: number) => axes.map((_, i) => (i === axis ? end : i === heat ? warm : Number.NaN));
      return { axis, warm, low: at(0), high: at(1) };
    });
  });
}

// In batches, so that a million corners are never held at once. Bit k of a corner's number gives the end of axis k.
function* everyCorner(count: number, axes: number): Generator<readonly AxisPlaces[]> {
  for (let from = 0; from < count; from += few)
    yield Array.from({ length: Math.min(few, count - from) }, (_, i) =>
      Array.from({ length: axes }, (_, k) => ((from + i) >>> k) & 1),
    );
}

/** A whole number in groups of three digits; beyond 2^53 a power of two, as all counts of corners are. */
function grouped(count: number): string {
  return count <= Number.MAX_SAFE_INTEGER
    ? String(count).replace(/\B(?=(\d{3})+$)/g, " ")
    : `2^${Math.round(Math.log2(count))}`;
}
