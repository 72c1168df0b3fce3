// Windows: jumps at their ends, no length, one sample, beyond the trace; crossings; the table as a whole.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { crossings } from "../../src/measures/crossing.js";
import { measures } from "../../src/measures/measures.js";
import { judge, worst } from "../../src/measures/verdict.js";
import { coveredSpan, traceBounds, type Window } from "../../src/measures/window.js";
import type { Trace } from "../../src/waveforms/trace.js";
import { make } from "../waveforms/making.js";
import { named } from "./taking.js";

function take(words: string, trace: Trace, from: number, to: number, more: Partial<Window> = {}): number {
  return named(words).take({ trace, from, to, at: 1, through: { level: 2 }, output: trace, ...more });
}

const stairs = make([0, 1, 1, 2, 2, 3], [9, 9, 1, 1, 7, 7]);

describe("a window between two jumps", () => {
  it("sees the value after the first and before the second", () => {
    expect(take("peak", stairs, 1, 2)).toBe(1);
    expect(take("floor", stairs, 1, 2)).toBe(1);
    expect(take("mean", stairs, 1, 2)).toBe(1);
    expect(take("slope", stairs, 1, 2)).toBe(0);
    expect(take("value", stairs, 1, 2)).toBe(1);
  });

  it("sees a jump inside with both its values", () => {
    expect(take("swing", stairs, 0.5, 1.5)).toBe(8);
    expect(take("crossing", stairs, 0.5, 1.5, { through: { level: 5 } })).toBe(0.5);
    expect(take("mean", stairs, 0.5, 1.5)).toBe(5);
  });
});

describe("windows at the edge", () => {
  it("a trace of one instant, as of a run that stops at its start, covers that instant", () => {
    const trace = make([0], [3]);
    expect(coveredSpan({ trace, from: 0, to: 0 })).toEqual({ from: 0, to: 0 });
    expect(take("peak", trace, 0, 0)).toBe(3);
  });

  it.each(["peak", "floor", "mean", "rms"])("%s of a window of no length is the value there", (words) => {
    expect(take(words, stairs, 2, 2)).toBe(7);
    expect(take(words, make([1], [4]), 1, 1)).toBe(4);
  });

  it("cuts the ends to the instant", () => {
    const ramp = make([0, 4], [0, 8]);
    expect(take("peak", ramp, 1, 3)).toBe(6);
    expect(take("floor", ramp, 1, 3)).toBe(2);
    expect(take("mean", ramp, 1, 3)).toBe(4);
  });

  it.each(measures.map((m) => m.words))("%s of what the trace does not cover is NaN", (words) => {
    expect(take(words, stairs, 2, 4, { at: 5 })).toBeNaN();
    expect(take(words, stairs, -1, 1, { at: -1 })).toBeNaN();
    expect(take(words, stairs, 2, 1, { at: Number.NaN })).toBeNaN();
  });

  it("forgives some roundings of the clock", () => {
    expect(take("peak", stairs, 0, 3 * (1 + 2 ** -52))).toBe(9);
  });

  it("an end that only a sum of instants has moved off a jump stands on it", () => {
    // 0.06 + 0.01 is less than 0.07 by one rounding, 0.1 + 0.2 more than 0.3.
    const early = make([0, 0.07, 0.07, 0.09], [1, 1, 5, 5]);
    expect(0.06 + 0.01).toBeLessThan(0.07);
    expect(take("floor", early, 0.06 + 0.01, 0.09)).toBe(5);
    expect(take("peak", early, 0, 0.06 + 0.01)).toBe(1);
    const late = make([0, 0.3, 0.3, 0.4], [1, 1, 5, 5]);
    expect(take("floor", late, 0.1 + 0.2, 0.4)).toBe(5);
    expect(take("peak", late, 0, 0.1 + 0.2)).toBe(1);
    // What is farther off than that is another instant.
    expect(take("floor", early, 0.07 * (1 - 1e-14), 0.09)).toBe(1);
  });

  it("where the trace rests at the level, the crossing is the instant it leaves, by a slope or by a jump", () => {
    const rests = (...after: number[][]) =>
      make([0, 1, ...after.map((p) => p[0])], [0, 0, ...after.map((p) => p[1])]);
    const through = { level: 0 };
    expect(take("crossing", rests([2, 1]), 0, 2, { through })).toBe(1);
    expect(take("crossing", rests([1, 1], [2, 1]), 0, 2, { through })).toBe(1);
    expect(
      take("crossing", rests([1, -1], [2, -1]), 0, 2, { through: { level: 0, direction: "falling" } }),
    ).toBe(1);
    expect(
      take("crossing", rests([1, -1], [2, -1]), 0, 2, { through: { level: 0, direction: "rising" } }),
    ).toBeNaN();
    // Adjoining windows see it once: the second, at its start.
    expect(crossings(rests([1, 1], [2, 1]), 0, 2, 0)).toEqual([{ time: 1, direction: "rising" }]);
    expect(take("crossing", rests([1, 1], [2, 1]), 0, 1, { through })).toBeNaN();
    expect(take("crossing", rests([1, 1], [2, 1]), 1, 2, { through })).toBe(0);
    // A trace that has never been at the level, nor on its other side, has not crossed it.
    expect(take("crossing", rests([1, 1], [2, 1]), 1.5, 2, { through })).toBeNaN();
  });
  it("a jump through the level just at its start is its own crossing, one at its end the next one's", () => {
    const through = { level: 5 };
    expect(take("crossing", stairs, 2, 3, { through })).toBe(0);
    expect(take("crossing", stairs, 1, 2, { through: { level: 5, direction: "rising" } })).toBeNaN();
    expect(take("crossing", stairs, 1, 2, { through })).toBe(0);
    expect(take("crossing", stairs, 2, 2, { through })).toBeNaN();
  });

  it.each(measures.map((m) => m.words))("%s of one sample neither throws nor invents", (words) => {
    const v = take(words, make([1], [4]), 1, 1);
    expect(Number.isNaN(v) || Number.isFinite(v)).toBe(true);
  });

  it.each(measures.map((m) => m.words))("%s is not fooled by NaN among the values", (words) => {
    const v = take(words, make([0, 1, 2], [0, Number.NaN, 4]), 0, 2);
    const positional = ["slope", "tilt"]; // look at the ends alone
    if (!positional.includes(words)) expect(v).toBeNaN();
  });
});

describe("crossings", () => {
  it("takes a touch for none, and a rest at the level for one, as it leaves", () => {
    const trace = make([0, 1, 2, 3, 4, 5], [0, 2, 1, 2, 2, 3]);
    expect(crossings(trace, 0, 5, 2)).toEqual([{ time: 4, direction: "rising" }]);
  });

  it("counts a start at the level, and not an end at it", () => {
    const saw = make([0, 1, 2, 3], [0, 1, 0, 1]);
    expect(crossings(saw, 0, 3, 0)).toEqual([{ time: 0, direction: "rising" }]);
    expect(crossings(make([0, 1], [0, 1]), 0, 1, 1)).toEqual([]);
  });

  it("finds two on one bent stretch", () => {
    const hump = make([0, 1], [0, 0], [4, -4]); // 4 t (1 - t) meets 3/4 at 1/4 and 3/4
    const found = crossings(hump, 0, 1, 0.75);
    expect(found.map((c) => c.direction)).toEqual(["rising", "falling"]);
    expect(found[0].time).toBeCloseTo(0.25, 14);
    expect(found[1].time).toBeCloseTo(0.75, 14);
  });

  it("goes up and down by turns, each where the trace is at the level, and splits with the span", () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -3, max: 3 }), { minLength: 3, maxLength: 30 }),
        fc.array(fc.boolean(), { minLength: 30, maxLength: 30 }),
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        (values, jumps, share) => {
          // Times count up, and stand still where there is a jump; never for three samples.
          const time = [0];
          for (let i = 1; i < values.length; i++) {
            const still = jumps[i] && i > 1 && time[i - 1] > time[i - 2];
            time.push(time[i - 1] + (still ? 0 : 1));
          }
          const trace = make(time, values);
          const all = crossings(trace, trace.from, trace.to, 0.5);
          all.forEach((c, i) => {
            if (i > 0) expect(c.direction).not.toBe(all[i - 1].direction);
          });
          const cut = trace.from + share * (trace.to - trace.from);
          if (trace.at(cut) === 0.5 || time.includes(cut)) return;
          const parts = [...crossings(trace, trace.from, cut, 0.5), ...crossings(trace, cut, trace.to, 0.5)];
          expect(parts.map((c) => c.direction)).toEqual(all.map((c) => c.direction));
          parts.forEach((c, i) => {
            expect(c.time).toBeCloseTo(all[i].time, 12);
          });
        },
      ),
    );
  });
});

describe("the table", () => {
  it("has no two measures of the same words", () => {
    expect(new Set(measures.map((m) => m.words)).size).toBe(measures.length);
  });

  it.each(measures.filter((m) => m.needs ?? m.beside).map((m) => [m.words, m]))(
    "%s says what it lacks",
    (_, m) => {
      expect(() => m.take({ trace: stairs, from: 0, to: 3 })).toThrow(RangeError);
    },
  );

  it("has units that fit", () => {
    const units = Object.fromEntries(measures.map((m) => [m.words, m.unit("V")]));
    expect(units).toMatchObject({
      peak: "V",
      slope: "V/s",
      crossing: "s",
      "sweep error": "",
      frequency: "Hz",
    });
    expect(named("charge").unit("A")).toBe("C");
    expect(named("energy").unit("W")).toBe("J");
    for (const m of measures) expect(m.unit("V") === "").toBe(m.shown !== undefined);
  });
});

describe("verdicts", () => {
  it.each([
    [4, { low: 3, high: 5 }, true, 0.5],
    [3, { low: 3, high: 5 }, true, 0],
    [5.5, { low: 3, high: 5 }, false, -0.25],
    [0.015, { high: 0.02 }, true, 0.25],
    [0.03, { high: 0.02 }, false, -0.5],
    [-3, { low: -2 }, false, -0.5],
    [1, { low: 0 }, true, 1],
    [-1, { low: 0 }, false, -1],
    [2, { low: 2, high: 2 }, true, 0],
    [3, { low: 2, high: 2 }, false, -0.5],
    [1, {}, true, Number.POSITIVE_INFINITY],
    [Number.NaN, { high: 1 }, false, Number.NEGATIVE_INFINITY],
    [Number.POSITIVE_INFINITY, { low: 1 }, true, Number.POSITIVE_INFINITY],
    [Number.POSITIVE_INFINITY, { high: 1 }, false, Number.NEGATIVE_INFINITY],
  ])("%f within %j: %s, margin %f", (measured, limit, pass, margin) => {
    const v = judge(measured, limit);
    expect(v.pass).toBe(pass);
    if (Number.isFinite(margin)) expect(v.margin).toBeCloseTo(margin, 12);
    else expect(v.margin).toBe(margin);
  });

  it("passes exactly when the value lies within, and then has no negative margin", () => {
    const number = fc.double({ noNaN: true, noDefaultInfinity: true });
    fc.assert(
      fc.property(
        number,
        fc.option(number, { nil: undefined }),
        fc.option(number, { nil: undefined }),
        (x, low, high) => {
          const v = judge(x, { low, high });
          expect(v.pass).toBe((low === undefined || x >= low) && (high === undefined || x <= high));
          expect(v.margin >= 0).toBe(v.pass);
        },
      ),
    );
  });

  it("finds the worst of several periods, and fails when there is none", () => {
    expect(worst([4, 4.9, 3.2], { low: 3, high: 5 })).toMatchObject({ index: 1, measured: 4.9, pass: true });
    expect(worst([4, Number.NaN, 9], { low: 3, high: 5 })).toMatchObject({ index: 1, pass: false });
    // Without bound on the side that is allowed is as good as can be: whatever comes later may be worse.
    expect(worst([Number.NEGATIVE_INFINITY, 9], { high: 5 })).toMatchObject({ index: 1, pass: false });
    expect(worst([], { low: 3 })).toMatchObject({ index: -1, pass: false });
  });
});

describe("a window that begins later", () => {
  it("has the slope of what lies in it: 2 V/s, of 8 V in 4 s", () => {
    expect(take("slope", make([0, 4], [0, 8]), 1, 3)).toBe(2);
  });
});

describe("a cubic that does not turn", () => {
  // 8 (3 t^2 - 2 t^3) meets y at t = 1/2 - sin(asin(1 - 2 y/8) / 3): the identity sin 3a = 3 sin a - 4 sin^3 a.
  it.each([3, 5, 0.5, 4])("meets %d V where the trigonometric solution of the cubic has it", (level) => {
    const step = make([0, 1], [0, 8], [0, 0]);
    const [one, ...more] = crossings(step, 0, 1, level);
    expect(more).toEqual([]);
    expect(one.time).toBeCloseTo(0.5 - Math.sin(Math.asin(1 - level / 4) / 3), 12);
  });
});

describe("what a measure of one's own may confuse is a diagnostic that says what is wanted", () => {
  const samples = { from: 0, to: 1, time: [0, 1], value: [0, 1] } as unknown as Trace;

  it("bounds of samples that are no trace", () => {
    expect(() => traceBounds(samples, 0, 1)).toThrow("a trace, as `run.trace` gives it");
  });

  it("a window without a trace", () => {
    expect(() => coveredSpan({ from: 0, to: 1 } as Window)).toThrow("window.trace");
    expect(() => coveredSpan({ trace: samples, from: 0, to: 1 })).toThrow("a trace, as `run.trace` gives it");
  });
});
