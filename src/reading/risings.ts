// Periods as a run counts them. Those of a signal are listed in advance; those of a place have to be measured, since nothing is
// known about it before the run.
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

/** Lists periods; too many of them for the limit are reported as a fault of the option. */
export function counting<T>(name: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    if (error instanceof ShapeError)
      refuseOption("limits.periods", `'${name}': ${error.message}`, error.hint);
    throw error;
  }
}
