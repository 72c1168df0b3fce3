// Binary search: where a condition that goes on to hold begins to hold; and the largest of many.

/** The first whole number from one up to another for which something holds; `to` where it holds for none. */
export function firstWhere(from: number, to: number, holds: (i: number) => boolean): number {
  let [low, high] = [from, Math.max(from, to)];
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Index of the first of rising values that is not below a value; how many there are where all are. */
export function firstFrom(rising: Float64Array, value: number): number {
  let [low, high] = [0, rising.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (rising[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Index of the first of rising values above a value; how many there are where none is. */
export function firstAbove(rising: Float64Array, value: number): number {
  let [low, high] = [0, rising.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (rising[middle] <= value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The largest of values, and at least the other; however many there are (as arguments of a call they are bounded). */
export function largestOf(values: Iterable<number>, least = Number.NEGATIVE_INFINITY): number {
  let largest = least;
  for (const value of values) if (value > largest) largest = value;
  return largest;
}
