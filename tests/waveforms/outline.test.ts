// The outline of a trace: few points, and the same picture.
import { describe, expect, it } from "vitest";
import { extremes } from "../../src/waveforms/outline.js";
import { make, sampled } from "./making.js";

/** Lowest and highest of each column, of any polyline. */
function envelope(time: ArrayLike<number>, value: ArrayLike<number>, to: number, columns: number): string[] {
  const low = new Array(columns + 1).fill(Number.POSITIVE_INFINITY);
  const high = new Array(columns + 1).fill(Number.NEGATIVE_INFINITY);
  for (let i = 0; i < time.length; i++) {
    const c = Math.floor(time[i] * (columns / to));
    low[c] = Math.min(low[c], value[i]);
    high[c] = Math.max(high[c], value[i]);
  }
  return low.map((v, c) => `${v} ${high[c]}`);
}

describe("extremes", () => {
  it("keeps the exact extremes of every column of a million samples, in four points a column", () => {
    // A fixed multiplicative generator (Lehmer, modulus 2^31 - 1, multiplier 48271) gives the noise.
    let seed = 1;
    const n = 1_000_000;
    const time = Float64Array.from({ length: n }, (_, i) => i / n);
    const value = time.map(() => {
      seed = (seed * 48271) % 2147483647;
      return seed / 2147483647;
    });
    value[777_777] = 40;
    const trace = make([...time], [...value]);
    const o = extremes(trace, 0, 1, 500);
    expect(o.time.length).toBeLessThanOrEqual(4 * 501);
    expect(envelope(o.time, o.value, 1, 500)).toEqual(envelope(time, value, 1, 500));
    expect(o.value.includes(40)).toBe(true);
    for (let i = 1; i < o.time.length; i++) expect(o.time[i]).toBeGreaterThanOrEqual(o.time[i - 1]);
  });

  it("keeps both sides of a jump, in order, and no more points than it needs", () => {
    const o = extremes(make([0, 1, 1, 2], [0, 0, 5, 5]), 0, 2, 100);
    expect(Array.from(o.time)).toEqual([0, 1, 1, 2]);
    expect(Array.from(o.value)).toEqual([0, 0, 5, 5]);
  });

  it("shows jumps at both ends of the span as the span sees them", () => {
    const t = make([0, 1, 1, 2, 2, 3], [9, 9, 0, 1, 8, 8]);
    const o = extremes(t, 1, 2, 10);
    expect(Array.from(o.value)).toEqual([0, 1, 8]);
  });

  it("bends where samples are few, turning points included", () => {
    const o = extremes(make([0, 1], [0, 0], [4, -4]), 0, 1, 8); // the parabola 4 t (1 - t)
    expect(Math.max(...o.value)).toBe(1);
    o.time.forEach((t, i) => {
      expect(o.value[i]).toBeCloseTo(4 * t * (1 - t), 12);
    });
    expect(o.time.length).toBeGreaterThanOrEqual(9);
  });

  it("finds the peaks between samples where a column holds many of them", () => {
    // Humps 4 u (1 − u), up and down in turn, in seven pieces each so that no sample is a peak; a cubic has them exactly.
    const [humps, pieces, columns] = [4000, 7, 100];
    const count = humps * pieces + 1;
    const time = Float64Array.from({ length: count }, (_, i) => i / pieces);
    const value = time.map((t) => (Math.floor(t) % 2 ? -4 : 4) * (t % 1) * (1 - (t % 1)));
    const slope = time.map((t) => (Math.floor(t) % 2 ? -4 : 4) * (1 - 2 * (t % 1)));
    const { time: t, value: v } = extremes(make([...time], [...value], [...slope]), 0, humps, columns);
    expect(t.length).toBeLessThanOrEqual(4 * (columns + 1));
    for (let column = 0; column < columns; column++) {
      const inside = [...v].filter((_, i) => Math.floor(t[i] * (columns / humps)) === column);
      expect(Math.min(...inside)).toBeCloseTo(-1, 12);
      expect(Math.max(...inside)).toBeCloseTo(1, 12);
    }
  });

  it("clips to the trace and leaves out what is no number", () => {
    const t = sampled((x) => x, undefined, 1, 10);
    expect(extremes(t, 2, 3, 10).time.length).toBe(0);
    expect(extremes(t, 0.5, 3, 10).time[0]).toBe(0.5);
    expect(extremes(t, 1, 0, 10).time.length).toBe(0);
    const holed = make([0, 1, 2], [0, Number.NaN, 1]);
    expect([...extremes(holed, 0, 2, 10).value].every(Number.isFinite)).toBe(true);
  });
});
