// Clipping in a window: how long a part's output stands at a limit, and at which level that sets in.
// The trace is 1 where the output stands at a limit and 0 elsewhere, from the modes of the run. Only limits of the level count,
// so an output that lags by its slew rate does not clip; one that stands at a limit when the window starts clips from there.
import { integral, summed } from "./average.js";
import { crossings } from "./crossing.js";
import { byParts, coveredSpan, firstOfParts, type Measure, type Window } from "./window.js";

/** Total time at the limits, upper and lower alike. */
export const clippingTime: Measure = {
  words: "clipping time",
  takes: "clipping",
  summary: "how long in all the output of a part stands at its limits",
  unit: () => "s",
  ...byParts((parts) => summed(parts, integral)),
};

function levelAtFirst(w: Window): number {
  if (!w.output) throw new RangeError("clipping level needs the output");
  const s = coveredSpan(w);
  const there = s && coveredSpan({ trace: w.output, from: s.from, to: s.to });
  if (!there) return Number.NaN;
  const begins =
    w.trace.at(s.from) > 0.5
      ? s.from
      : crossings(w.trace, s.from, s.to, 0.5).find((c) => c.direction === "rising")?.time;
  return begins === undefined ? Number.NaN : w.output.at(begins);
}

/**
 * The output's level at the first instant in the window at which it stands at a limit; NaN where it never does. Its sign
 * tells which limit it is on two rails. With a load behind an output resistance the limit moves with the load: this is
 * where it stood when clipping set in.
 */
export const clippingLevel: Measure = {
  words: "clipping level",
  takes: "clipping",
  beside: "output",
  summary: "the level at which the output of a part first comes to stand at one of its limits",
  unit: () => "V",
  ...byParts((parts) => firstOfParts(parts, levelAtFirst)),
};
