// Recurrence in a window: period, frequency, jitter and duty.
// A period runs from one rising crossing to the next (falling, where asked for), through the given level or else half-way between
// the window's floor and peak; with too few crossings the result is NaN.
import { lengthOf, summed } from "./average.js";
import { crossings, passages } from "./crossing.js";
import {
  byParts,
  coveredSpan,
  type Measure,
  type Recurring,
  traceBounds,
  unmoved,
  type Window,
} from "./window.js";

/** The level half-way between the lowest and the highest value of all parts; the highest where nothing moves. */
function half(parts: readonly Recurring[]): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { window } of parts) {
    const s = coveredSpan(window);
    const bounds = s ? traceBounds(window.trace, s.from, s.to) : { low: Number.NaN, high: Number.NaN };
    low = Math.min(low, bounds.low);
    high = Math.max(high, bounds.high);
  }
  return unmoved(parts[0].window.trace, { low, high }) ? high : low + (high - low) / 2;
}

/** The passages of a span: how many, and what lies between them, each length once however often it recurs, s. */
class Passages {
  count = 0;
  readonly lengths: number[] = [];
  private first = Number.NaN;
  private last = Number.NaN;

  constructor(parts: readonly Recurring[]) {
    const [{ window: start }] = parts;
    const level = start.through?.level ?? half(parts);
    for (const { window, times } of parts) {
      const found = passages(window, level, start.through?.direction ?? "rising") ?? [];
      if (found.length === 0) continue;
      for (const { time } of found) this.meet(time);
      if (times === 1) continue;
      const length = window.to - window.from;
      this.meet(found[0].time + length);
      this.last = found[found.length - 1].time + (times - 1) * length;
      this.count += (times - 1) * found.length - 1;
    }
  }

  private meet(time: number): void {
    if (this.count > 0) this.lengths.push(time - this.last);
    else this.first = time;
    this.last = time;
    this.count++;
  }

  /** The mean of them, each as often as it is there. */
  get mean(): number {
    return this.count < 2 ? Number.NaN : (this.last - this.first) / (this.count - 1);
  }
}

/** Mean period of the rising crossings. */
export const period: Measure = {
  words: "period",
  takes: "value",
  summary: "the mean time between crossings that go one way, half-way up or through a level",
  unit: () => "s",
  ...byParts((parts) => new Passages(parts).mean),
};

/** One over the mean period. */
export const frequency: Measure = {
  words: "frequency",
  takes: "value",
  summary: "one over the period",
  unit: () => "Hz",
  ...byParts((parts) => 1 / new Passages(parts).mean),
};

/** Largest departure of one period from the mean period; needs at least two periods. */
export const jitter: Measure = {
  words: "jitter",
  takes: "value",
  summary: "the largest departure of one period from the mean period",
  unit: () => "s",
  ...byParts((parts) => {
    const { count, mean, lengths } = new Passages(parts);
    if (count < 3) return Number.NaN;
    return lengths.reduce((worst, length) => Math.max(worst, Math.abs(length - mean)), 0);
  }),
};

/** How long a trace stands above a level in a window, s. */
function timeAbove(w: Window, level: number): number {
  const s = coveredSpan(w);
  if (!s) return Number.NaN;
  const all = crossings(w.trace, s.from, s.to, level);
  if (all.length === 0) {
    // The trace keeps to one side; resting at the level throughout is not above it.
    const { high } = traceBounds(w.trace, s.from, s.to);
    return Number.isNaN(high) || Number.isNaN(level) ? Number.NaN : high > level ? s.to - s.from : 0;
  }
  let above = 0;
  let since = s.from;
  for (const c of all) {
    if (c.direction === "rising") since = c.time;
    else above += c.time - since;
  }
  return all[all.length - 1].direction === "rising" ? above + (s.to - since) : above;
}

/** Share of the window during which the trace stands above half-way, or above the given level. */
export const duty: Measure = {
  words: "duty",
  takes: "value",
  summary: "the share of the span during which the trace stands above half-way, or above a level",
  unit: () => "",
  shown: "share",
  ...byParts((parts) => {
    const level = parts[0].window.through?.level ?? half(parts);
    const above = summed(parts, (w) => timeAbove(w, level));
    return above / summed(parts, lengthOf);
  }),
};
