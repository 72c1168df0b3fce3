// Random trials: a design measured again and again with values drawn within their tolerances. Trial n of a seed draws the same
// values alone, in any order, in any slice and on any machine (random.ts), so slices that ran separately merge into what one run
// would have given.

import { asked, refuseOption, wholeNumber } from "../base/asked.js";
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";
import { baggedPlace, drawnPlace } from "./distribution.js";
import {
  Experiment,
  type ExperimentOptions,
  experimentSorts,
  type Measured,
  type Subject,
} from "./experiment.js";
import { chance } from "./random.js";
import { type Axis, type AxisPlaces, aspectOf } from "./tolerances.js";

/** A row of trials: `[first, last + 1]`. */
export type Slice = readonly [number, number];

/** A trial in which some check had no value. */
export interface MissingTrial {
  /** Its number. */
  readonly trial: number;
  /** Why. */
  readonly reason: string;
}

/** Trials that were run, with what each measured. */
export interface Trials extends Subject {
  /** The seed of its random numbers. */
  readonly seed: number;
  /** What each check measures as designed, SI; NaN where it has no value. */
  readonly nominal: readonly number[];
  /** Numbers of the trials that were run, in rising, separate rows. */
  readonly slices: readonly Slice[];
  /** By check, then by trial in the order of the slices: SI, NaN where there is no value. */
  readonly measured: readonly (readonly number[])[];
  /** Trials in which some check had no value, and why. */
  readonly missing: readonly MissingTrial[];
}

/** A row of trials. */
export interface TrialRange {
  /** Number of the first; whole, from 0. */
  readonly from: number;
  /** One more than the number of the last. */
  readonly to: number;
}

/** A signal that ends the work. */
export interface Aborting {
  /** True once the work is to end. */
  readonly aborted: boolean;
}

/** Which trials to run. */
export interface TrialsOptions extends ExperimentOptions {
  /** How many, 1000 unless given; or from the first to one past the last. */
  readonly trials?: number | TrialRange;
  /** A whole number from 0 to 2^32 − 1; 1 unless given. */
  readonly seed?: number;
  /** Called after each trial: how many are done of how many. */
  readonly progress?: (done: number, of: number) => void;
  /** Ends the trials when aborted, e.g. from `progress`; finished ones are kept. */
  readonly signal?: Aborting;
}

/** The most trials in one go: their measurements are kept in memory. */
const mostTrials = 10_000_000;

/**
 * Runs random trials.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const boards = trials(design, { trials: 10, seed: 1 });
 * boards.checks[0].name; // "fills the tube"
 * boards.measured[0].length; // 10
 * ```
 * @throws DesignError `bad-option`, `unknown-check`, `ambiguous-goal` for invalid options
 */
export function trials(design: Design, options: TrialsOptions = {}): Trials {
  handed("design", design);
  asked(options, {
    ...experimentSorts,
    trials: "any",
    seed: "number",
    progress: "function",
    signal: "object",
  });
  const { from, to } = rangeOf(options.trials);
  const seed = seedOf(options.seed);
  const experiment = new Experiment(design, options);
  const log = new Log(experiment.subject, seed, experiment.at(asDesigned(experiment.subject)));
  for (let i = from; i < to && !options.signal?.aborted; i++) {
    log.add(i, experiment.at(places(experiment.subject.axes, seed, i)));
    options.progress?.(i + 1 - from, to - from);
  }
  return log.trials();
}

/** The trials that are asked for. @throws DesignError `bad-option` */
export function rangeOf(asked: TrialsOptions["trials"] = 1000): { from: number; to: number } {
  const { from, to } = typeof asked === "number" ? { from: 0, to: asked } : asked;
  if (!Number.isSafeInteger(from) || !Number.isSafeInteger(to) || from < 0)
    refuseOption("trials", "trials are numbered by whole numbers from 0 on");
  if (to <= from) refuseOption("trials", "there is no trial to run", "ask for one at least");
  if (to - from > mostTrials)
    refuseOption(
      "trials",
      `${to - from} trials are more than the ${mostTrials} of one go`,
      "run slices, and merge them",
    );
  return { from, to };
}

/** A valid seed. @throws DesignError `bad-option` */
export function seedOf(seed = 1): number {
  return wholeNumber("seed", seed, 0, 2 ** 32 - 1);
}

/** The places that trial n of a seed draws. */
export function places(axes: readonly Axis[], seed: number, n: number): AxisPlaces {
  return axes.map((axis) => {
    const { distribution } = axis;
    if (distribution.shape === "measured")
      return baggedPlace(distribution, (name) => chance(seed, n, name, aspectOf(axis)));
    return drawnPlace(chance(seed, n, axis.name, aspectOf(axis)), distribution);
  });
}

/** The places that leave everything as designed. */
export function asDesigned({ axes }: Pick<Subject, "axes">): AxisPlaces {
  return axes.map(() => Number.NaN);
}

/** Gathers what trials measured, in any order; a trial that comes twice counts once. */
export class Log {
  private readonly found = new Map<number, Measured>();

  constructor(
    private readonly subject: Subject,
    private readonly seed: number,
    private readonly nominal: Measured,
  ) {}

  get count(): number {
    return this.found.size;
  }

  add(trial: number, measured: Measured): void {
    if (!this.found.has(trial)) this.found.set(trial, measured);
  }

  /** Everything so far. */
  trials(): Trials {
    const rising = [...this.found.keys()].sort((a, b) => a - b);
    const slices: [number, number][] = [];
    for (const n of rising) {
      const last = slices[slices.length - 1];
      if (last && last[1] === n) last[1] = n + 1;
      else slices.push([n, n + 1]);
    }
    return {
      ...this.subject,
      seed: this.seed,
      nominal: this.nominal.measured,
      slices,
      measured: this.subject.checks.map((_, k) => rising.map((n) => this.found.get(n)!.measured[k])),
      missing: rising.flatMap((trial) => {
        const { reason } = this.found.get(trial)!;
        return reason === undefined ? [] : [{ trial, reason }];
      }),
    };
  }
}

/** Numbers of the trials, in the order of their measured values. */
export function trialNumbers(slices: Trials["slices"]): number[] {
  return slices.flatMap(([from, to]) => Array.from({ length: to - from }, (_, i) => from + i));
}
