// Every measure against its definition, by tables: at the edges of a window, with ties and jumps, upwards and downwards, below
// zero, exactly at a level. Expected values are worked out by hand from straight lines and parabolas, which the curve between
// samples holds exactly.
import { describe, expect, it } from "vitest";
import { crossings } from "../../src/measures/crossing.js";
import { measures } from "../../src/measures/measures.js";
import { judge, worst } from "../../src/measures/verdict.js";
import { standsAt, type Window } from "../../src/measures/window.js";
import { Trace } from "../../src/waveforms/trace.js";
import { make } from "../waveforms/making.js";
import { named, take } from "./taking.js";

const { NaN: none, POSITIVE_INFINITY: endless } = Number;

/** 4t(1 - t) from 0 to 1: 1 at its top, 0.96 at 0.4 and 0.6, 3/4 at 1/4 and 3/4. */
const hump = make([0, 1], [0, 0], [4, -4]);
const hollow = make([0, 1], [0, 0], [-4, 4]);
const ramp = make([0, 4], [0, 8]);
/** Up to 2 at 1 s, down to -2 at 3 s, back at 4 s. */
const triangle = make([0, 1, 3, 4], [0, 2, -2, 0]);
const stairs = make([0, 1, 1, 2, 2, 3], [9, 9, 1, 1, 7, 7]);

/** A trace with impulses: instants and areas. */
const struck = (base: Trace, ...impulses: readonly [number, number][]) =>
  new Trace({
    ...base,
    name: base.name,
    impulses: {
      time: Float64Array.from(impulses, ([t]) => t),
      size: Float64Array.from(impulses, ([, size]) => size),
    },
  });
const level = make([0, 4], [1, 1]);

type Row = readonly [what: string, trace: Trace, more: Partial<Window>, due: number];

const tables: Readonly<Record<string, readonly Row[]>> = {
  peak: [
    ["between samples", hump, {}, 1],
    ["not beyond the window's start", hump, { from: 0.6 }, 0.96],
    ["nor beyond its end", hump, { to: 0.4 }, 0.96],
    ["inside both", hump, { from: 0.4, to: 0.6 }, 1],
    ["below zero", make([0, 1, 2], [-3, -1, -2]), {}, -1],
    ["on both sides of a jump", stairs, { from: 0.5, to: 2.5 }, 9],
    ["just after a jump", make([0, 1, 1, 2], [0, 1, 5, 4]), {}, 5],
    ["just before one", make([0, 1, 1, 2], [0, 5, 1, 2]), {}, 5],
    ["of values that are none, whatever follows", make([0, 1, 2, 3, 4], [0, none, 4, 5, 6]), {}, none],
    ["of values that are none, whatever came before", make([0, 1, 2, 3], [0, 5, 6, none]), {}, none],
    ["struck upwards: without bound", struck(level, [2, 0.1]), {}, endless],
    ["struck downwards: as it was", struck(level, [2, -0.1]), {}, 1],
    ["struck at the window's end: the next one's", struck(level, [2, 0.1]), { to: 2 }, 1],
    ["struck at its start: its own", struck(level, [2, 0.1]), { from: 2 }, endless],
  ],
  floor: [
    ["between samples", hollow, {}, -1],
    ["not beyond the window's ends", hollow, { from: 0.6, to: 0.75 }, -0.96],
    ["of a jump", stairs, { from: 0.5, to: 1.5 }, 1],
    ["struck downwards: without bound", struck(level, [2, -0.1]), {}, -endless],
    ["struck upwards: as it was", struck(level, [2, 0.1]), {}, 1],
  ],
  swing: [
    ["both ways", triangle, {}, 4],
    ["of a level", level, {}, 0],
    ["struck", struck(level, [2, 1]), {}, endless],
  ],
  "peak current": [
    ["in the other direction", triangle, { from: 2 }, 2],
    ["of a positive one", ramp, { to: 2 }, 4],
    ["of a negative one", make([0, 1], [-1, -5]), {}, 5],
    ["struck backwards", struck(level, [2, -1]), {}, endless],
  ],
  "peak power": [
    ["delivered throughout: below zero", make([0, 1], [-4, -1]), {}, -1],
    ["between samples", hump, {}, 1],
  ],
  value: [
    ["on a straight line", ramp, { at: 1.5 }, 3],
    ["after a jump", stairs, { at: 1 }, 1],
    ["outside the window", ramp, { from: 0, to: 1, at: 3 }, 6],
    ["outside the trace", ramp, { at: 5 }, none],
  ],
  tilt: [
    ["sinking", make([0, 1], [3, 1]), {}, 1],
    ["rising", make([0, 1], [1, 3]), {}, -1],
    ["between jumps at both ends", stairs, { from: 1, to: 2 }, 0],
    ["over a mean of zero", make([0, 1], [1, -1]), {}, none],
  ],
  sag: [
    ["sinking, whatever stands between", make([0, 1, 2], [3, 9, 1]), {}, 2],
    ["of a part", ramp, { from: 1, to: 2 }, -2],
    ["over several arcs", triangle, { from: 0.5, to: 2.5 }, 2],
    ["no time long", ramp, { from: 1, to: 1 }, 0],
  ],
  mean: [
    ["of a parabola: 2/3 of its top", hump, {}, 2 / 3],
    // 2t^2 - 4t^3/3 from 0 to 1/4, over 1/4.
    ["of its first quarter", hump, { to: 0.25 }, 5 / 12],
    ["of a negative one", triangle, { from: 2 }, -1],
    ["with an impulse: its area over the time", struck(level, [2, 2]), {}, 1.5],
    ["with two that cancel", struck(level, [1, 2], [3, -2]), {}, 1],
  ],
  rms: [
    ["of a parabola: the root of 8/15", hump, {}, Math.sqrt(8 / 15)],
    // 16 (t^3/3 - t^4/2 + t^5/5) from 1/4 to 1/2, over 1/4.
    ["of its second quarter", hump, { from: 0.25, to: 0.5 }, Math.sqrt(203 / 240)],
    ["of a sign", make([0, 1, 1, 2], [3, 3, -3, -3]), {}, 3],
    ["with an impulse", struck(level, [2, 1e-9]), {}, endless],
    ["with an impulse of the next window", struck(level, [2, 1]), { to: 2 }, 1],
  ],
  charge: [
    ["both ways: what is left", triangle, {}, 0],
    ["with impulses", struck(level, [1, 2], [3, -0.5]), {}, 5.5],
    ["of a part with one of them", struck(level, [1, 2], [3, -0.5]), { from: 2 }, 1.5],
    ["of no time", struck(level, [1, 2]), { from: 3, to: 3 }, 0],
    // Sums lose nothing: beside 1e16 a one is less than a rounding.
    ["a little after much", make([0, 1, 1, 2, 2, 3, 3, 4], [1e16, 1e16, 1, 1, 1, 1, -1e16, -1e16]), {}, 2],
    ["a little before much", make([0, 1, 1, 2, 2, 3], [1, 1, 1e16, 1e16, -1e16, -1e16]), {}, 1],
  ],
  energy: [["of a parabola", hump, { from: 0, to: 1 }, 2 / 3]],
  "mean power": [["of a parabola", hump, {}, 2 / 3]],
  slope: [
    ["between the ends alone", triangle, { from: 0, to: 3 }, -2 / 3],
    ["of no time", ramp, { from: 1, to: 1 }, none],
  ],
  crossing: [
    ["counted from the start", ramp, { from: 1, through: { level: 4 } }, 1],
    ["exactly at the level at the start", ramp, { from: 1, through: { level: 2 } }, 0],
    ["exactly at the level at the end", ramp, { from: 0, to: 1, through: { level: 2 } }, none],
    ["above it from the start", ramp, { from: 1.5, through: { level: 2 } }, none],
    ["the first of several", triangle, { through: { level: 1 } }, 0.5],
    ["the first that falls", triangle, { through: { level: 1, direction: "falling" } }, 1.5],
    ["below zero, rising", triangle, { through: { level: -1, direction: "rising" } }, 3.5],
    ["on a bent stretch", hump, { through: { level: 0.75, direction: "falling" } }, 0.75],
    ["that lies before a cut through a bend", hump, { from: 0.8, through: { level: 0.75 } }, none],
    ["that lies behind one", hump, { to: 0.2, through: { level: 0.75 } }, none],
    ["a touch of the top", hump, { through: { level: 1 } }, none],
  ],
  pulses: [
    ["upwards unless said otherwise", triangle, { through: { level: 1 } }, 1],
    ["downwards", triangle, { through: { level: -1, direction: "falling" } }, 1],
    ["none above all", triangle, { through: { level: 3 } }, 0],
    ["a start in the middle of a slope, above the level", ramp, { from: 1.5, through: { level: 2 } }, 0],
    ["and below it", ramp, { from: 0.5, through: { level: 2 } }, 1],
    ["a jump at the start", stairs, { from: 2, through: { level: 5 } }, 1],
    ["a jump at the end", stairs, { from: 1, to: 2, through: { level: 5 } }, 0],
    ["a jump from the level at the start", stairs, { from: 2, through: { level: 1 } }, 1],
    ["a jump to the level at the start", stairs, { from: 2, through: { level: 7 } }, 0],
    [
      "a fall from the level at the start",
      stairs,
      { from: 1, to: 1.5, through: { level: 9, direction: "falling" } },
      1,
    ],
    [
      "a fall to the level at the start",
      stairs,
      { from: 1, to: 1.5, through: { level: 1, direction: "falling" } },
      0,
    ],
  ],
  "missing pulses": [
    ["one there", triangle, { through: { level: 1 } }, 0],
    ["none there", triangle, { through: { level: 3 } }, 1],
    ["two there", make([0, 1, 2, 3], [0, 2, 0, 2]), { through: { level: 1 } }, 0],
  ],
  "extra pulses": [
    ["one there", triangle, { through: { level: 1 } }, 0],
    ["none there", triangle, { through: { level: 3 } }, 0],
    ["three there", make([0, 1, 2, 3, 4, 5], [0, 2, 0, 2, 0, 2]), { through: { level: 1 } }, 2],
  ],
  // Rising through 1 at 0.5, 2.5, 5, 7 s.
  period: [
    ["the mean of three", make([0, 1, 2, 3, 4, 6, 6.5, 7.5], [0, 2, 0, 2, 0, 2, 0, 2]), {}, 6.5 / 3],
    ["of two crossings", make([0, 1, 2, 3], [0, 2, 0, 2]), {}, 2],
    ["of one", ramp, {}, none],
    [
      "through a level, falling",
      make([0, 2, 4, 6, 8], [4, 0, 4, 0, 4]),
      { through: { level: 1, direction: "falling" } },
      4,
    ],
    ["half-way between a floor and a peak below zero", make([0, 1, 2, 3], [-4, -2, -4, -2]), {}, 2],
  ],
  frequency: [["of two crossings", make([0, 1, 2, 3], [0, 2, 0, 2]), {}, 0.5]],
  jitter: [
    // Rising through 1 at 0.5, 2.5, 5 and 7 s: periods of 2, 2.5, 2; a third less than the mean of 13/6 is 1/6, a third more 1/3.
    ["of three periods", make([0, 1, 2, 3, 4, 6, 6.5, 7.5], [0, 2, 0, 2, 0, 2, 0, 2]), {}, 1 / 3],
    ["of one alone", make([0, 1, 2, 3], [0, 2, 0, 2]), {}, none],
    ["of two alike", make([0, 1, 2, 3, 4, 5], [0, 2, 0, 2, 0, 2]), {}, 0],
    // 0.5, 2.5, 3.5: 2 and 1.
    ["of two", make([0, 1, 2, 3, 3.25, 3.75], [0, 2, 0, 2, 0, 2]), {}, 0.5],
  ],
  duty: [
    ["beginning and ending high", make([0, 1, 2, 3], [4, 0, 4, 4]), {}, (0.5 + 1.5) / 3],
    ["beginning low", make([0, 1, 2, 3], [0, 4, 0, 0]), {}, 1 / 3],
    ["ending high", ramp, {}, 0.5],
    ["above a level", ramp, { through: { level: 2 } }, 0.75],
    ["of a cut", ramp, { from: 1, to: 3, through: { level: 3 } }, 0.75],
    ["at the level throughout", level, { through: { level: 1 } }, 0],
    ["above it throughout", level, { through: { level: 0.5 } }, 1],
    ["touching it from below", make([0, 1, 2], [0, 1, 0]), { through: { level: 1 } }, 0],
    ["of no time", ramp, { from: 1, to: 1 }, none],
  ],
  "rise time": [
    ["80 % of a straight one", make([0, 1, 3, 4], [0, 0, 10, 10]), {}, 1.6],
    ["below zero", make([0, 1, 3, 4], [-10, -10, 0, 0]), {}, 1.6],
    ["the first of two", make([0, 1, 2, 6], [0, 10, 0, 10]), {}, 0.8],
    ["from the last time it left", make([0, 1, 2, 4], [0, 4, 0, 10]), {}, 1.6],
    ["of a jump", make([0, 1, 1, 2], [0, 0, 5, 5]), {}, 0],
    ["of a fall", make([0, 1], [1, 0]), {}, none],
    ["of a level", level, {}, none],
  ],
  "fall time": [
    ["80 % of a straight one", make([0, 1, 3, 4], [10, 10, 0, 0]), {}, 1.6],
    ["the first of two", make([0, 1, 2, 6], [10, 0, 10, 0]), {}, 0.8],
    ["from the last time it left", make([0, 1, 2, 4], [10, 6, 10, 0]), {}, 1.6],
    ["of a rise", ramp, {}, none],
    ["of a level", level, {}, none],
  ],
  "reset time": [
    ["to 1 % of the swing", make([0, 1, 2], [100, 0, 0]), {}, 0.99],
    ["of a swing that stands on something", make([0, 1, 2], [110, 10, 10]), {}, 0.99],
    ["in a window", make([0, 1, 2, 3], [100, 100, 0, 0]), { from: 1 }, 0.99],
    ["of what falls until the span ends, as a falling sweep does", make([0, 1], [100, 0]), {}, none],
    ["of a falling sweep in a window without its reset", make([0, 9, 10], [100, 0, 100]), { to: 9 }, none],
    [
      "of what falls until the span ends, to a level",
      make([0, 1], [100, 0]),
      { through: { level: 25 } },
      0.75,
    ],
    ["to a level", make([0, 1, 2], [100, 0, 0]), { through: { level: 25 } }, 0.75],
    ["at the level from the start, rising", ramp, { through: { level: 0 } }, 0],
    ["ending exactly at the level", make([0, 1], [4, 1]), { through: { level: 1 } }, 1],
    [
      "not past a bend above the level",
      make([0, 1, 2], [4, 4, 0], [4, -4, -4]),
      { through: { level: 1 } },
      1.75,
    ],
    ["upwards, of a sweep that falls", make([0, 1, 9], [-100, 0, -100]), {}, 0.99],
    ["upwards to a level", make([0, 1, 9], [-100, 0, -100]), { through: { level: -25 } }, 0.75],
    ["upwards, from the lower half", make([0, 1, 9], [-60, 0, -100]), {}, 59 / 60],
    ["downwards, from the upper half", make([0, 1, 9], [-40, 0, -100]), {}, 8.92],
    ["below the level from the middle of a slope", ramp, { from: 1, through: { level: 3 } }, 0],
    ["of no time, at the level", level, { from: 1, to: 1, through: { level: 1 } }, 0],
    ["of no time, above it", level, { from: 1, to: 1, through: { level: 0.5 } }, none],
  ],
  "clipping time": [
    ["in all", make([0, 1, 1, 2, 2, 3, 3, 4], [0, 0, 1, 1, 0, 0, 1, 1]), {}, 2],
    ["in a window", make([0, 1, 1, 2, 2, 3, 3, 4], [0, 0, 1, 1, 0, 0, 1, 1]), { from: 1.5, to: 3.5 }, 1],
  ],
  "clipping level": [
    ["at the first limit", make([0, 1, 1, 2, 2, 3], [0, 0, 1, 1, 0, 0]), { output: ramp }, 2],
    ["from the start", make([0, 1, 1, 2, 2, 3], [0, 0, 1, 1, 0, 0]), { from: 1.5, output: ramp }, 3],
    ["beginning with the window", make([0, 1, 1, 2, 2, 3], [0, 0, 1, 1, 0, 0]), { from: 1, output: ramp }, 2],
    ["never", make([0, 3], [0, 0]), { output: ramp }, none],
    ["an output that ends before the window", make([0, 5], [1, 1]), { output: ramp }, none],
  ],
};

describe.each(Object.entries(tables))("%s", (words, rows) => {
  it.each(rows)("%s", (_, trace, more, due) => {
    const found = take(words, trace, more);
    if (Number.isFinite(due)) expect(Math.abs(found - due)).toBeLessThan(1e-12);
    else expect(found).toBe(due);
  });
});

describe("a crossing", () => {
  it("below its level by a jump, on it, above: once each, in order", () => {
    expect(crossings(stairs, 0, 3, 5)).toEqual([
      { time: 1, direction: "falling" },
      { time: 2, direction: "rising" },
    ]);
    expect(crossings(make([0, 1, 2], [0, 1, 2]), 0, 2, 1)).toEqual([{ time: 1, direction: "rising" }]);
  });
  it("is found in a value that is no number nowhere", () => {
    expect(crossings(make([0, 1, 2, 3], [0, 2, none, 0]), 0, 3, 1)).toEqual([]);
    expect(crossings(ramp, 0, 4, none)).toEqual([]);
  });
});

describe("the instant of what was measured", () => {
  it.each<[string, string, Trace, Partial<Window>, number]>([
    ["peak", "between samples", hump, {}, 0.5],
    ["peak", "the first of two", make([0, 1, 2, 3], [0, 5, 0, 5]), {}, 1],
    ["peak", "at the first sample", make([0, 1], [5, 0]), {}, 0],
    ["peak", "at the last", make([0, 1], [0, 5]), {}, 1],
    ["peak", "a level throughout", level, { from: 1.5 }, 1.5],
    ["peak", "at the end of the window", ramp, { to: 3 }, 3],
    ["peak", "after a jump", stairs, { from: 1.5, to: 3 }, 2],
    ["peak", "of no time", ramp, { from: 1, to: 1 }, 1],
    ["peak", "struck", struck(level, [1, -1], [2, 1]), {}, 2],
    ["floor", "between samples", hollow, {}, 0.5],
    ["floor", "struck", struck(level, [1, 1], [2, -1]), {}, 2],
    ["peak current", "backwards", triangle, { from: 1.5 }, 3],
    ["peak current", "forwards", triangle, { to: 2 }, 1],
    ["peak current", "both: the first", triangle, {}, 1],
    ["peak current", "both: the first, backwards", make([0, 1, 3, 4], [0, -2, 2, 0]), {}, 1],
    ["peak power", "between samples", hump, {}, 0.5],
    ["crossing", "from the start of the run", ramp, { from: 1, through: { level: 4 } }, 2],
  ])("%s, %s", (words, _, trace, more, due) => {
    const w = { trace, from: trace.from, to: trace.to, ...more };
    const measure = named(words);
    expect(measure.when!(w, measure.take(w))).toBe(due);
  });
  it("is none where the trace does not stand at the level, or does not reach so far", () => {
    expect(standsAt({ trace: ramp, from: 0, to: 4 }, 9)).toBeNaN();
    expect(standsAt({ trace: ramp, from: 0, to: 5 }, 2)).toBeNaN();
    expect(standsAt({ trace: ramp, from: 1, to: 1 }, 3)).toBeNaN();
    expect(standsAt({ trace: level, from: 0, to: 4 }, endless)).toBeNaN();
    // On a stretch that turns, at a place outside the window.
    expect(standsAt({ trace: hump, from: 0.6, to: 1 }, 1)).toBeNaN();
    expect(standsAt({ trace: hump, from: 0, to: 0.4 }, 1)).toBeNaN();
  });
});

it("a level that can be drawn beside a trace is one in the trace's own unit", () => {
  const levels = measures.filter((m) => m.level);
  expect(levels.map((m) => m.words)).toEqual(expect.arrayContaining(["peak", "peak current"]));
  for (const m of levels) expect(m.unit("V")).toBe("V");
});

describe("a margin", () => {
  it.each<[number, { low?: number; high?: number }, number]>([
    // A band narrower than one; a share of it all the same.
    [0.5, { low: 0.4, high: 0.8 }, 0.25],
    [0.7, { low: 0.4, high: 0.8 }, 0.25],
    [1.2, { low: 0.4, high: 0.8 }, -1],
    [0, { low: 0.4, high: 0.8 }, -1],
    // One bound: a share of its size, whatever its sign.
    [-3, { high: -2 }, 0.5],
    [-1, { high: -2 }, -0.5],
    [5, { low: 4 }, 0.25],
    [3, { low: 4 }, -0.25],
    // A bound of zero: a share of the value's size.
    [-0.25, { high: 0 }, 1],
    [0.25, { high: 0 }, -1],
    [0.25, { low: 0, high: 0 }, -1],
    [0, { low: 0 }, 0],
  ])("%d within %j: %d", (measured, limit, due) => {
    const found = judge(measured, limit);
    expect(Math.abs(found.margin - due)).toBeLessThan(1e-12);
    expect(found.pass).toBe(due >= 0);
  });

  it("of a failure by next to nothing is not zero", () => {
    const found = judge(Number.MIN_VALUE, { high: 0, low: -1e300 });
    expect(found.pass).toBe(false);
    expect(found.margin).toBeLessThan(0);
  });

  it("the worst is the first of the least, but for rounding", () => {
    const limit = { low: 3, high: 5 };
    expect(worst([4.9, 4], limit).index).toBe(0);
    expect(worst([4, 4.9], limit).index).toBe(1);
    expect(worst([4, 4.9, 4.9, 4], limit).index).toBe(1);
    expect(worst([4.9, 4.9 + 1e-12], limit).index).toBe(0);
    expect(worst([4.9, 4.9 - 1e-12], limit).index).toBe(0);
    expect(worst([6, 6 + 1e-12], limit).index).toBe(0);
    expect(worst([6, 7, 6], limit).index).toBe(1);
    // A hundredth of the band is more than rounding.
    expect(worst([4.9, 4.92], limit).index).toBe(1);
    expect(worst([4], limit)).toMatchObject({ index: 0, measured: 4, pass: true, margin: 0.5 });
    // Exactly at a bound: none left, and passed.
    expect(worst([4, 5], limit)).toMatchObject({ index: 1, pass: true, margin: 0 });
    expect(worst([none, 9], limit)).toMatchObject({ index: 0, pass: false, margin: -endless });
    expect(worst([], limit)).toMatchObject({ measured: none, pass: false, margin: -endless });
  });
});
