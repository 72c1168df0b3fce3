// What a part does over a stretch of a recording: its voltage, its current and its power, in one pass and piece by piece.
import type { Assembly } from "../assembly/assemble.js";
import { traceAccuracy } from "./accuracy.js";
import { partReader } from "./forms.js";
import { partView } from "./leapview.js";
import { Parting, type TakeArc } from "./parting.js";
import type { RailModes } from "./rails.js";
import type { Recording } from "./recording.js";
import { surveyed, type TickSpan } from "./surveying.js";

/** What is read of a part, in this order. */
export const partSights = ["voltage", "current", "power"] as const;

/**
 * Passes on every piece of the curves of a part, in order of time, from a recording whose samples are ends of leaps.
 * @param take receives the index in `partSights`
 */
export function followPart(
  assembly: Assembly,
  recording: Recording,
  { part, rails }: { readonly part: number; readonly rails: RailModes },
  span: TickSpan,
  take: TakeArc,
): void {
  const view = partView(assembly, recording, partReader(assembly, part), rails);
  const parting = new Parting(partSights.length, traceAccuracy, assembly.clock, take);
  for (const leap of surveyed(recording, [span])) {
    const inside = view.enter(leap);
    parting.widen(inside, leap.from, 1);
    parting.widen(inside, leap.to, 0);
  }
  for (const stretch of view.stretches(span.from, span.to)) {
    const inside = view.enter(stretch);
    let start = Math.max(span.from, stretch.from);
    const end = Math.min(span.to, stretch.to);
    for (const corner of [...inside.pieces.corners(start, end), end]) {
      parting.piece(inside, start, corner);
      start = corner;
    }
  }
}
