// Histograms of trials: every bar where arithmetic puts it, read back from the drawing.
import { describe, expect, test } from "vitest";
import { histogramPicture } from "../../src/report/histogram.js";
import type { Trials } from "../../src/spread/trials.js";

// 64 trials of an even spread from 1 V to 2 V; one that has no value.
const even = [...Array.from({ length: 64 }, (_, i) => 1 + i / 63), Number.NaN];
const trials = (measured: readonly number[], limit: { low?: number; high?: number }): Trials =>
  ({
    title: "Nest <box>",
    seed: 1,
    slices: [[0, measured.length]],
    checks: [
      { name: "a & b", case: "", what: "peak of ramp", measure: "peak", unit: "V", shown: "value", limit },
    ],
    measured: [measured],
    nominal: [1.5],
    missing: [],
    axes: [],
  }) as unknown as Trials;
const boxes = (svg: string, fill: string) =>
  [
    ...svg.matchAll(
      /<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" fill="(#\w+)"( stroke)?/g,
    ),
  ]
    .filter((m) => m[5] === fill && (fill !== "#ffffff" || m[6]))
    .map((m) => m.slice(1, 5).map(Number));

describe("a histogram", () => {
  const svg = histogramPicture(trials(even, { high: 1.5 }));
  test("has the root of so many bars, and an even spread makes even ones", () => {
    const [full, hollow] = [boxes(svg, "#00609c"), boxes(svg, "#ffffff")];
    // 64 values in 8 bars of 8; those up to 1.5 V pass, which are 32 (i/63 up to 0.5).
    expect([full.length, hollow.length]).toEqual([4, 4]);
    for (const [, , , height] of [...full, ...hollow]) expect(height).toBeCloseTo(150 / 1.08, 1);
    for (const [, , width] of [...full, ...hollow]) expect(width).toBeCloseTo(full[0][2], 1);
    expect(Math.max(...full.map(([x]) => x))).toBeLessThan(Math.min(...hollow.map(([x]) => x)));
  });

  test("says in words what it shows, and markup stays text", () => {
    expect(svg).toContain("a &amp; b (peak of ramp) passes in 32 of 65 trials.");
    expect(svg).toContain("Nest &lt;box&gt;: 65 trials");
    expect(svg).toContain("1 without a value");
    expect(svg).toContain("dotted: as designed, 1.5 V");
  });

  test("of values that are all the same is one bar, and of none has none", () => {
    expect(boxes(histogramPicture(trials([3, 3, 3], {})), "#00609c")).toHaveLength(1);
    const none = histogramPicture(trials([Number.NaN], { low: 1 }));
    expect(boxes(none, "#00609c")).toHaveLength(0);
    expect(none).not.toMatch(/NaN|Infinity/);
  });

  test("shows nothing as allowed where all of it lies beyond the limit", () => {
    const [zone] = boxes(histogramPicture(trials(even, { high: -50 })), "#f3d9a4");
    expect(zone[2]).toBe(0);
    expect(histogramPicture(trials(even, { high: -50 }))).toContain("a limit lies beyond");
  });
});
