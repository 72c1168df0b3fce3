// What of a trace is drawn: however much of it is seen, the lowest and the highest sample of every stretch is in it.
import fc from "fast-check";
import { expect, test } from "vitest";
import { Levels } from "../../src/page/fineness.js";
import { Trace } from "../../src/waveforms/trace.js";

const count = 60_000;
const pixels = 100;

/** A ripple on a ramp, with samples that stand far out here and there. */
const time = Float64Array.from({ length: count }, (_, i) => i * 1e-6);
const value = time.map((t, i) => t + 0.1 * Math.sin(i) + (i % 7919 === 0 ? 5 : 0));
const levels = new Levels(new Trace({ name: "ramp", unit: "V", time, value }));

test("an outline holds the lowest and the highest of what is seen, in a few points a pixel", () => {
  fc.assert(
    fc.property(fc.nat(count - 2), fc.nat(count - 2), (a, b) => {
      const [first, last] = [Math.min(a, b), Math.max(a, b) + 1];
      const outline = levels.outline({ from: time[first], to: time[last] }, pixels);
      // Columns are a pixel wide or half of one, with four points each; a few more reach beyond the ends.
      expect(outline.time.length).toBeLessThanOrEqual(4 * (2 * pixels + 4));
      const seen = [...outline.time.keys()].filter(
        (i) => outline.time[i] >= time[first] && outline.time[i] <= time[last],
      );
      const drawn = seen.map((i) => outline.value[i]);
      const bounds = levels.bounds({ from: time[first], to: time[last] })!;
      // The samples themselves, gone through one by one.
      const samples = value.subarray(first, last + 1);
      const [low, high] = [
        samples.reduce((x, y) => Math.min(x, y)),
        samples.reduce((x, y) => Math.max(x, y)),
      ];
      expect(bounds).toEqual({ low, high });
      // A lowest or highest at an end may be drawn by the line that comes in from beyond it.
      if (samples.length > 2) {
        const inner = samples.subarray(1, -1);
        expect(Math.min(...drawn)).toBeLessThanOrEqual(inner.reduce((x, y) => Math.min(x, y)));
        expect(Math.max(...drawn)).toBeGreaterThanOrEqual(inner.reduce((x, y) => Math.max(x, y)));
      }
    }),
  );
});

test("a point stands on the curve, wherever it is cut", () => {
  const { time: instants, value: drawn } = levels.outline({ from: 0.01, to: 0.05 }, pixels);
  for (const [i, t] of instants.entries()) expect(value[Math.round(t / 1e-6)]).toBe(drawn[i]);
});
