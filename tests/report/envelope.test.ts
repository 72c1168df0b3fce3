// Where no period can be told from the next: bands with the true lowest, highest and mean, and lines where a curve can be followed.
import { describe, expect, test } from "vitest";
import { Means, parted } from "../../src/report/envelope.js";
import { extremes } from "../../src/waveforms/outline.js";
import { Trace } from "../../src/waveforms/trace.js";

/** Pulses of 1 V, a tenth of each period of 64 us long, for so many periods, with straight edges of a sample. */
function pulses(periods: number, duty = 0.1): Trace {
  const time: number[] = [];
  const value: number[] = [];
  for (let k = 0; k < periods; k++) {
    time.push(k * 64e-6, (k + duty) * 64e-6, (k + duty) * 64e-6, (k + 1) * 64e-6);
    value.push(1, 1, 0, 0);
  }
  return new Trace({
    name: "gate",
    unit: "V",
    time: Float64Array.from(time),
    value: Float64Array.from(value),
  });
}

const partsOf = (trace: Trace, from: number, to: number, columns: number, least = 0.05) =>
  parted(extremes(trace, from, to, columns), { from, to, columns, least }, () => new Means(trace));

describe("a train of pulses", () => {
  const trace = pulses(900);

  test.each([500, 900, 1500])("in %i columns is one band from 0 V to 1 V, its mean the duty", (columns) => {
    const bands = partsOf(trace, 0, trace.to, columns).flatMap((part) =>
      part.type === "band" ? [part] : [],
    );
    expect(bands).toHaveLength(1);
    const [{ low, high, mean, time }] = bands;
    expect([Math.max(...low), Math.min(...high)]).toEqual([0, 1]);
    expect(time[0]).toBeLessThan(0.01 * trace.to);
    expect(time.at(-1)).toBeGreaterThan(0.99 * trace.to);
    // A pulse of height 1 and duty d has the mean d, whatever beats between its period and the columns.
    for (const v of mean.subarray(9, -9)) expect(Math.abs(v - 0.1)).toBeLessThan(0.02);
  });

  test("in a few periods is a line, which goes through all of its points", () => {
    const outline = extremes(trace, 0, 10 * 64e-6, 1000);
    expect(partsOf(trace, 0, 10 * 64e-6, 1000)).toEqual([
      { type: "line", first: 0, last: outline.time.length - 1 },
    ]);
  });

  test("that ends leaves a line behind it", () => {
    const { time, value } = trace;
    const stopped = new Trace({
      name: "gate",
      unit: "V",
      time: Float64Array.from([...time, 2 * trace.to]),
      value: Float64Array.from([...value, 0]),
    });
    const outline = extremes(stopped, 0, stopped.to, 1000);
    const parts = partsOf(stopped, 0, stopped.to, 1000);
    // Up to its first turn it is a line as well.
    expect(parts.map(({ type }) => type)).toEqual(["line", "band", "line"]);
    const [start, band] = parts;
    expect(start.type === "line" && outline.time[start.last]).toBeLessThan(64e-6);
    expect(band.type === "band" && Math.abs(band.time.at(-1)! / trace.to - 1)).toBeLessThan(0.01);
  });
});

test("a ramp with a ripple that no eye can see stays a line", () => {
  const time = Float64Array.from({ length: 20_000 }, (_, i) => i * 1e-6);
  const value = time.map((t, i) => 4 * (t / 0.02) + (i % 2) * 1e-3);
  const trace = new Trace({ name: "ramp", unit: "V", time, value });
  expect(partsOf(trace, 0, trace.to, 1000).map(({ type }) => type)).toEqual(["line"]);
});

test("the mean of any stretch is that of the curve: of t squared from a to b (b^2 + ab + a^2) / 3", () => {
  const time = Float64Array.from([0, 1, 2, 4]);
  const value = time.map((t) => t * t);
  const slope = time.map((t) => 2 * t);
  const means = new Means(new Trace({ name: "x", unit: "V", time, value, slope }));
  for (const [a, b] of [
    [0, 4],
    [0.3, 0.9],
    [0.5, 3.1],
    [1, 2],
  ])
    expect(means.between(a, b)).toBeCloseTo((b * b + a * b + a * a) / 3, 12);
  expect(means.between(-1, 1)).toBeCloseTo(1 / 3, 12);
});
