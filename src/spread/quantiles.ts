// Quantiles, mean and deviation of measured values. Missing ones (NaN) are left out; without any value everything is NaN.
// Quantiles are interpolated linearly between the sorted values, the lowest at the share 0 and the highest at 1: definition 7 of
// R. J. Hyndman & Y. Fan, The American Statistician 50(4), 1996.

/** A value that a share of all values stays at or below. */
export interface Quantile {
  /** The share, 0 to 1. */
  readonly share: number;
  /** The value, in the unit of what was measured. */
  readonly value: number;
}

/** The shares shown by default. */
const usualShares = [0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99] as const;

/** Quantiles of values in any order. */
export function quantiles(values: readonly number[], shares: readonly number[] = usualShares): Quantile[] {
  const sorted = Float64Array.from(values.filter((v) => !Number.isNaN(v))).sort();
  return shares.map((share) => ({ share, value: quantile(sorted, share) }));
}

function quantile(sorted: Float64Array, share: number): number {
  if (sorted.length === 0) return Number.NaN;
  const at = share * (sorted.length - 1);
  const below = Math.floor(at);
  const [low, high] = [sorted[below], sorted[Math.min(below + 1, sorted.length - 1)]];
  return low + (at - below) * (high - low);
}

/** Mean and standard deviation (of a sample, with n − 1) of the values that are not missing. */
export function moments(values: readonly number[]): { mean: number; deviation: number } {
  let n = 0;
  let mean = 0;
  let squares = 0;
  // B. P. Welford, Technometrics 4(3), 1962: avoids the difference of two large sums.
  for (const v of values) {
    if (Number.isNaN(v)) continue;
    n++;
    const step = v - mean;
    mean += step / n;
    squares += step * (v - mean);
  }
  if (n === 0) return { mean: Number.NaN, deviation: Number.NaN };
  return { mean, deviation: n < 2 ? Number.NaN : Math.sqrt(squares / (n - 1)) };
}
