// The uncertainty of a share that was counted in trials: the interval of E. B. Wilson, "Probable inference, the law of
// succession, and statistical inference", J. Am. Stat. Assoc. 22, 1927, without a correction for continuity. Its width is never
// zero, even where all or none passed.
import { handedNumber } from "../base/handed.js";
import { normalQuantile } from "./normal.js";

/** A share counted in trials, with its interval. */
export interface CountedShare {
  /** How many. */
  readonly count: number;
  /** Of how many. */
  readonly of: number;
  /** The counted share. */
  readonly share: number;
  /** Lower end of the interval that holds the true share. */
  readonly low: number;
  /** Its upper end. */
  readonly high: number;
}

/**
 * The share of `count` among `of`, with its interval.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const { share, low } = wilson(200, 200);
 * low.toFixed(3); // "0.981"
 * ```
 * @param confidence 0.95 unless given
 */
export function wilson(count: number, of: number, confidence = 0.95): CountedShare {
  for (const [name, given] of Object.entries({ count, of, confidence })) handedNumber(given, name);
  if (of === 0) return { count, of, share: Number.NaN, low: 0, high: 1 };
  const z = normalQuantile((1 + confidence) / 2);
  const share = count / of;
  const spread = (z * z) / of;
  const middle = (share + spread / 2) / (1 + spread);
  const half = (z / (1 + spread)) * Math.sqrt((share * (1 - share)) / of + spread / (4 * of));
  // All and none are exact ends of the interval, which rounding would miss.
  return {
    count,
    of,
    share,
    low: count === 0 ? 0 : Math.max(0, middle - half),
    high: count === of ? 1 : Math.min(1, middle + half),
  };
}
