// The periods of the signals that move a trace; for video, its lines and its fields.
import { instants } from "../assembly/each.js";
import { toNumber } from "../base/fraction.js";
import { countable, type Design, type PartSpec } from "../design/design.js";
import { Influence } from "../judging/influence.js";
import type { Trace } from "../waveforms/trace.js";

/** A signal, and a period of it. */
interface Beat {
  /** Name of the signal. */
  readonly source: string;
  /** Seconds. */
  readonly period: number;
}

/** Instants of a period at which a trace is compared with the period after, and how many of them at most. */
const [looks, mostLooks] = [16, 20_000];
/** A trace repeats if it differs from one period to the next by less than this share of its swing. */
const same = 1e-5;

/** Frames that are searched for the usual distance between lines, or between fields. */
const frames = 3;

/** The signals that move a trace, with their periods, the shortest first; signals that do not repeat are left out. */
export function movingPeriods(design: Design, of: string): Beat[] {
  const movers = new Influence(design).of({ target: of });
  return design.parts
    .flatMap((part, i) => (countable(part) && (movers?.has(i) ?? true) ? beatsOf(design, part) : []))
    .sort((a, b) => a.period - b.period);
}

function beatsOf(design: Design, { name, wave }: PartSpec): Beat[] {
  const shape = wave!.shape;
  const beat = (period: number): Beat[] => [{ source: name, period }];
  if (shape.kind === "segments") return shape.period ? beat(toNumber(shape.period)) : [];
  if (shape.kind === "sine") return beat(1 / toNumber(shape.frequency));
  if (shape.kind !== "packed") return [];
  const frame = shape.picture?.frame ?? shape.period;
  return ["lines", "fields"].flatMap((word) => {
    if (!shape.periodStarts?.has(word)) return [];
    const starts = instants(design, `${name}.${word}`, frames * toNumber(frame));
    return starts.length > 1 ? beat(middle(Array.from(starts.subarray(1), (t, i) => t - starts[i]))) : [];
  });
}

/** The median, the upper one of an even number of values. */
export function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
}

/**
 * The instant from which a trace repeats with the longest period of what moves it, so that its start no longer shows; its begin if that
 * is nowhere.
 */
export function repeatsFrom(trace: Trace, design: Design, of: string): number {
  const period = movingPeriods(design, of).at(-1)?.period;
  if (period === undefined) return trace.from;
  const apart = period / looks;
  // Edges stand at round shares of a period, where the last bit of an instant decides which side is seen.
  const instant = (k: number) => trace.to - period - (k + 0.37) * apart;
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = 0; k < looks; k++) {
    const value = trace.at(instant(k) + period);
    [low, high] = [Math.min(low, value), Math.max(high, value)];
  }
  for (let k = 0; k < mostLooks && instant(k) > trace.from; k++) {
    const t = instant(k);
    if (Math.abs(trace.at(t) - trace.at(t + period)) > same * (high - low))
      return k < looks ? trace.from : t + apart;
  }
  return trace.from;
}
