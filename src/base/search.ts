// Binary search for where a condition begins to hold, for one that holds from there on; and the largest of many.

/** The first whole number from `from` up to below `to` for which `holds`; `to` if there is none. */
export function firstWhere(from: number, to: number, holds: (i: number) => boolean): number {
  let [low, high] = [from, Math.max(from, to)];
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Index of the first of rising values that is not below a value; their count if all are below. */
export function firstFrom(rising: Float64Array, value: number): number {
  let [low, high] = [0, rising.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (rising[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Index of the first of rising values above a value; their count if none is. */
export function firstAbove(rising: Float64Array, value: number): number {
  let [low, high] = [0, rising.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (rising[middle] <= value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The largest of some values and `least`. Takes any number of them, unlike the arguments of `Math.max`. */
export function largestOf(values: Iterable<number>, least = Number.NEGATIVE_INFINITY): number {
  let largest = least;
  for (const value of values) if (value > largest) largest = value;
  return largest;
}
