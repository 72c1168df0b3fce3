// Judges a measured value against its limit.
// Both bounds belong to what is allowed; NaN (it did not occur) fails with the worst margin there is. The margin is zero or more
// exactly when the value passes.

/** What is allowed, in SI units: from `low` to `high`, both included; a missing bound allows everything on its side. */
export interface Limit {
  /** The least that passes; absent for no lower bound. */
  readonly low?: number;
  /** The most that passes; absent for no upper bound. */
  readonly high?: number;
}

/** Whether a value passes, and how far it stands from failing. */
interface Verdict {
  readonly pass: boolean;
  /**
   * Distance to the nearest bound, negative outside. As a share of the band where there are two bounds (0.5 in
   * the middle); as a share of the bound's size where there is one (of the value's size for a bound of zero, or
   * for a band of no width at zero). Infinity without bounds, -Infinity for NaN.
   */
  readonly margin: number;
}

/** Judges one value. */
export function judge(measured: number, limit: Limit): Verdict {
  const margin = marginOf(measured, limit);
  return { pass: margin >= 0, margin };
}

/** The margin of a value; see `Verdict`. */
function marginOf(measured: number, limit: Limit): number {
  if (Number.isNaN(measured)) return Number.NEGATIVE_INFINITY;
  const room = Math.min(distance(measured, limit.low, 1), distance(measured, limit.high, -1));
  // The difference of unequal doubles is never zero (gradual underflow), so the sign of the room is the verdict.
  if (room === 0) return 0;
  if (!Number.isFinite(room)) return room;
  const { low = Number.NaN, high = Number.NaN } = limit;
  const band = high - low;
  const nearest = measured - low === room ? low : high;
  const scale = band > 0 ? band : Math.abs(nearest) || Math.abs(measured);
  // A failure by next to nothing must not underflow to a margin of zero.
  return room > 0 ? room / scale : Math.min(room / scale, -Number.MIN_VALUE);
}

function distance(measured: number, bound: number | undefined, sign: 1 | -1): number {
  if (bound === undefined) return Number.POSITIVE_INFINITY;
  // An infinite value at an infinite bound is allowed; their difference would be NaN.
  return measured === bound ? 0 : sign * (measured - bound);
}

/** The verdict on several values, one per period: that of the value with the smallest margin. */
export interface Worst extends Verdict {
  /** Which value, from 0; -1 when there was none. */
  readonly index: number;
  /** That value; NaN when there was none. */
  readonly measured: number;
}

/** The first of the values with the smallest margin. No values at all is a failure: nothing was measured. */
export function worst(values: ArrayLike<number>, limit: Limit): Worst {
  let index = -1;
  let margin = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const own = marginOf(values[i], limit);
    // Periods that differ only by rounding count as equal, so that rounding does not choose which one is named.
    const near = Number.isFinite(margin) ? 1e-6 * Math.abs(margin) : 0;
    if (index >= 0 && !(own < margin - near)) continue;
    index = i;
    margin = own;
  }
  return { index, measured: index < 0 ? Number.NaN : values[index], pass: margin >= 0, margin };
}
