// Short ways to take a measure in tests.
import { measures } from "../../src/measures/measures.js";
import type { Measure, Window } from "../../src/measures/window.js";
import type { Trace } from "../../src/waveforms/trace.js";

/** The measure with these words. */
export function named(words: string): Measure {
  const found = measures.find((m) => m.words === words);
  if (!found) throw new Error(`there is no measure '${words}'`);
  return found;
}

/** A measure by its words, of the whole trace unless told otherwise. */
export function take(words: string, trace: Trace, more: Partial<Window> = {}): number {
  return named(words).take({ trace, from: trace.from, to: trace.to, ...more });
}

/** Relative distance. */
export function off(got: number, want: number): number {
  return Math.abs(got - want) / Math.abs(want);
}
