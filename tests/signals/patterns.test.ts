// What the camera sees, read back from the wave: where edges lie in the line and how steep they are, which rows a
// thing covers, whether a circle is round, and what is refused.
import { describe, expect, test } from "vitest";
import { ratio, toNumber } from "../../src/base/fraction.js";
import type { TestPattern } from "../../src/signals/patterns.js";
import { rates, type VideoSystem } from "../../src/signals/sync.js";
import { video } from "../../src/signals/video.js";
import { levelRange, ShapeError } from "../../src/signals/wave.js";
import { book, number, Scope } from "./scope.js";

// Rows of the picture, both fields: lines 21 to 263 and 283 to 525 of 525 lines (half lines 263 and 283 included);
// 23 to 310 and 336 to 623 of 625 (23 and 623 half). SMPTE 170M figure 7, ITU-R BT.1700 figure 3.
const rows = { "525/59.94": 486, "525/60": 486, "625/50": 576 };
const topRow = { "525/59.94": [283, 21], "525/60": [283, 21], "625/50": [23, 336] };

class Picture {
  readonly scope: Scope;
  readonly from: number;
  readonly to: number;
  readonly line: number;
  readonly white: number;

  constructor(
    readonly system: VideoSystem,
    pattern: TestPattern,
  ) {
    this.scope = new Scope(video({ system, pattern, setup: "0" }));
    const said = book.systems[system];
    this.white = number(said.levels_mV.white) / 1000;
    this.line = toNumber(rates(system).line);
    this.from = number(said.blankingEnd) * 1e-6;
    this.to = this.line - number(said.frontPorch) * 1e-6;
  }

  /** Line, from 0, of a row: rows of the two fields in turn from the top. */
  lineOf(row: number): number {
    return topRow[this.system][row % 2] - 1 + (row >> 1);
  }

  /** Luminance at a place of the picture: row, and share of the width. */
  at(row: number, x: number): number {
    const t = this.lineOf(row) * this.line + this.from + (this.to - this.from) * x;
    return this.scope.at(t) / this.white;
  }

  /** Shares of the width at which the luminance of a row crosses a level, between the blanking edges. */
  cuts(row: number, level = 0.5): { x: number; up: boolean }[] {
    const ticks = (t: number) => Math.round(t / this.scope.seconds);
    const start = this.lineOf(row) * this.line;
    const inner = 0.3e-6;
    const found = this.scope.crossings(
      level * this.white,
      ticks(start + this.from + inner),
      ticks(start + this.to - inner),
    );
    return found.map(({ at, up }) => ({
      x: (at * this.scope.seconds - start - this.from) / (this.to - this.from),
      up,
    }));
  }
}

describe.each(["525/59.94", "625/50"] as const)("%s", (system) => {
  const active = system === "625/50" ? 52 : 572 / 9 - 10.7;

  test("bars: a staircase of even steps and even widths, with edges of the system's bandwidth", () => {
    const picture = new Picture(system, { kind: "bars" });
    for (const row of [1, 100, 401]) {
      for (let i = 0; i < 8; i++) expect(picture.at(row, (i + 0.5) / 8)).toBeCloseTo(1 - i / 7, 12);
    }
    // Half way between two steps of the staircase, at an eighth of the width each.
    for (let i = 1; i < 8; i++) {
      const [cut] = picture.cuts(50, 1 - (i - 0.5) / 7);
      expect(cut.x).toBeCloseTo(i / 8, 4);
      // 10 to 90 % of a step in 0.35/bandwidth (common practice, no source): 4.2 and 5 MHz.
      const [a, b] = [0.1, 0.9].map((share) => picture.cuts(50, 1 - (i - 1 + share) / 7)[0].x);
      expect(Math.abs(b - a) * active * 1000).toBeCloseTo(system === "625/50" ? 70 : 83.33, 0);
    }
  });

  test("ramp and flat", () => {
    const ramp = new Picture(system, { kind: "ramp" });
    for (const x of [0.1, 0.25, 0.5, 0.9]) expect(ramp.at(33, x)).toBeCloseTo(x, 4);
    expect(new Picture(system, { kind: "flat", level: 0.3 }).at(200, 0.4)).toBeCloseTo(0.3, 12);
  });

  test("crosshatch: lines where they belong, and a circle that is round", () => {
    const [across, down] = [6, 4];
    const plain = new Picture(system, { kind: "crosshatch", across, down, circle: false });
    const at = plain.cuts(10);
    expect(at.length).toBe(2 * across);
    for (let i = 0; i < across; i++) {
      expect((at[2 * i].x + at[2 * i + 1].x) / 2).toBeCloseTo((i + 0.5) / across, 4);
    }
    const bright = Array.from({ length: rows[system] }, (_, row) => row).filter(
      // Half lines at the top and bottom show no more than half of the width.
      (row) => row > 0 && row < rows[system] - 1 && plain.at(row, 1 / across) > 0.5,
    );
    expect(bright.length).toBe(2 * down);
    for (let i = 0; i < down; i++) {
      const middle = (bright[2 * i] + bright[2 * i + 1] + 1) / 2;
      expect(Math.abs(middle - (rows[system] * (i + 0.5)) / down)).toBeLessThanOrEqual(0.5);
    }
    // One upright line, in the middle, so that the circle's outline stands free.
    const round = new Picture(system, { kind: "crosshatch", across: 1, down: 1 });
    let [top, bottom] = [rows[system], 0];
    for (let row = 1; row < rows[system] - 1; row++) {
      const cuts = round.cuts(row);
      if (cuts.length < 6) continue;
      top = Math.min(top, row);
      bottom = Math.max(bottom, row);
      // Outline against x² + y² = r², with a picture of 4 by 3; r is 0.45 of the height.
      const y = (row + 0.5) / rows[system] - 0.5;
      const [left, right] = [(cuts[0].x + cuts[1].x) / 2 - 0.5, (cuts.at(-1)!.x + cuts.at(-2)!.x) / 2 - 0.5];
      expect(left + right).toBeCloseTo(0, 4);
      if (Math.abs(y) > 0.4) continue;
      expect(Math.sqrt((right * (4 / 3)) ** 2 + y ** 2)).toBeCloseTo(0.45, 2);
    }
    expect((bottom - top + 1) / rows[system]).toBeCloseTo(0.9, 1);
  });

  test("pixels: each where it belongs, in both fields", () => {
    const [width, height] = [5, 3];
    const data = Float64Array.from({ length: 15 }, (_, i) => ((i * 7) % 15) / 14);
    const picture = new Picture(system, { kind: "pixels", width, height, data });
    for (let row = 1; row < rows[system] - 1; row += 5) {
      const y = Math.floor(((row + 0.5) * height) / rows[system]);
      for (let x = 0; x < width; x++) {
        expect(picture.at(row, (x + 0.5) / width)).toBeCloseTo(data[y * width + x], 12);
      }
    }
    const bytes = new Picture(system, { kind: "pixels", width: 2, height: 1, data: Uint8Array.of(255, 51) });
    expect([bytes.at(9, 0.2), bytes.at(9, 0.8)]).toEqual([1, expect.closeTo(0.2, 12)]);
  });

  test("pixels finer than an edge run from middle to middle", () => {
    const width = 1200;
    const data = Float64Array.from({ length: width }, (_, i) => ((i * 5) % 8) / 7);
    const picture = new Picture(system, { kind: "pixels", width, height: 1, data });
    for (let i = 20; i < 1100; i += 77) {
      expect(picture.at(44, (i + 0.5) / width)).toBeCloseTo(data[i], 1);
      expect(picture.at(44, (i + 1) / width)).toBeCloseTo((data[i] + data[i + 1]) / 2, 1);
    }
  });

  test("bounce: so many frames dark, so many bright", () => {
    const scope = new Scope(video({ system, setup: "0", pattern: { kind: "bounce", frames: 3, to: 0.5 } }));
    const { line, linesAFrame } = rates(system);
    const white = levelRange(video({ system, pattern: { kind: "white" } })).high;
    const seen = Array.from({ length: 9 }, (_, frame) => {
      return scope.at(line.mul(linesAFrame * frame + 100).add(ratio(30, 1e6))) / white;
    });
    expect(seen).toEqual([0, 0, 0, 0.5, 0.5, 0.5, 0, 0, 0].map((x) => expect.closeTo(x, 12)));
  });
});

test("a crosshatch frame stays within 100 megabytes, its corners in a few", () => {
  const { shape } = video({ system: "625/50", pattern: { kind: "crosshatch" } });
  if (shape.kind !== "packed") throw new Error("not packed");
  expect(shape.times.byteLength + shape.values.byteLength).toBeLessThan(100e6);
  // In order, apart, within the length.
  expect(shape.times.every((t, i) => i === 0 || t > shape.times[i - 1])).toBe(true);
  expect(shape.times[0]).toBeGreaterThanOrEqual(0);
  expect(shape.times.at(-1)).toBeLessThan(shape.length);
});

const two = Float64Array.of(0, 1);
test.each<[string, TestPattern]>([
  ["pixels-empty", { kind: "pixels", width: 0, height: 0, data: new Float64Array(0) }],
  ["pixels-size", { kind: "pixels", width: 2, height: 2, data: two }],
  ["pixels-size", { kind: "pixels", width: -2, height: -1, data: two }],
  ["pixels-size", { kind: "pixels", width: 0.5, height: 4, data: two }],
  ["pixels-not-finite", { kind: "pixels", width: 2, height: 1, data: Float64Array.of(0, Number.NaN) }],
  ["pixels-not-finite", { kind: "pixels", width: 2, height: 1, data: Float64Array.of(0, Infinity) }],
  ["pixels-range", { kind: "pixels", width: 2, height: 1, data: Float64Array.of(0, 1.5) }],
  ["level-range", { kind: "flat", level: 1.01 }],
  ["level-range", { kind: "flat", level: Number.NaN }],
  ["level-range", { kind: "bounce", frames: 1, to: -1 }],
  ["no-count", { kind: "bounce", frames: 0 }],
  ["no-count", { kind: "bars", count: 2.5 }],
  ["no-count", { kind: "crosshatch", across: 0 }],
])("refuses: %s", (code, pattern) => {
  let caught: unknown;
  try {
    video({ system: "625/50", pattern });
  } catch (error) {
    caught = error;
  }
  expect(caught).toBeInstanceOf(ShapeError);
  expect((caught as ShapeError).code).toBe(code);
});
