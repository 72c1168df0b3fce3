// Passages through a level in windows: jumps at their ends, values missing beside them, curves between samples that no cubic
// follows. What is expected follows from the definition of each measure and from closed forms, worked out here.
import { describe, expect, it } from "vitest";
import { passages } from "../../src/measures/crossing.js";
import { judge } from "../../src/measures/verdict.js";
import { Trace } from "../../src/waveforms/trace.js";
import { make } from "../waveforms/making.js";
import { take } from "./taking.js";

const none = Number.NaN;
const of = (trace: Trace, from: number, to: number, level: number) =>
  passages({ trace, from, to }, level)?.map(({ time, direction }) => `${direction} ${time}`);

describe("a trace that begins with a jump", () => {
  it.each([
    ["from below", -1, 1, ["rising 0"]],
    ["from the level, up", 0, 1, ["rising 0"]],
    ["from just below", -1e-3, 1, ["rising 0"]],
    ["from above", 1, -1, ["falling 0"]],
    ["from the level, down", 0, -1, ["falling 0"]],
    ["from just above", 1e-3, -1, ["falling 0"]],
    ["from above to above", 2, 1, []],
    ["from below to below", -2, -1, []],
  ])("%s", (_, before, after, want) => {
    const trace = make([0, 0, 1], [before, after, after]);
    expect(of(trace, 0, 1, 0)).toEqual(want);
    expect(of(trace, 0.25, 1, 0)).toEqual([]);
  });
});

describe("a window beside a value that is missing", () => {
  const trace = make([0, 1, 2, 3, 4, 5], [0, 2, none, 2, 0, 2]);
  it("keeps what lies wholly beside it", () => {
    expect(of(trace, 0, 0.75, 1)).toEqual(["rising 0.5"]);
    expect(of(trace, 0, 1, 1)).toEqual(["rising 0.5"]);
    expect(of(trace, 3, 5, 1)).toEqual(["falling 3.5", "rising 4.5"]);
    expect(of(trace, 3.25, 4.25, 1)).toEqual(["falling 3.5"]);
  });
  it("gives nothing where it reaches in", () => {
    expect(of(trace, 0, 1.5, 1)).toEqual([]);
    expect(of(trace, 2.5, 4, 1)).toEqual([]);
  });
});

describe("a trace that begins beside the level", () => {
  it("passes where it meets it, if it is away by more than rounding", () => {
    expect(of(make([1, 2], [-1, 1]), 1, 2, 0)).toEqual(["rising 1.5"]);
    expect(of(make([1, 1.5], [-1, 1]), 1, 1.5, 0)).toEqual(["rising 1.25"]);
  });
  it("passes at its start, if only rounding keeps it away: 1e-13 of the instant, at 1000 V/s", () => {
    expect(of(make([1, 1.001], [-1e-11, 1]), 1, 1.001, 0)).toEqual(["rising 1"]);
  });
});

/** One stretch from 0 to 1 s of a curve that the samples at its ends do not give away. */
function between(value: (t: number) => number, slope: (t: number) => number): Trace {
  return new Trace({
    name: "curve",
    unit: "V",
    time: Float64Array.of(0, 1),
    value: Float64Array.of(value(0), value(1)),
    slope: Float64Array.of(slope(0), slope(1)),
    exact: true,
    curve: (time) => ({ value: value(time), slope: slope(time) }),
  });
}

describe("a curve between two samples", () => {
  it("of the fourth degree has its own area: 16 t² (1 − t)² + t (1 − t), by integration 8/15 + 1/6", () => {
    const hump = between(
      (t) => 16 * t * t * (1 - t) * (1 - t) + t * (1 - t),
      (t) => 32 * t * (1 - t) * (1 - 2 * t) + 1 - 2 * t,
    );
    expect(take("mean", hump)).toBeCloseTo(8 / 15 + 1 / 6, 14);
  });
  // Traces are drawn so that cubics follow to 1e-6 of the swing, as the first does; the last misses by a third of it.
  it.each([
    [0.2, 1e-7],
    [2, 5e-5],
    [9, 5e-6],
  ])("that falls away has the area of any part of it: e^(−λt), λ = %d", (lambda, bound) => {
    const value = (t: number) => Math.exp(-lambda * t);
    const fall = between(value, (t) => -lambda * value(t));
    for (const [from, to] of [
      [0, 1],
      [0.8, 0.95],
      [0.1, 0.3],
      [0.3, 0.9],
      [0.6, 1],
    ]) {
      const want = (value(from) - value(to)) / lambda / (to - from);
      expect(Math.abs(take("mean", fall, { from, to }) - want)).toBeLessThan(bound);
    }
  });
});

it("the margin of a limit without width is a share of the limit", () => {
  expect(judge(5.1, { low: 5, high: 5 }).margin).toBeCloseTo(-0.02, 12);
  expect(judge(5, { low: 5, high: 5 })).toMatchObject({ pass: true, margin: 0 });
});

describe("a trace that begins at the level but for rounding", () => {
  // An instant at 1 s is known to 1e-13 s, and within a rise by 1 in 1 ms that is 1e-10.
  const begun = (off: number) => new Trace({ ...make([1, 1.001], [2 + off, 3]), name: "ramp", unit: "V" });
  it("leaves it there", () => {
    for (const off of [-1e-12, 0, 1e-12]) expect(of(begun(off), 1, 1.001, 2)).toEqual(["rising 1"]);
  });
  it("has left it before where it begins farther off", () => {
    expect(of(begun(1e-9), 1, 1.001, 2)).toEqual([]);
  });
});
