// How waves are laid out, and what is refused.
import { describe, expect, test } from "vitest";
import { one, ratio, zero } from "../../src/base/fraction.js";
import {
  constant,
  gated,
  levelRange,
  pathWave,
  pulse,
  scaled,
  sine,
  train,
  type Wave,
} from "../../src/signals/wave.js";

const layout = (w: Wave) =>
  w.shape.kind === "segments"
    ? w.shape.corners.map((c) => `${c.time.toFraction()}:${c.value}`).join(" ")
    : "";
const points = (...list: [number, number][]) => list.map(([t, x]) => ({ time: ratio(t), value: ratio(x) }));
const box = { low: zero, high: ratio(5), width: ratio(5), period: ratio(20) };

describe("layout", () => {
  test.each<[string, Wave, string]>([
    ["a jump is two corners", pulse(box), "0:0 0:5 5:5 5:0"],
    ["an edge across time zero wraps", pulse({ ...box, edges: ratio(16, 10) }), "1:5 4:5 6:0 19:0"],
    ["edges that meet make a triangle", pulse({ ...box, edges: ratio(4) }), "5/2:5 15/2:0 35/2:0"],
    [
      "a single pulse begins before zero",
      pulse({ ...box, period: undefined, edges: ratio(16, 10) }),
      "-1:0 1:5 4:5 6:0",
    ],
    ["a late first pulse", pulse({ ...box, first: ratio(58) }), "3:5 3:0 18:0 18:5"],
    ["a sawtooth's flyback", pathWave({ points: points([0, 0], [8, 5]), period: ratio(8) }), "0:5 0:0"],
    [
      "a path that closes straight",
      pathWave({ points: points([3, 0], [5, 2], [9, 1]), period: ratio(8) }),
      "1:1 3:0 5:2",
    ],
    [
      "a jump that is said with a point twice",
      pathWave({ points: points([0, 0], [1, 4], [1, 4], [1, 2], [1, 2]) }),
      "0:0 1:4 1:2",
    ],
  ])("%s", (_, wave, wanted) => expect(layout(wave)).toBe(wanted));
});

test.each<[string, () => Wave]>([
  ["no-width", () => pulse({ ...box, width: zero })],
  ["no-width", () => pulse({ ...box, width: ratio(-1) })],
  ["negative-edges", () => pulse({ ...box, edges: ratio(-1) })],
  ["full-period", () => pulse({ ...box, width: ratio(20) })],
  ["slow-edges", () => pulse({ ...box, edges: ratio(401, 100) })],
  ["slow-edges", () => pulse({ ...box, width: ratio(15), edges: ratio(401, 100) })],
  ["no-period", () => pulse({ ...box, period: zero })],
  ["no-points", () => pathWave({ points: [] })],
  ["path-backwards", () => pathWave({ points: points([1, 0], [0, 1]) })],
  ["path-crowded", () => pathWave({ points: points([0, 0], [1, 4], [1, 9], [1, 2]) })],
  ["path-crowded", () => pathWave({ points: points([1, 0], [1, 1], [1, 0]) })],
  // The last point is the left side of the first one's instant, which has two levels already.
  ["path-crowded", () => pathWave({ points: points([0, 0], [0, 1], [3, 2]), period: ratio(3) })],
  ["path-too-long", () => pathWave({ points: points([1, 0], [4, 1]), period: ratio(2) })],
  ["no-period", () => pathWave({ points: points([1, 0]), period: ratio(-2) })],
  ["no-frequency", () => sine({ low: zero, high: one, frequency: zero })],
  [
    "full-period",
    () =>
      train(
        [
          { at: zero, width: ratio(3) },
          { at: ratio(2), width: one },
        ],
        box,
      ),
  ],
])("%s is refused", (code, make) => {
  expect(make).toThrow(expect.objectContaining({ code, name: "ShapeError" }));
});

test("edges that just fit are accepted", () => {
  // 4 s from 10 to 90 % is a straight edge of 5 s, the whole width.
  expect(() => pulse({ ...box, edges: ratio(4) })).not.toThrow();
  expect(() => pulse({ ...box, width: ratio(15), edges: ratio(4) })).not.toThrow();
});

test("extremes, scaled, turned over and gated", () => {
  expect(levelRange(pulse(box))).toEqual({ low: 0, high: 5 });
  expect(levelRange(scaled(pulse(box), ratio(-1, 2)))).toEqual({ low: -2.5, high: 0 });
  expect(levelRange(sine({ low: ratio(3), high: ratio(-1), frequency: one }))).toEqual({ low: -1, high: 3 });
  expect(levelRange(constant(ratio(12)))).toEqual({ low: 12, high: 12 });
  expect(levelRange(gated(constant(ratio(12)), { stops: one }))).toEqual({ low: 0, high: 12 });
});

test("gates add up", () => {
  const w = gated(gated(constant(one), { starts: ratio(2), stops: ratio(9) }), {
    starts: one,
    stops: ratio(5),
  });
  expect([w.starts?.toFraction(), w.stops?.toFraction()]).toEqual(["2", "5"]);
  const v = gated(gated(constant(one), { stops: ratio(3) }), { starts: one, stops: ratio(5) });
  expect([v.starts?.toFraction(), v.stops?.toFraction()]).toEqual(["1", "3"]);
});
