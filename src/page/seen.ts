// The stretch of time that is shown, and how it changes: never beyond the whole, never too short for doubles to tell its
// instants apart.

/** A stretch of time, s. */
export interface SeenSpan {
  readonly from: number;
  readonly to: number;
}

/** The shortest stretch as a share of the whole: a picosecond of a field is far above it. */
const shortest = 1e-11;

/** A stretch `factor` times as long, with `at` at the same position on the screen. */
export function zoomed(seen: SeenSpan, at: number, factor: number, whole: SeenSpan): SeenSpan {
  const length = seen.to - seen.from;
  const wanted = clampLength(length * factor, whole);
  const share = (at - seen.from) / length;
  return inside({ from: at - share * wanted, to: at + (1 - share) * wanted }, whole);
}

/** The stretch moved by a time, s. */
export function panned(seen: SeenSpan, by: number, whole: SeenSpan): SeenSpan {
  return inside({ from: seen.from + by, to: seen.to + by }, whole);
}

/** The nearest stretch inside the whole; one that is too short becomes as long as the shortest allowed. */
export function inside({ from, to }: SeenSpan, whole: SeenSpan): SeenSpan {
  const length = clampLength(to - from, whole);
  const middle = (from + to) / 2;
  const start = Math.min(Math.max(middle - length / 2, whole.from), whole.to - length);
  return { from: start, to: start + length };
}

function clampLength(length: number, { from, to }: SeenSpan): number {
  return Math.min(Math.max(length, (to - from) * shortest), to - from);
}

/** The longest time between successive instants, s. */
export function longestStep(instants: Float64Array): number {
  let longest = 0;
  for (let i = 1; i < instants.length; i++) longest = Math.max(longest, instants[i] - instants[i - 1]);
  return longest;
}
