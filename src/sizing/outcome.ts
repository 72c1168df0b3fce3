// The result of a search for values.
import type { Answer, Trial } from "./proposals.js";
import type { Trim } from "./trim.js";

/**
 * How the search ended. `found`: one answer. `several`: more than one, or a whole line of them. `none`: nothing in the range
 * or beyond it meets the goals. `out of range`: only something beyond the range does. `no effect`: the goals do not depend
 * on an unknown.
 */
export type SizingStatus = "found" | "several" | "none" | "out of range" | "no effect";

/** An answer with the range that makes up for tolerances, where there is one unknown. */
export interface SizedAnswer extends Answer {
  /** Given for a single unknown where other values of the design have tolerances that matter. */
  readonly trim?: Trim;
}

/** Answers, or the reason for none. */
export interface SizingOutcome {
  /** How the search ended. */
  readonly status: SizingStatus;
  /** A sentence, where there is more to say; else empty. */
  readonly reason: string;
  /** In rising order of the unknown. */
  readonly answers: readonly SizedAnswer[];
  /** Where there is no answer: the nearest to one inside the range, if anything could be measured there. */
  readonly best?: Trial;
  /** The answer, where it lies beyond the range. */
  readonly beyond?: Trial;
}
