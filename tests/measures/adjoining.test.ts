// Measures of a span that is given in parts, as that of a run that repeats is: by their definitions, what all parts together show.
// And integrals of an arc whose middle is known better than its cubic says, against Euler's beta integrals (handbook).
import { describe, expect, it } from "vitest";
import { squareArea } from "../../src/measures/average.js";
import { judge } from "../../src/measures/verdict.js";
import { measureOver, type Recurring } from "../../src/measures/window.js";
import { Arc } from "../../src/waveforms/arc.js";
import { make } from "../waveforms/making.js";
import { named, take } from "./taking.js";

// Up from 1 V to 2 V, on to 5 V, and down again to -3 V; each of them a second long, the second of them twice.
const trace = make([0, 1, 2, 3], [1, 2, 5, -3]);
const parts = (more: Partial<Recurring["window"]> = {}): readonly Recurring[] =>
  [0, 1, 2].map((from) => ({ window: { trace, from, to: from + 1, ...more }, times: from === 1 ? 2 : 1 }));
const over = (words: string, more: Partial<Recurring["window"]> = {}) =>
  measureOver(named(words), parts(more));

describe("of three parts", () => {
  it("the floor is the lowest, the peak the highest, and the swing from one to the other", () => {
    expect([over("floor"), over("peak"), over("swing")]).toEqual([-3, 5, 8]);
  });

  it("a crossing is the first of any, from the start of the first", () => {
    expect(over("crossing", { through: { level: 3.5 } })).toBe(1.5);
    expect(over("crossing", { through: { level: 1.5 } })).toBe(0.5);
    expect(over("crossing", { through: { level: 1, direction: "falling" } })).toBe(2.5);
    expect(over("crossing", { through: { level: 6 } })).toBeNaN();
  });
});

describe("of a square wave of 1 ms, of which the third turn stands for ten, and the last is short", () => {
  const edges = Array.from({ length: 13 }, (_, k) => k * 1e-3);
  const wave = make(
    [...edges.flatMap((t) => [t, t + 0.2e-3, t + 0.2e-3, t + 0.7e-3, t + 0.7e-3]), 13e-3],
    [...edges.flatMap(() => [0, 0, 5, 5, 0]), 0],
  );
  const spans: readonly Recurring[] = [
    { window: { trace: wave, from: 0, to: 2e-3 }, times: 1 },
    { window: { trace: wave, from: 2e-3, to: 3e-3 }, times: 10 },
    { window: { trace: wave, from: 12e-3, to: 12.5e-3 }, times: 1 },
  ];
  it("rises 13 times, every millisecond", () => {
    expect(
      measureOver(
        named("pulses"),
        spans.map(({ window, times }) => ({
          window: { ...window, through: { level: 2.5, direction: "rising" } },
          times,
        })),
      ),
    ).toBe(13);
    expect(Math.abs(measureOver(named("period"), spans) - 1e-3)).toBeLessThan(1e-15);
    expect(Math.abs(measureOver(named("period"), spans.slice(1)) - 1e-3)).toBeLessThan(1e-15);
    expect(Math.abs(measureOver(named("frequency"), spans) - 1e3)).toBeLessThan(1e-9);
    expect(measureOver(named("jitter"), spans)).toBeLessThan(1e-15);
  });
});

it("the square of an arc off its cubic by d in the middle: ∫ (s + 16 d s²(1 − s)²)² ds = 1/3 + 32 d B(4, 3) + …", () => {
  // B(4, 3) = 1/60, B(5, 5) = 1/630; the rule with four points is exact but for 0.006 d² of the last.
  const arc = new Arc().load(make([0, 1], [0, 1], [1, 1]), 0);
  expect(Math.abs(squareArea(arc, 0, 1) - 1 / 3)).toBeLessThan(1e-15);
  const d = 1e-4;
  expect(Math.abs(squareArea(arc, 0, 1, d) - (1 / 3 + (32 * d) / 60 + (256 * d * d) / 630))).toBeLessThan(
    1e-10,
  );
});

it("an end of a plain trace that is closer than the next sample is as it is: nothing shows that it breaks away", () => {
  // 1.2 V/s for a little more than 2 % of the sweep, 2 V/s from there on: the slope at the start is that of the parabola through the
  // first three samples. Of samples closer by, the same start is one that breaks away, and the sweep is straight.
  const kink = 0.02001;
  const v = (t: number) => (t < kink ? 1.2 * t : 1.2 * kink + 2 * (t - kink));
  const rest = Array.from({ length: 50 }, (_, i) => kink + ((1 - kink) * (i + 1)) / 50);
  const [h, g] = [kink, (1 - kink) / 50];
  const first = 1.2 + ((1.2 - 2) * h) / (h + g);
  const plain = (time: number[]) => make(time, time.map(v));
  expect(Math.abs(take("sweep error", plain([0, kink, ...rest])) - (2 - first) / first)).toBeLessThan(1e-9);
  expect(take("sweep error", plain([0, kink / 3, kink / 2, kink, ...rest]))).toBeLessThan(1e-9);
});

describe("a reset", () => {
  const resetTime = (time: number[], value: number[], more = {}) =>
    take("reset time", make(time, value), more);
  it("does not occur where the trace only falls, from within 1 % of its top, until the end", () => {
    expect(resetTime([0, 1], [1, 0])).toBeNaN();
    expect(resetTime([0, 0.01, 1], [0.99, 1, 0])).toBeNaN();
    // From lower down it has risen first; a share of the swing, not of the height.
    expect(resetTime([0, 0.01, 1], [1.98, 2, 1])).toBeGreaterThan(0.9);
    expect(resetTime([0, 0.01, 1], [0.98, 1, 0])).toBeGreaterThan(0.9);
  });
  it("goes down where a period comes to rest, and is not a falling sweep's, in any unit of time", () => {
    // To within 1 % of the swing at 99 % of the way.
    for (const unit of [1, 1e-6])
      expect(
        Math.abs(resetTime([0, 30 * unit, 64 * unit], [5, 0, 0], { follows: true }) / unit - 29.7),
      ).toBeLessThan(1e-9);
  });
});

it("no bounds at all, written as infinite ones, are kept by any value", () => {
  for (const measured of [-1, 0, 1e300])
    expect(judge(measured, { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }).pass).toBe(
      true,
    );
});
