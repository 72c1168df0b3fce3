// What a check counts by: `camera` is a signal or a place, `camera.fields` what a signal begins again and again.
import { countable, type Design, type PartSpec } from "../design/design.js";

/** A signal and, where the name has one, the beat of it. */
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
