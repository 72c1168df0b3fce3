// Short ways to make traces in tests.
import { Trace } from "../../src/waveforms/trace.js";

/** A trace from plain arrays; `before` is as `slope` where it is not given. */
export function make(
  time: readonly number[],
  value: readonly number[],
  slope?: readonly number[],
  before?: readonly number[],
  name = "ramp",
  unit = "V",
): Trace {
  return new Trace({
    name,
    unit,
    time: Float64Array.from(time),
    value: Float64Array.from(value),
    slope: slope && Float64Array.from(slope),
    slopeBefore: before && Float64Array.from(before),
  });
}

/** A function of time sampled at n equal steps from 0 to `to`, with its derivative where one is given. */
export function sampled(
  f: (t: number) => number,
  derivative: ((t: number) => number) | undefined,
  to: number,
  n: number,
  unit = "V",
): Trace {
  const time = Array.from({ length: n + 1 }, (_, k) => (to * k) / n);
  return make(time, time.map(f), derivative && time.map(derivative), undefined, "ramp", unit);
}
