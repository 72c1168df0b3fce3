// Periods as a run counts them: those of a signal are listed; of a place where they begin is measured, since nothing is known of
// it beforehand.
import { refuseOption } from "../base/asked.js";
import { crossings } from "../measures/crossing.js";
import { ShapeError } from "../signals/wave.js";
import type { Trace } from "../waveforms/trace.js";

/** The instants (s) at which a trace rises through half of its swing. */
export function risings(trace: Trace): Float64Array {
  if (trace.time.length < 2) return new Float64Array(0);
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const v of trace.value) {
    if (v < low) low = v;
    if (v > high) high = v;
  }
  const found = crossings(trace, trace.from, trace.to, (low + high) / 2);
  return Float64Array.from(found.flatMap((c) => (c.direction === "rising" ? [c.time] : [])));
}

/** Lists periods; where there are more than the limit allows, that is told as an option's fault. */
export function counting<T>(name: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    if (error instanceof ShapeError)
      refuseOption("limits.periods", `'${name}': ${error.message}`, error.hint);
    throw error;
  }
}
