// Recurrence in a window: period, frequency, jitter and duty.
// A period runs from one rising crossing to the next (falling, where asked for), through the given level or else half-way between
// the window's floor and peak; with too few crossings the result is NaN.
import { crossings, passages } from "./crossing.js";
import { coveredSpan, type Measure, traceBounds, type Window } from "./window.js";

function half(w: Window): number {
  const s = coveredSpan(w);
  if (!s) return Number.NaN;
  const { low, high } = traceBounds(w.trace, s.from, s.to);
  return low + (high - low) / 2;
}

function instants(w: Window): number[] {
  const level = w.through?.level ?? half(w);
  return (passages(w, level, w.through?.direction ?? "rising") ?? []).map((c) => c.time);
}

function meanPeriod(t: readonly number[]): number {
  return t.length < 2 ? Number.NaN : (t[t.length - 1] - t[0]) / (t.length - 1);
}

/** Mean period of the rising crossings. */
export const period: Measure = {
  words: "period",
  takes: "value",
  summary: "the mean time between crossings that go one way, half-way up or through a level",
  unit: () => "s",
  take: (w) => meanPeriod(instants(w)),
};

/** One over the mean period. */
export const frequency: Measure = {
  words: "frequency",
  takes: "value",
  summary: "one over the period",
  unit: () => "Hz",
  take: (w) => 1 / meanPeriod(instants(w)),
};

/** Largest departure of one period from the mean period; needs at least two periods. */
export const jitter: Measure = {
  words: "jitter",
  takes: "value",
  summary: "the largest departure of one period from the mean period",
  unit: () => "s",
  take(w) {
    const t = instants(w);
    if (t.length < 3) return Number.NaN;
    const mean = meanPeriod(t);
    let worst = 0;
    for (let k = 1; k < t.length; k++) worst = Math.max(worst, Math.abs(t[k] - t[k - 1] - mean));
    return worst;
  },
};

/** Share of the window during which the trace stands above half-way, or above the given level. */
export const duty: Measure = {
  words: "duty",
  takes: "value",
  summary: "the share of the span during which the trace stands above half-way, or above a level",
  unit: () => "",
  shown: "share",
  take(w) {
    const s = coveredSpan(w);
    if (!s || s.from === s.to) return Number.NaN;
    const level = w.through?.level ?? half(w);
    const all = crossings(w.trace, s.from, s.to, level);
    if (all.length === 0) {
      // The trace keeps to one side; resting at the level throughout is not above it.
      const { high } = traceBounds(w.trace, s.from, s.to);
      return Number.isNaN(high) || Number.isNaN(level) ? Number.NaN : high > level ? 1 : 0;
    }
    let above = 0;
    let since = s.from;
    for (const c of all) {
      if (c.direction === "rising") since = c.time;
      else above += c.time - since;
    }
    if (all[all.length - 1].direction === "rising") above += s.to - since;
    return above / (s.to - s.from);
  },
};
