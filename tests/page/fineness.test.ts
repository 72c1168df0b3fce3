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

const bounds = (first: number, last: number) => {
  const samples = value.subarray(first, last + 1);
  return [samples.reduce((x, y) => Math.min(x, y)), samples.reduce((x, y) => Math.max(x, y))] as const;
};

test("an outline holds the lowest and the highest of what is seen, in a few points a pixel", () => {
  fc.assert(
    fc.property(fc.nat(count - 2), fc.nat(count - 2), (a, b) => {
      const [first, last] = [Math.min(a, b), Math.max(a, b) + 1];
      const outline = levels.outline({ from: time[first], to: time[last] }, pixels);
      // Columns are a pixel wide or half of one, with four points each; a few more reach beyond the ends.
      expect(outline.time.length).toBeLessThanOrEqual(4 * (2 * pixels + 4));
      const low = outline.value.reduce((x, y) => Math.min(x, y));
      const high = outline.value.reduce((x, y) => Math.max(x, y));
      // The samples themselves, gone through one by one; and those of two columns beyond, since it may begin and end there.
      const beyond = Math.ceil((2 * (last - first)) / pixels);
      const [least, most] = bounds(first, last);
      const [lower, higher] = bounds(Math.max(0, first - beyond), last + beyond);
      expect(low).toBeLessThanOrEqual(least);
      expect(low).toBeGreaterThanOrEqual(lower);
      expect(high).toBeGreaterThanOrEqual(most);
      expect(high).toBeLessThanOrEqual(higher);
    }),
  );
});

test("a point stands on the curve, wherever it is cut", () => {
  const { time: instants, value: drawn } = levels.outline({ from: 0.01, to: 0.05 }, pixels);
  for (const [i, t] of instants.entries()) expect(value[Math.round(t / 1e-6)]).toBe(drawn[i]);
});
