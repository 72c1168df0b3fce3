// What the tests of oscillators share.
import type { Trace } from "../../src/index.js";

/** Numbers in (0, 1) from a seed (multiplicative congruential generator of Park and Miller, 1988). */
export function chance(seed: number): () => number {
  let state = (seed * 48271) % 2147483647;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** The mean distance of the instants at which a trace rises through a level, the first few left out. */
export function periodOf(trace: Trace, level: number, skipped = 2): number {
  const found: number[] = [];
  const { time, value } = trace;
  for (let i = 1; i < time.length; i++) {
    if (value[i - 1] >= level || value[i] < level) continue;
    let [low, high] = [time[i - 1], time[i]];
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (trace.at(middle) < level) low = middle;
      else high = middle;
    }
    found.push(high);
  }
  return (found[found.length - 1] - found[skipped]) / (found.length - skipped - 1);
}
