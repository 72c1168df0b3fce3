// The periods that a check counts by: `camera` is a signal or a place, `camera.fields` a beat of that signal.

import { exactly, type Given, refuseOption } from "../base/asked.js";
import { dimension } from "../base/dimension.js";
import { handed, handedText } from "../base/handed.js";
import { didYouMean } from "../base/nearest.js";
import { countable, type Design, type PartSpec } from "../design/design.js";
import { periodStarts } from "../signals/periodstarts.js";
import { ShapeError } from "../signals/wave.js";

/** A signal and, if the name has one, its beat. */
interface CountedSignal {
  readonly signal: PartSpec;
  readonly beat?: string;
}

/** The signal that a name counts by; undefined where it names something else. */
export function beatOf(design: Design, name: string): CountedSignal | undefined {
  const dot = name.lastIndexOf(".");
  for (const signal of design.parts) {
    if (!countable(signal)) continue;
    if (signal.name === name) return { signal };
    const { shape } = signal.wave;
    const beat = name.slice(dot + 1);
    if (
      signal.name === name.slice(0, Math.max(0, dot)) &&
      shape.kind === "packed" &&
      shape.periodStarts?.has(beat)
    )
      return { signal, beat };
  }
  return undefined;
}

/** Every name that can be counted by: signals and their beats. */
function countedNames(design: Design): string[] {
  return design.parts.filter(countable).flatMap(({ name, wave: { shape } }) => {
    const beats = shape.kind === "packed" ? [...(shape.periodStarts?.keys() ?? [])] : [];
    return [name, ...beats.map((beat) => `${name}.${beat}`)];
  });
}

/**
 * The instants at which periods of a signal begin, without a run: its rises through half of its swing; for video, 0H of every
 * line, and by name its `lines`, `fields`, `frames` and `pulses`.
 *
 * @category Designs
 * @example
 * ```ts
 * const starts = instants(design, "gate", "1 ms");
 * starts.length; // 16
 * engineering(starts[1] - starts[0], "s"); // "64 µs"
 * ```
 * @param until the last instant that counts: text with a unit, or a number in seconds
 * @returns seconds, ascending; each the double nearest to the exact instant
 * @throws DesignError `bad-option` for a name that is not a signal's, or for more than 20 million periods
 */
export function instants(design: Design, name: string, until: Given): Float64Array {
  handed("design", design);
  handedText(name, "name");
  const counted = beatOf(design, name);
  if (!counted)
    return refuseOption("name", `no signal is called '${name}'`, didYouMean(name, countedNames(design)));
  const end = exactly(until, dimension.time, "until");
  try {
    return periodStarts(counted.signal.wave!, end, counted.beat).all();
  } catch (error) {
    if (error instanceof ShapeError) refuseOption("until", `'${name}': ${error.message}`, error.hint);
    throw error;
  }
}
