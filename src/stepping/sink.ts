// What the march reports to a listener: samples, in the order of time. At an edge or event there are two at one tick, the
// limits from the left and from the right.
import type { Combination } from "../equations/system.js";
import type { Contradiction } from "./contradictions.js";
import type { Alike } from "./instep.js";
import type { RunawayStart } from "./resets.js";
import type { PartSharing } from "./sharing.js";

/** A sample shows an instant as it is reached (0), as it is left (1), or as a TR-BDF2 step reaches it (2). */
export type Side = 0 | 1 | 2;

/** Receives the samples of a run. */
export interface StepSink {
  /**
   * One sample. `x` belongs to the march and is overwritten: copy what you keep.
   * @param n tick
   * @param x voltages of capacitors and currents of inductors, in the order of `System.states`
   * @param given states at this tick, as bits by their index; the others stand where they were last given
   * @returns false to stop the run
   */
  sample(n: number, side: Side, at: Combination, x: Float64Array, given: number): boolean;
  /** Charge or flux was shared at an instant: the energy lost, in joules, and the effect on parts. */
  loss(n: number, joules: number, parts: readonly PartSharing[]): void;
  /**
   * The current place in samples and losses, for `repeat`. A sink without these two is told every sample, even of repeats.
   */
  mark?(): SinkMark;
  /**
   * All samples and losses since a mark repeat so many times, each time so many ticks later than before.
   * @param marched whether they will be told nevertheless
   */
  repeat?(since: SinkMark, times: number, ticks: number, marched: boolean): void;
}

/** A place in what a sink has been told. */
export interface SinkMark {
  readonly samples: number;
  readonly losses: number;
}

/** What a start is doubtful about. */
export interface StartDoubts {
  /** Parts that do not begin at the value written. */
  readonly contradicted: readonly Contradiction[];
  /** States without a steady value, and where they start. */
  readonly unsteady: readonly RunawayStart[];
  /** Parts that keep switching while everything else rests. */
  readonly restless: readonly number[];
  /** Those of them that are about to switch as the run starts; empty where it starts at rest. */
  readonly turning: readonly number[];
}

/** How a march ended. */
export interface Ending extends StartDoubts {
  readonly status: "complete" | "stopped";
  /** Why it stopped; empty when complete. */
  readonly reason: string;
  /** Stable word for the reason, e.g. `steps`, `cancelled`, `no-mode`, `source-loop`, `overflow`. */
  readonly code: string;
  /** The last tick reached. */
  readonly reached: number;
  readonly steps: number;
  readonly rejected: number;
  readonly events: number;
  /** Names of parts that could as well have started in other modes; computed on request, since that sets up many combinations. */
  readonly ambiguous: () => readonly string[];
  /** Parts that steer each other and switched at one tick; computed on request. */
  readonly alike: () => readonly Alike[];
  /** Matrices made for steps. */
  readonly matrices: number;
}
