// The periods of the signals that move a trace; for video, its lines and its fields.
import { instants } from "../assembly/each.js";
import { toNumber } from "../base/fraction.js";
import { countable, type Design, type PartSpec } from "../design/design.js";
import { Influence } from "../judging/influence.js";

/** A signal, and a period of it. */
interface Beat {
  /** Name of the signal. */
  readonly source: string;
  /** Seconds. */
  readonly period: number;
}

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
