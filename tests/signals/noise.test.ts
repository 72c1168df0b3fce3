// Noise: its stated size, its repeat, its band, and the published generator under it.
import { describe, expect, test } from "vitest";
import { ratio, toNumber } from "../../src/base/fraction.js";
import { noise, Random } from "../../src/signals/noise.js";
import { Player } from "../../src/signals/player.js";
import { ShapeError } from "../../src/signals/wave.js";

const spacing = ratio(1, 10_000_000);

function samples(seed: number, count: number, rms = ratio(1, 50)): Float64Array {
  const w = noise({ rms, spacing, seed, length: spacing.mul(count) });
  const player = new Player(w, spacing);
  return Float64Array.from({ length: count }, (_, n) => {
    return player.value(n, 1);
  });
}

test("the generator gives the published words", () => {
  // First outputs of Marsaglia's xor128 from its published start (Journal of Statistical Software 8(14)), from memory.
  const random = new Random(0);
  const words = Array.from({ length: 5 }, () => random.word());
  expect(words).toEqual([3701687786, 458299110, 2500872618, 3633119408, 516391518]);
});

describe("levels", () => {
  const count = 20_000;
  const x = samples(7, count);

  test("mean zero, root mean square of the whole wave as asked for", () => {
    // Ten points a stretch by Simpson's rule would be exact for a square; the closed form of a straight line:
    let [mean, square] = [0, 0];
    for (let i = 0; i < count; i++) {
      const [a, b] = [x[i], x[(i + 1) % count]];
      mean += (a + b) / 2 / count;
      square += (a * a + 4 * ((a + b) / 2) ** 2 + b * b) / 6 / count;
    }
    expect(mean).toBeCloseTo(0, 12);
    expect(Math.sqrt(square)).toBeCloseTo(0.02, 12);
  });

  test("nearly normal: 68.27 % within one and 95.45 % within two standard deviations of the levels", () => {
    // Levels of independent corners have √1.5 times the root mean square of the lines between them.
    const sigma = 0.02 * Math.sqrt(1.5);
    const within = (k: number) => x.filter((v) => Math.abs(v) < k * sigma).length / count;
    // Sampling error of a share p of 20 000: below 0.0033 for three standard deviations... four and a bit allowed.
    expect(Math.abs(within(1) - 0.6827)).toBeLessThan(0.015);
    expect(Math.abs(within(2) - 0.9545)).toBeLessThan(0.008);
  });

  test("neighbours and other seeds are independent", () => {
    const other = samples(8, count);
    const product = (shift: number, y: Float64Array) =>
      x.reduce((sum, v, i) => sum + v * y[(i + shift) % count], 0) / (count * 0.02 ** 2 * 1.5);
    // Correlation of independent levels: 0 within 4/√20000.
    for (const shift of [1, 2, 10]) expect(Math.abs(product(shift, x))).toBeLessThan(0.028);
    expect(Math.abs(product(0, other))).toBeLessThan(0.028);
  });

  test("same seed, same bits; it repeats after its length", () => {
    expect(samples(7, count)).toEqual(x);
    const player = new Player(
      noise({ rms: ratio(1, 50), spacing, seed: 7, length: spacing.mul(count) }),
      spacing,
    );
    expect(player.value(count * 5 + 3, 1)).toBe(x[3]);
  });
});

test("half the power at 0.32 of the inverse spacing: straight lines weigh a frequency by sinc²", () => {
  const f = 0.32;
  expect((Math.sin(Math.PI * f) / (Math.PI * f)) ** 4).toBeCloseTo(0.5, 2);
  // The wave itself: power at a frequency in the pass band against one at 0.32/spacing, over many seeds.
  const power = (x: Float64Array, cycles: number) => {
    let [a, b] = [0, 0];
    // Four values a spacing, so that what is seen is the line and not the corners alone.
    for (let i = 0; i < x.length * 4; i++) {
      const [k, part] = [i >> 2, (i & 3) / 4];
      const v = x[k] * (1 - part) + x[(k + 1) % x.length] * part;
      a += v * Math.cos((2 * Math.PI * cycles * i) / (4 * x.length));
      b += v * Math.sin((2 * Math.PI * cycles * i) / (4 * x.length));
    }
    return a * a + b * b;
  };
  let [low, edge] = [0, 0];
  for (let seed = 1; seed <= 400; seed++) {
    const x = samples(seed, 100);
    low += power(x, 2);
    edge += power(x, 32);
  }
  // Each is a mean of 400 squares with two degrees of freedom: 5 % standard error each.
  expect(edge / low).toBeGreaterThan(0.4);
  expect(edge / low).toBeLessThan(0.62);
});

test.each([
  ["no-length", { spacing, length: spacing, seed: 1 }],
  ["no-length", { spacing: ratio(0), length: spacing, seed: 1 }],
  ["no-count", { spacing, length: spacing.mul(9), seed: 0.5 }],
  ["too-many-corners", { spacing, length: ratio(1000), seed: 1 }],
])("refuses: %s", (code, of) => {
  let caught: unknown;
  try {
    noise({ rms: ratio(1), ...of });
  } catch (error) {
    caught = error;
  }
  expect(caught).toBeInstanceOf(ShapeError);
  expect((caught as ShapeError).code).toBe(code);
});

test("an amount of noise scales exactly", () => {
  const [a, b] = [samples(3, 64, ratio(1, 4)), samples(3, 64, ratio(1, 2))];
  expect(Array.from(b)).toEqual(Array.from(a, (v) => 2 * v));
  expect(toNumber(ratio(1, 2))).toBe(0.5);
});
