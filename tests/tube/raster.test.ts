// What the beam leaves on the screen, against closed forms of two ideal sweeps and a drive.
import { describe, expect, test } from "vitest";
import { drawn } from "../../src/tube/raster.js";
import { curve, middle, points, pulses, sawtooth, screenOf } from "./making.js";

// ITU-R BT.470-6: lines of 64 µs; the active 52 µs and 18.4 ms of BT.1700, the rest for the way back.
const line = 64e-6;
const active = 52e-6;

describe("where the light falls", () => {
  test("a pulse at t after the start of each line is an upright line at t / active of the width", () => {
    const lines = 40;
    const to = lines * line;
    const across = sawtooth(active, line, to);
    const down = points([
      [0, 0],
      [to, 1],
    ]);
    for (const at of [5.2e-6, 13e-6, 26e-6, 39.1e-6, 46.6e-6]) {
      const spans = Array.from({ length: lines }, (_, k): [number, number] => [
        k * line + at - 50e-9,
        k * line + at + 50e-9,
      ]);
      const image = drawn(screenOf({ across, down, drive: pulses(spans, to) }), 768, 576);
      // All of the column of pixels, from top to bottom.
      for (const [top, bottom] of [
        [40, 280],
        [300, 540],
      ]) {
        expect(middle(image, { top, bottom }).x).toBeCloseTo((768 * at) / active, 3);
      }
    }
  });

  test("a drive that rises while the beam moves: the middle of its light is two thirds of the way", () => {
    // Light in proportion to time: the centroid of a triangle.
    const across = points([
      [0, 0.2],
      [1e-3, 0.8],
    ]);
    const drive = points([
      [0, 0],
      [1e-3, 1],
    ]);
    const down = points([
      [0, 0.5],
      [1e-3, 0.5],
    ]);
    const image = drawn(screenOf({ across, down, drive }), 600, 100);
    expect(middle(image).x).toBeCloseTo(600 * (0.2 + (0.6 * 2) / 3), 3);
  });

  test("between samples the beam follows the trace's own curve", () => {
    // A parabola in two samples with its slopes: half of the time is a quarter of the way.
    const across = curve(
      1e-3,
      1,
      (t) => 0.8 * (t / 1e-3) ** 2,
      (t) => (1.6 * t) / 1e-6,
    );
    const down = points([
      [0, 0.5],
      [1e-3, 0.5],
    ]);
    const image = drawn(screenOf({ across, down, drive: pulses([[499e-6, 501e-6]], 1e-3) }), 1000, 100);
    expect(middle(image).x).toBeCloseTo(1000 * 0.8 * 0.25, 2);
  });

  test("edges that are swapped mirror the picture", () => {
    const to = 1e-3;
    const across = points([
      [0, 0],
      [to, 1],
    ]);
    const screen = screenOf({ across, down: across, drive: pulses([[0.2e-3, 0.21e-3]], to) });
    const plain = middle(drawn(screen, 400, 300));
    const other = middle(drawn({ ...screen, left: 1, right: 0, top: 1, bottom: 0 }, 400, 300));
    expect(other.x).toBeCloseTo(400 - plain.x, 6);
    expect(other.y).toBeCloseTo(300 - plain.y, 6);
  });

  test("a jump takes no time and leaves no light", () => {
    const across = points([
      [0, 0.2],
      [1e-3, 0.2],
      [1e-3, 0.8],
      [2e-3, 0.8],
    ]);
    const steady = points([
      [0, 0.5],
      [2e-3, 0.5],
    ]);
    const drive = pulses([[0, 2e-3]], 2e-3);
    const image = drawn(screenOf({ across, down: steady, drive }), 400, 300);
    expect(middle(image, { left: 100, right: 300 }).sum).toBe(0);
    expect(middle(image, { right: 100 }).sum).toBeCloseTo(middle(image, { left: 300 }).sum, 9);
  });
});

describe("the spot", () => {
  const still = points([
    [0, 0.5],
    [1, 0.5],
  ]);
  const drive = pulses([[0, 1]], 1);

  // A Gaussian of standard deviation d is half as high at d √(2 ln 2) beside its middle.
  test.each([
    [0.02, 4 / 3, 800, 600],
    [0.05, 4 / 3, 400, 300],
    [0.05, 1, 300, 300],
    [0.05, 4 / 3, 300, 300],
  ])(
    "of %f of the height is a Gaussian, seen on a screen of %f in %i by %i pixels",
    (spot, aspect, width, height) => {
      // The middle of a pixel, so that distances from it are whole pixels.
      const centre = (of: number) => (Math.floor(of / 2) + 0.5) / of;
      const across = points([
        [0, centre(width)],
        [1, centre(width)],
      ]);
      const down = points([
        [0, centre(height)],
        [1, centre(height)],
      ]);
      const { light } = drawn(screenOf({ across, down, drive }, { spot, aspect }), width, height);
      const deviation = (spot * height) / (2 * Math.sqrt(2 * Math.log(2)));
      const sideways = (deviation * (width / height)) / aspect;
      const [i, j] = [Math.floor(width / 2), Math.floor(height / 2)];
      // Light on a pixel is the bell's integral over it; to second order that is its height times 1 + h²/24 · f''/f.
      const on = (k: number, d: number) =>
        Math.exp((-k * k) / (2 * d * d)) * (1 + ((k * k) / (d * d) - 1) / (24 * d * d));
      const top = light[j * width + i];
      for (const k of [1, 2, 3, 5, 8]) {
        expect(light[j * width + i + k] / top).toBeCloseTo(on(k, sideways) / on(0, sideways), 3);
        expect(light[(j - k) * width + i] / top).toBeCloseTo(on(k, deviation) / on(0, deviation), 3);
      }
    },
  );

  test("keeps its light however small it is", () => {
    const sums = [0, 1e-6, 0.001, 0.01, 0.1].map((spot) => {
      const image = drawn(screenOf({ across: still, down: still, drive }, { spot }), 64, 48);
      return middle(image).sum;
    });
    // A still beam has no pace: white is one second over all pixels, and this beam was there for one second.
    for (const sum of sums) expect(sum).toBeCloseTo(64 * 48, 6);
  });
});

describe("how much light", () => {
  const to = 1e-3;
  const sweep = points([
    [0, 0],
    [to, 1],
  ]);
  const total = (light: Float64Array) => light.reduce((a, b) => a + b, 0);

  // White is (time shown)/(pixels) here, as both sweeps fill the screen evenly; so the sum over all pixels is
  // pixels · ∫ light dt / (time shown).
  test.each([
    [
      "a constant drive",
      [
        [0.2, 1],
        [0.8, 1],
      ],
      1,
      0.6,
    ],
    [
      "a drive that rises: ∫ u^2.2 du = 1/3.2",
      [
        [0.2, 0],
        [0.8, 1],
      ],
      2.2,
      0.6 / 3.2,
    ],
    [
      "half a drive, squared",
      [
        [0.2, 0.5],
        [0.8, 0.5],
      ],
      2,
      0.6 / 4,
    ],
    [
      "more than full is more than white",
      [
        [0.2, 2],
        [0.8, 2],
      ],
      2,
      0.6 * 4,
    ],
    [
      "from below cut-off",
      [
        [0.2, -1],
        [0.8, 1],
      ],
      1,
      0.3 / 2,
    ],
  ] as const)("is the integral of the drive: %s", (_, [[t0, v0], [t1, v1]], gamma, expected) => {
    const drive = points([
      [0, -1],
      [t0 * to, -1],
      [t0 * to, v0],
      [t1 * to, v1],
      [t1 * to, -1],
      [to, -1],
    ]);
    const image = drawn(screenOf({ across: sweep, down: sweep, drive }, { gamma }), 80, 60);
    expect(total(image.light) / (80 * 60)).toBeCloseTo(expected, 5);
  });

  // Many lines, so that the picture is even: a flat field of light ((v − cutoff)/(full − cutoff))^gamma.
  test.each([
    [1, 0, 1, 2.2],
    [0.5, 0, 1, 2.2],
    [0.7, 0.2, 1, 2.8],
    [0.7, 0.2, 1.2, 1],
    [-1, 2, -2, 2.2], // cathode drive: less is brighter
    [0.2, 0.2, 1, 2.2],
    [0.1, 0.2, 1, 2.2],
  ])("drive %f, dark at %f, white at %f, gamma %f", (v, cutoff, full, gamma) => {
    const lines = 288;
    const end = lines * line;
    // Back in no time, so that every moment is one of the picture.
    const across = sawtooth(line * (1 - 1e-6), line, end);
    const down = points([
      [0, 0],
      [end, 1],
    ]);
    const drive = pulses([[0, end]], end, v);
    const { light } = drawn(screenOf({ across, down, drive }, { cutoff, full, gamma }), 160, 120);
    const share = Math.max(0, (v - cutoff) / (full - cutoff)) ** gamma;
    let worst = 0;
    for (let j = 10; j < 110; j++)
      for (let i = 10; i < 150; i++) worst = Math.max(worst, Math.abs(light[j * 160 + i] - share));
    expect(worst).toBeLessThan(2e-3);
  });

  test("a way back that is not blanked is seen, as much fainter as it is faster", () => {
    // There at a quarter of the height, back at three quarters.
    const across = points([
      [0, 0],
      [active, 1],
      [line, 0],
    ]);
    const down = points([
      [0, 0.25],
      [active, 0.25],
      [active, 0.75],
      [line, 0.75],
    ]);
    const image = drawn(screenOf({ across, down, drive: pulses([[0, line]], line) }), 400, 300);
    const inner = { left: 50, right: 350 };
    const there = middle(image, { ...inner, bottom: 150 });
    const back = middle(image, { ...inner, top: 150 });
    expect(back.sum / there.sum).toBeCloseTo(12 / 52, 5);
    expect(there.y).toBeCloseTo(75, 6);
    expect(back.y).toBeCloseTo(225, 6);
  });

  test("is white at full drive whichever number of frames is shown", () => {
    const lines = 200;
    for (const frames of [1, 3]) {
      const end = frames * lines * line;
      const image = drawn(
        screenOf({
          across: sawtooth(line * (1 - 1e-6), line, end),
          down: sawtooth(lines * line * (1 - 1e-6), lines * line, end),
          drive: pulses([[0, end]], end),
        }),
        120,
        90,
      );
      for (const [x, y] of [
        [20, 20],
        [60, 45],
        [100, 70],
      ]) {
        expect(image.light[y * 120 + x]).toBeCloseTo(1, 2);
        expect(image.grey[y * 120 + x]).toBeGreaterThanOrEqual(254);
      }
    }
  });

  test("is none without a drive, and none where a trace is not a number", () => {
    const dark = drawn(screenOf({ across: sweep, down: sweep }), 40, 30);
    expect(total(dark.light)).toBe(0);
    const drive = points([
      [0, Number.NaN],
      [to / 2, 0.5],
      [to, 0.5],
    ]);
    const half = drawn(screenOf({ across: sweep, down: sweep, drive }, { spot: 0.001 }), 40, 30);
    expect(middle(half, { right: 18 }).sum).toBe(0);
    expect(total(half.light)).toBeGreaterThan(0);
  });

  test("a beam that swings far beside the screen takes no more than its moments on it", () => {
    const wild = points(
      Array.from({ length: 2001 }, (_, i): [number, number] => [i * 1e-6, i % 2 ? 1e9 : -1e9]),
    );
    const down = points([
      [0, 0],
      [2e-3, 1],
    ]);
    const image = drawn(screenOf({ across: wild, down, drive: pulses([[0, 2e-3]], 2e-3) }), 400, 300);
    // There and back are equally fast: either way alone is white at its pace, and both together twice that.
    expect(image.light[150 * 400 + 200]).toBeCloseTo(2, 2);
  });
});
