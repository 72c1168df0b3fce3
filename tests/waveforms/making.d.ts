import { Trace } from "../../src/waveforms/trace.js";
/** A trace from plain arrays; `before` is as `slope` where it is not given. */
export declare function make(
  time: readonly number[],
  value: readonly number[],
  slope?: readonly number[],
  before?: readonly number[],
  name?: string,
  unit?: string,
): Trace;
/** A function of time sampled at n equal steps from 0 to `to`, with its derivative where one is given. */
export declare function sampled(
  f: (t: number) => number,
  derivative: ((t: number) => number) | undefined,
  to: number,
  n: number,
  unit?: string,
): Trace;
