// The light of every pixel against the integral that defines it, done by brute force: the bell over a pixel's area, summed
// over instants so close that the beam moves by a small part of its spot.
import { expect, test } from "vitest";
import { drawn } from "../../src/tube/raster.js";
import type { Screen } from "../../src/tube/screen.js";
import { crosshatch, curve, middle, points, pulses, screenOf } from "./making.js";

/** Φ by Abramowitz & Stegun, "Handbook of Mathematical Functions" (1964), 7.1.26: right to 1.5e-7. */
function below(z: number): number {
  const x = Math.abs(z) / Math.SQRT2;
  const t = 1 / (1 + 0.3275911 * x);
  const sum =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const half = (1 - sum * Math.exp(-x * x)) / 2;
  return z < 0 ? 0.5 - half : 0.5 + half;
}

/** The integral over the time shown, each pixel by itself; seconds of a full beam. */
function integral(s: Screen, width: number, height: number, step: number): Float64Array {
  const light = new Float64Array(width * height);
  const [left, top] = [new Float64Array(width), new Float64Array(height)];
  // A Gaussian is half as high √(2 ln 2) standard deviations beside its middle, on either side.
  const across = (s.spot * width) / s.aspect / (2 * Math.sqrt(2 * Math.log(2)));
  const down = (s.spot * height) / (2 * Math.sqrt(2 * Math.log(2)));
  const shares = (to: Float64Array, at: number, deviation: number) => {
    const first = Math.max(0, Math.floor(at - 6 * deviation));
    const last = Math.min(to.length, Math.ceil(at + 6 * deviation));
    for (let i = first; i < last; i++) to[i] = below((i + 1 - at) / deviation) - below((i - at) / deviation);
    return [first, last] as const;
  };
  const middles = (to: number) => to + step / 2;
  const count = Math.floor((s.to - s.from) / step);
  const end = s.from + (count - 1) * step;
  const [xs, ys, gs] = [s.across, s.down, s.drive!].map((t) =>
    t.resample(step, middles(s.from), middles(end)),
  );
  for (let k = 0; k < count; k++) {
    const drive = (gs[k] - s.cutoff) / (s.full - s.cutoff);
    if (!(drive > 0)) continue;
    const [i0, i1] = shares(left, ((xs[k] - s.left) / (s.right - s.left)) * width, across);
    const [j0, j1] = shares(top, ((ys[k] - s.top) / (s.bottom - s.top)) * height, down);
    const amount = drive ** s.gamma * step;
    for (let j = j0; j < j1; j++)
      for (let i = i0; i < i1; i++) light[j * width + i] += amount * top[j] * left[i];
  }
  return light;
}

/** The largest difference of any pixel, as a share of the brightest; the scale of white is taken as the picture has it. */
function worst(s: Screen, width: number, height: number, step: number): number {
  const image = drawn(s, width, height);
  const wanted = integral(s, width, height, step);
  const brightest = wanted.reduce((a, b) => Math.max(a, b), 0);
  const scale = middle(image).sum / wanted.reduce((a, b) => a + b, 0);
  let most = 0;
  wanted.forEach((l, i) => {
    most = Math.max(most, Math.abs(image.light[i] / scale - l));
  });
  return most / brightest;
}

// The lines of a crosshatch from 3 ms on, in a field of 288 of them: the height shown is that of the lines.
const [from, to] = [3e-3, 3e-3 + 24 * 64e-6];
const hatch = crosshatch(1);
const high = { top: hatch.down.at(from), bottom: hatch.down.at(to) };

test.each([
  ["lines", { from, to, spot: 0.02, ...high }, 192, 48],
  ["lines, larger than life", { from, to, spot: 0.08, ...high }, 160, 40],
  ["lines the other way round", { from, to, spot: 0.02, left: 1, right: 0, ...high }, 192, 48],
])("a crosshatch of %s is the integral, to 5e-4 of white", (_, more, width, height) => {
  expect(worst(screenOf(hatch, { gamma: 2.2, ...more }), width, height, 2e-9)).toBeLessThan(5e-4);
});

test("so is one whose lines stand upright", () => {
  const turned = { across: hatch.down, down: hatch.across, drive: hatch.drive };
  const s = screenOf(turned, { from, to, spot: 0.02, left: high.top, right: high.bottom, gamma: 2.2 });
  expect(worst(s, 48, 96, 2e-9)).toBeLessThan(5e-4);
});

test("so is a way that turns: circles at a third of their spots' distance", () => {
  const turn = (phase: number, swing: number) =>
    curve(
      1e-3,
      240,
      (t) => 0.5 + swing * (1 - 400 * t) * Math.cos(2 * Math.PI * 5e3 * t + phase),
      (t) =>
        -400 * swing * Math.cos(2 * Math.PI * 5e3 * t + phase) -
        swing * (1 - 400 * t) * 2 * Math.PI * 5e3 * Math.sin(2 * Math.PI * 5e3 * t + phase),
    );
  const drive = points([
    [0, -0.2],
    [0.3e-3, 1],
    [0.7e-3, 0.4],
    [0.7e-3, 1],
    [1e-3, 0.9],
  ]);
  const s = screenOf(
    { across: turn(0, 0.45), down: turn(Math.PI / 2, 0.45), drive },
    { spot: 0.03, gamma: 1 },
  );
  expect(worst(s, 80, 60, 2e-8)).toBeLessThan(1e-3);
});

test("so is a zigzag that slowly leaves the level, and a beam that rests on the way", () => {
  const zigzag = points([
    [0, 0.1],
    [0.2e-3, 0.9],
    [0.3e-3, 0.9],
    [0.5e-3, 0.1],
    [1e-3, 0.9],
  ]);
  const down = points([
    [0, 0.3],
    [0.2e-3, 0.31],
    [0.3e-3, 0.5],
    [0.5e-3, 0.5],
    [1e-3, 0.8],
  ]);
  const s = screenOf({ across: zigzag, down, drive: pulses([[0.05e-3, 0.8e-3]], 1e-3) }, { spot: 0.02 });
  expect(worst(s, 120, 90, 2e-8)).toBeLessThan(1e-3);
});
