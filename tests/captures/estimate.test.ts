// Estimates against certified values: the NIST Statistical Reference Datasets, the worked example of JCGM 100:2008, and how often
// the intervals hold the hidden values of samples that were made by a generator of the test's own.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { type Estimate, estimate } from "../../src/captures/estimate.js";
import { coverageFactor } from "../../src/captures/student.js";
import type { DesignError } from "../../src/index.js";
import { normals } from "./generator.js";

const facts = JSON.parse(readFileSync(new URL("../../shared/fitting.json", import.meta.url), "utf8"));

const fitted = (
  f: (x: number, b: readonly number[]) => number,
  x: readonly number[],
  y: readonly number[],
  start: readonly number[],
): Estimate =>
  estimate({
    names: start.map((_, i) => `b${i + 1}`),
    start,
    low: start.map((v) => -10 * (Math.abs(v) || 1)),
    high: start.map((v) => 10 * (Math.abs(v) || 1)),
    misses: (b) => x.map((v, k) => f(v, b) - y[k]),
  });

/** To six digits, as an error relative to the certified value. */
const sixDigits = (found: number, certified: number) =>
  expect(Math.abs(found / certified - 1), `${found} for ${certified}`).toBeLessThan(5e-7);

describe("NIST Statistical Reference Datasets", () => {
  const models: Record<string, (x: number, b: readonly number[]) => number> = {
    misra1a: (x, [b1, b2]) => b1 * (1 - Math.exp(-b2 * x)),
    mgh09: (x, [b1, b2, b3, b4]) => (b1 * (x * x + x * b2)) / (x * x + x * b3 + b4),
  };
  for (const [name, model] of Object.entries(models)) {
    const { starts, values, deviations, sum, x, y } = facts[name];
    it.each(starts as number[][])(`${name} from %s, %s`, (...start) => {
      const found = fitted(model, x, y, start);
      found.values.forEach(({ value, uncertainty }, i) => {
        sixDigits(value, values[i]);
        sixDigits(uncertainty, deviations[i]);
      });
      sixDigits(found.sum, sum);
      expect(found.settled).toBe(true);
    });
  }
});

it("the calibration line of JCGM 100:2008, H.3", () => {
  const { t, b, values, deviations, correlation, deviation } = facts.thermometer;
  const found = fitted((x, [y1, y2]) => y1 + y2 * (x - 20), t, b, [0, 0.1]);
  // To the last digit printed there.
  expect(found.values[0].value).toBeCloseTo(values[0], 4);
  expect(found.values[1].value).toBeCloseTo(values[1], 5);
  expect(found.values[0].uncertainty).toBeCloseTo(deviations[0], 4);
  expect(found.values[1].uncertainty).toBeCloseTo(deviations[1], 5);
  expect(found.correlation[0][1]).toBeCloseTo(correlation, 3);
  expect(found.deviation).toBeCloseTo(deviation, 4);
  expect(found.freedom).toBe(9);
});

it("Student's factors for 95 % (JCGM 100:2008, table G.2)", () => {
  const table = { 1: 12.71, 2: 4.3, 3: 3.18, 5: 2.57, 9: 2.26, 10: 2.23, 20: 2.09, 50: 2.01, 100: 1.984 };
  for (const [freedom, t] of Object.entries(table))
    expect(Math.abs(coverageFactor(Number(freedom)) - t)).toBeLessThan(0.0051);
  expect(coverageFactor(0)).toBe(Number.POSITIVE_INFINITY);
  // Both ways of working it out meet where one takes over: third differences of 2.37/n vanish to 1e-9 there.
  const [a, b, c, d] = [498, 499, 500, 501].map(coverageFactor);
  expect(Math.abs(d - 3 * c + 3 * b - a)).toBeLessThan(1e-9);
});

describe("coverage", () => {
  // A ramp from a source of limited output (Millman & Taub 1965): v = I R (1 - exp(-t / R C)) + v0; 8-bit steps and noise.
  const model = (t: number, [slope, tau, foot]: readonly number[]) =>
    foot + slope * tau * (1 - Math.exp(-t / tau));
  const truth = [68.3e3, 310e-6, 0.021];
  const times = Array.from({ length: 200 }, (_, k) => k * 0.29e-6);
  const trials = 400;
  const step = 5 / 256;

  it("the hidden values lie in their intervals of 95 % in 93 to 97 % of the trials", () => {
    const next = normals(20261126);
    const inside = [0, 0, 0];
    for (let trial = 0; trial < trials; trial++) {
      const seen = times.map((t) => Math.round((model(t, truth) + 0.03 * next()) / step) * step);
      const found = fitted(model, times, seen, [60e3, 500e-6, 0]);
      found.values.forEach(({ interval }, i) => {
        if (interval.low <= truth[i] && truth[i] <= interval.high) inside[i]++;
      });
    }
    for (const hits of inside) {
      expect(hits / trials).toBeGreaterThanOrEqual(0.93);
      expect(hits / trials).toBeLessThanOrEqual(0.97);
    }
  });
});

describe("what the samples do not tell", () => {
  const x = [1, 2, 3, 4, 5];
  const line = x.map((v) => 6 * v + (v % 2 ? 0.01 : -0.01));

  it("two values of which only the product acts", () => {
    const found = fitted((v, [a, b]) => a * b * v, x, line, [2, 2]);
    expect(found.inseparable).toHaveLength(1);
    const [{ values, shares, text }] = found.inseparable;
    expect([...values].sort()).toEqual(["b1", "b2"]);
    // One up by a per cent and the other down by one.
    expect(shares[0] * shares[1]).toBeCloseTo(-1, 3);
    expect(text).toMatch(/^these captures tell 'b1' and 'b2' apart not at all: /);
    expect(found.values.map((v) => v.uncertainty)).toEqual([Infinity, Infinity]);
    expect(found.values[0].value * found.values[1].value).toBeCloseTo(6, 2);
  });

  it("a value without effect, beside one that is known", () => {
    const found = fitted((v, [a]) => a * v, x, line, [2, 2]);
    expect(found.inseparable.map((one) => one.values)).toEqual([["b2"]]);
    expect(found.inseparable[0].text).toBe("these captures tell 'b2' not at all");
    expect(found.values[1].uncertainty).toBe(Number.POSITIVE_INFINITY);
    // A line through nothing: s / sqrt(sum of squares), with s from the misses.
    const misses = x.map((v, k) => line[k] - found.values[0].value * v);
    const s = Math.sqrt(misses.reduce((sum, m) => sum + m * m, 0) / 3);
    expect(found.values[0].uncertainty).toBeCloseTo(s / Math.sqrt(55), 8);
  });

  it("a value at an end of its range", () => {
    const found = estimate({
      names: ["a", "b"],
      start: [1, 1],
      low: [0, 0],
      high: [5, 50],
      misses: ([a, b]) => x.map((v, k) => a * v + b - line[k] - 20),
    });
    expect(found.values[0]).toMatchObject({ value: 5, atEnd: true });
    expect(found.values[0].uncertainty).toBeNaN();
  });

  it("no fewer misses than a digital scale leaves: its step by the root of twelve (JCGM 100:2008, F.2.2.1)", () => {
    const found = estimate({
      names: ["a"],
      start: [1],
      low: [0],
      high: [9],
      misses: ([a]) => x.map((v) => a * v - 3 * v),
      leastDeviation: 0.1 / Math.sqrt(12),
    });
    expect(found.values[0].uncertainty).toBeCloseTo(0.1 / Math.sqrt(12 * 55), 10);
  });

  it("as many values as samples are refused", () => {
    const refused = (act: () => unknown) => {
      try {
        act();
      } catch (error) {
        return (error as DesignError).diagnostics[0].code;
      }
    };
    expect(refused(() => fitted((v, b) => b[0] + b[1] * v, [1, 2], [1, 2], [1, 1]))).toBe("too-few-samples");
    expect(refused(() => fitted(() => Number.NaN, [1, 2], [1, 2], [1]))).toBe("no-start");
  });
});
