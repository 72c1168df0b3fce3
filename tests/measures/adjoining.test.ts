// Measures of a span that is given in parts, as that of a run that repeats is: by their definitions, what all parts together show.
// And integrals of an arc whose middle is known better than its cubic says, against Euler's beta integrals (handbook).
import { describe, expect, it } from "vitest";
import { squareArea } from "../../src/measures/average.js";
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

it("the square of an arc off its cubic by d in the middle: ∫ (s + 16 d s²(1 − s)²)² ds = 1/3 + 32 d B(4, 3) + …", () => {
  // B(4, 3) = 1/60, B(5, 5) = 1/630; the rule with four points is exact but for 0.006 d² of the last.
  const arc = new Arc().load(make([0, 1], [0, 1], [1, 1]), 0);
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
