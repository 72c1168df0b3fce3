// Lengths that come again, to go along a leap that does not: powers of two ticks, the longest first. What is seen at so many instants
// of each is known for all leaps.
import type { RecurringLeap, StretchView } from "./view.js";

/** What is shorter than this share of the leap goes by looks of its own. */
const least = 1 / 64;

/** Ticks of a turn or two of a carrier, a power of two; Infinity where none turns. @param turn ticks of one */
export function turnsOf(turn: number): number {
  return turn < Number.POSITIVE_INFINITY ? Math.max(2, powerWithin(2 * turn)) : turn;
}

/** The largest power of two up to a number of 1 or more. */
function powerWithin(most: number): number {
  let power = 1;
  while (power * 2 <= most) power *= 2;
  return power;
}

/**
 * The blocks of a piece, in the order of time. Where they end is not the end of the piece. What a carrier keeps turning goes by
 * blocks of a turn or two, each like the last: of longer ones every look would be the first of its kind.
 */
export function* blocksOf(inside: StretchView, from: number, to: number): Generator<RecurringLeap> {
  const longest = Math.min(to - from, turnsOf(inside.turn));
  const shortest = Math.max(2, least * longest);
  let length = powerWithin(longest);
  for (let at = from; length >= shortest; length /= 2) {
    for (; length <= to - at; at += length) {
      const block = inside.block(at, length);
      if (!block) return;
      yield block;
    }
  }
}
