// Blocks of recurring lengths that fill a leap which does not recur: powers of two ticks, the longest first. The looks into each
// length are worked out once for all leaps.
import type { RecurringLeap, StretchView } from "./view.js";

/** A rest shorter than this share of the leap gets looks of its own. */
const least = 1 / 64;

/** Ticks of one to two turns of a carrier, as a power of two; Infinity without a carrier. @param turn ticks of one turn */
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
 * The blocks of a piece, in order of time; they may end before the piece does. Under a carrier a block lasts one to two turns and
 * resembles the last: in longer blocks every look would be new.
 */
export function* blocksOf(
  inside: StretchView,
  from: number,
  to: number,
  turn: number,
): Generator<RecurringLeap> {
  const longest = Math.min(to - from, turnsOf(turn));
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
