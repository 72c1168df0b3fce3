// Short ways to take a measure in tests.
import { findMeasure } from "../../src/measures/measures.js";
import type { Window } from "../../src/measures/window.js";
import type { Trace } from "../../src/waveforms/trace.js";

/** A measure by its words, of the whole trace unless told otherwise. */
export function take(words: string, trace: Trace, more: Partial<Window> = {}): number {
  return findMeasure(words)!.take({ trace, from: trace.from, to: trace.to, ...more });
}

/** Relative distance. */
export function off(got: number, want: number): number {
  return Math.abs(got - want) / Math.abs(want);
}
