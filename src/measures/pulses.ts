// Pulses in a window: how many there are, and how many are missing or extra where there should be one. A pulse is a passage
// through the level, upwards unless the other way is asked for, so the pulses of adjoining windows are those of the whole, each
// once; a window that the trace does not cover has no number (NaN). With `each camera.pulses` the last two compare the output of
// a sync separator with the true pulses, one by one. A pulse under way when the run begins was not seen to start: ask `after` it.
import { summed } from "./average.js";
import { passages } from "./crossing.js";
import { byParts, coveredSpan, type Measure, traceBounds, type Window } from "./window.js";

function count(w: Window): number {
  if (!w.through) throw new RangeError("pulses need a level");
  const s = coveredSpan(w);
  const found = s && passages(w, w.through.level, w.through.direction ?? "rising");
  if (!found) return Number.NaN;
  // The trace, and the level, must be known to be numbers throughout.
  return Number.isNaN(traceBounds(w.trace, s.from, s.to).low + w.through.level) ? Number.NaN : found.length;
}

/** Passages through a level. */
export const pulses: Measure = {
  words: "pulses",
  takes: "value",
  needs: "through",
  summary: "how many pulses: passages through a level, upwards unless said otherwise",
  unit: () => "",
  shown: "count",
  ...byParts((parts) => summed(parts, count)),
};

/** 1 where there is no pulse, else 0. */
export const missingPulses: Measure = {
  words: "missing pulses",
  takes: "value",
  needs: "through",
  summary: "1 where the span has no pulse, else 0; ask `each` period in which there should be one",
  unit: () => "",
  shown: "count",
  ...byParts((parts) => Math.max(0, 1 - summed(parts, count))),
};

/** Pulses beyond the first. */
export const extraPulses: Measure = {
  words: "extra pulses",
  takes: "value",
  needs: "through",
  summary: "how many pulses the span has beyond one; ask `each` period in which there should be one",
  unit: () => "",
  shown: "count",
  ...byParts((parts) => Math.max(0, summed(parts, count) - 1)),
};
