// Where a line crosses zero within a leap: its cubic is parted until it is true, and then its signs are.
import {
  allowedError,
  cubicAt,
  missesCubic,
  mostPartings,
  partingShare,
  traceAccuracy,
  type ValueRange,
  widen,
} from "./accuracy.js";
import type { Roundoff } from "./roundoff.js";

/** A line at one instant. */
export interface LeapPoint {
  readonly tick: number;
  readonly value: number;
  readonly slope: number;
  /** The rounding of both; what is not above it is zero. */
  readonly grain: Roundoff;
}

/**
 * Ticks at which a line crosses zero between two ticks, in order.
 * @param along the line at a tick
 * @param second length of a tick, s
 */
export function signChanges(
  along: (tick: number) => LeapPoint,
  from: number,
  to: number,
  second: number,
): number[] {
  const found: number[] = [];
  const swing: ValueRange = { low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY };
  const at = (tick: number): LeapPoint => {
    const look = along(tick);
    widen(swing, look.value);
    return look;
  };
  const search = (a: LeapPoint, b: LeapPoint, depth: number): void => {
    const length = b.tick - a.tick;
    const step = Math.floor(partingShare * length);
    if (step === 0 || depth >= mostPartings) return;
    const m = at(a.tick + step);
    const h = length * second;
    const guess = cubicAt(a.value, h * a.slope, b.value, h * b.slope, step / length);
    const allowed = allowedError(swing, traceAccuracy);
    const known = !missesCubic(guess, m.value, m.slope, h, allowed, () => m.grain);
    const straight = a.slope > 0 === b.slope > 0;
    const signs = new Set([a, m, b].map(({ value }) => value > 0));
    // Of one sign throughout, and no turn within that could be of the other.
    if (known && signs.size === 1 && (straight || a.value > 0 === a.slope > 0)) return;
    if (known && signs.size === 2 && straight) {
      found.push(crossing(along, a, b));
      return;
    }
    search(a, m, depth + 1);
    search(m, b, depth + 1);
  };
  search(at(from), at(to), 0);
  return found;
}

/** The tick at which a line that runs one way has come to the sign of its end, by halving. */
function crossing(along: (tick: number) => LeapPoint, a: LeapPoint, b: LeapPoint): number {
  let [low, high] = [a.tick, b.tick];
  while (high - low > 1) {
    const middle = low + Math.floor((high - low) / 2);
    if (along(middle).value > 0 === b.value > 0) high = middle;
    else low = middle;
  }
  return high;
}
