// Lengths that come again, to go along a leap that does not: powers of two ticks, the longest first. What is seen at so many instants
// of each is known for all leaps.
import type { RecurringLeap, StretchView } from "./view.js";

/** What is shorter than this share of the leap goes by looks of its own. */
const least = 1 / 64;

/** The blocks of a piece, in the order of time. Where they end is not the end of the piece. */
export function* blocksOf(inside: StretchView, from: number, to: number): Generator<RecurringLeap> {
  const shortest = Math.max(2, least * (to - from));
  let length = 1;
  while (length * 2 <= to - from) length *= 2;
  for (let at = from; length >= shortest; length /= 2) {
    if (length > to - at) continue;
    const block = inside.block(at, length);
    if (!block) return;
    yield block;
    at += length;
  }
}
