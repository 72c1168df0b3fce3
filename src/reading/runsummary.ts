// A run's results as plain data: counts, and what is written of a run as JSON.
import type { Loss } from "./recording.js";

/** Counts of a run, for benches and the curious. */
export interface Statistics {
  /** Steps taken. */
  readonly steps: number;
  /** Steps tried and undone because their error was too large. */
  readonly rejected: number;
  /** Instants at which something jumped or a mode changed. */
  readonly events: number;
  /** Combinations of modes met. */
  readonly combinations: number;
  /** Step matrices made. */
  readonly matrices: number;
}

/** A run without its waveforms: how it ended, what is doubtful, and which names have traces. */
export interface RunSummary {
  /** Title of the design. */
  readonly title: string;
  /** Name of the case; empty for the design as drawn. */
  readonly case: string;
  /** `complete` when the end was reached. */
  readonly status: "complete" | "stopped";
  /** Why the run stopped; empty when complete. */
  readonly reason: string;
  /** A stable word for the reason, e.g. `steps` or `source-loop`; empty when complete. */
  readonly code: string;
  /** The instant reached, s. */
  readonly reached: number;
  /** The end that was asked for, s. */
  readonly until: number;
  /** The start that was used: the one asked for, or else the design's. */
  readonly start: "steady" | "rest" | "settled";
  /** Counts of the run. */
  readonly statistics: Statistics;
  /** What is doubtful about the run, e.g. edges rounded to ticks. */
  readonly warnings: readonly string[];
  /** Energy lost where charge or flux was shared at an instant. */
  readonly losses: readonly Loss[];
  /** Every name that `trace` takes. */
  readonly names: readonly string[];
}
