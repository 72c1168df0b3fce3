// Where a form changes sign within a leap: its pieces are parted until a cubic fits, and then the cubic's signs hold.
import { CubicJudge, cubicAt, mostPartings, partingShare, type Seen, traceAccuracy } from "./accuracy.js";
import type { LeapForm } from "./leapforms.js";
import { type Roundoff, roundoffOf } from "./roundoff.js";

export interface RoundedLook extends Seen {
  readonly roundoff: () => Roundoff;
}

/** A look at a form over z that knows its rounding; whatever is no larger than that is zero. */
export function rounded(form: LeapForm, seen: Seen, z: Float64Array, elapsed: number): RoundedLook {
  const roundoff = roundoffOf(form, z, elapsed);
  const above = (x: number, least: number) => (Math.abs(x) > least ? x : 0);
  const [value, slope] = [above(seen.value, roundoff.value), above(seen.slope, roundoff.slope)];
  return { tick: seen.tick, value, slope, roundoff: () => roundoff };
}

/**
 * Ticks at which a form changes sign between two ticks, in order.
 * @param look reads the form at a tick
 * @param second length of a tick, s
 */
export function signChanges(
  look: (tick: number) => RoundedLook,
  from: number,
  to: number,
  second: number,
): number[] {
  const found: number[] = [];
  const judge = new CubicJudge(traceAccuracy, second);
  const counted = (tick: number): RoundedLook => {
    const seen = look(tick);
    judge.widen(seen.value);
    return seen;
  };
  const search = (a: RoundedLook, b: RoundedLook, depth: number): void => {
    const step = Math.floor(partingShare * (b.tick - a.tick));
    if (step === 0 || depth >= mostPartings) return;
    const m = counted(a.tick + step);
    if (keepsSign([a, m, b], second)) return;
    const known = !judge.misses(a, m, b, m, depth);
    const straight = a.slope > 0 === b.slope > 0;
    const signs = new Set([a, m, b].map(({ value }) => value > 0));
    // One sign at all looks, and no turning point between them that could have the other.
    if (known && signs.size === 1 && (straight || a.value > 0 === a.slope > 0)) return;
    if (known && signs.size === 2 && straight) {
      found.push(signChange(look, a, b));
      return;
    }
    search(a, m, depth + 1);
    search(m, b, depth + 1);
  };
  search(counted(from), counted(to), 0);
  return found;
}

/** The first tick at which a monotone form has the sign of its end: found along the chord, every third time by halving. */
function signChange(look: (tick: number) => Seen, a: Seen, b: Seen): number {
  let [low, high] = [a.tick, b.tick];
  let [before, after] = [a.value, b.value];
  // Where one end is kept twice, its value counts half (the Illinois rule: M. Dowell & P. Jarratt, BIT 11, 1971).
  let kept = 0;
  for (let turn = 1; high - low > 1; turn++) {
    const share = turn % 3 === 0 ? 0.5 : before / (before - after);
    const guess = low + Math.round((high - low) * (share > 0 && share < 1 ? share : 0.5));
    const at = Math.max(low + 1, Math.min(high - 1, guess));
    const { value } = look(at);
    if (value > 0 === b.value > 0) {
      high = at;
      after = value;
      if (kept > 0) before /= 2;
      kept = 1;
    } else {
      low = at;
      before = value;
      if (kept < 0) after /= 2;
      kept = -1;
    }
  }
  return high;
}

/**
 * Whether a form plainly keeps its sign over three looks, the second between the others: it must be much farther from zero than
 * their cubic is off.
 * @param tick length of a tick, s
 */
export function keepsSign([a, m, b]: readonly [Seen, Seen, Seen], tick: number): boolean {
  const h = (b.tick - a.tick) * tick;
  const guess = cubicAt(a, b, h, (m.tick - a.tick) / (b.tick - a.tick));
  const off = Math.max(Math.abs(guess.value - m.value), Math.abs(guess.slope - h * m.slope) / 4);
  const alike = a.value > 0 === b.value > 0 && a.value > 0 === m.value > 0;
  return alike && 4 * off <= Math.min(Math.abs(a.value), Math.abs(m.value), Math.abs(b.value));
}
