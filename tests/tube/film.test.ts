// Fields one after the other, and what goes wrong with sweeps, each by a closed form.
import { decode, decodeApng } from "fast-png";
import { describe, expect, test } from "vitest";
import { animated, compile, DesignError, type FilmOptions, film, simulate, strip } from "../../src/index.js";
import { drawn } from "../../src/tube/raster.js";
import { curve, middle, points, pulses, screenOf } from "./making.js";

// A bar 1 ms high that comes every 20 ms, as in a picture of 50 fields; a field sweep that has lost it and takes 21 ms.
const rolling = compile(`
signal lines = path 0 V at 10.5 us, 4 V at 62.5 us, 0 V at 64 us, every 64 us
signal fields = path 0 V at 1 ms, 4 V at 20 ms, 0 V at 21 ms, every 21 ms
signal camera = pulse 0 V to 0.7 V, wide 1 ms, first 14 ms, every 20 ms
tube screen camera -> ground across lines, down fields, left 0 V, right 4 V, top 0 V, bottom 4 V, full 0.7 V
case "dark" camera scaled 0
`);
const run = simulate(rolling, { until: "110 ms" });
const shown = (options: Partial<FilmOptions> = {}) =>
  film(run, { fields: 4, width: 40, height: 190, ...options });

describe("a film", () => {
  test("of a picture that rolls: each field has it higher by what the sweep is late", () => {
    const { frames } = shown();
    expect(frames).toHaveLength(4);
    const places = frames.map(
      ({ grey }) => middle({ ...shown(), light: Float64Array.from(grey) } as never).y,
    );
    // 1 ms of the 19 ms in which the beam goes down 190 rows; to a twentieth of a row, as grey is not light at the edges.
    for (let k = 1; k < 4; k++) expect(places[k - 1] - places[k]).toBeCloseTo(10, 1);
    for (let k = 1; k < 4; k++) expect(frames[k].from).toBeCloseTo(frames[k - 1].to, 12);
    expect(frames[3].to - frames[3].from).toBeCloseTo(21e-3, 9);
  });

  test("is as long as there are whole fields, and says which are dark", () => {
    // The sweep is half way back at 20.5 ms, and 21 ms later again.
    const ends = (options: Partial<FilmOptions>) =>
      shown(options).frames.map(({ to }) => Number((to * 1e3).toFixed(6)));
    expect(ends({ fields: 200 })).toEqual([41.5, 62.5, 83.5, 104.5]);
    expect(ends({ fields: 2, to: "70 ms" })).toEqual([41.5, 62.5]);
    const dark = film(simulate(rolling, { until: "110 ms", case: "dark" }), { fields: 2 });
    expect(dark.frames.map((frame) => frame.dark)).toEqual(["cutoff", "cutoff"]);
  });

  test("as a strip has its fields beside each other, four a row", () => {
    const reel = film(simulate(rolling, { until: "130 ms" }), { fields: 5, width: 40, height: 190 });
    const { width, height, data } = decode(strip(reel));
    expect([width, height]).toEqual([4 * 40 + 3 * 4, 2 * 190 + 4]);
    const { frames } = reel;
    const at = (x: number, y: number) => data[y * width + x];
    for (const y of [0, 100, 189]) {
      expect(at(2 * 44 + 20, y)).toBe(frames[2].grey[y * 40 + 20]);
      expect(at(20, 194 + y)).toBe(frames[4].grey[y * 40 + 20]);
    }
  });

  test("as an animated PNG is read back by a library, field by field, each as long as it lasted", () => {
    const reel = shown();
    const read = decodeApng(animated(reel));
    expect([read.width, read.height, read.numberOfFrames]).toEqual([40, 190, 4]);
    read.frames.forEach((frame, k) => {
      expect(Uint8Array.from(frame.data)).toEqual(reel.frames[k].grey);
      expect(frame.delayNumber / frame.delayDenominator).toBeCloseTo(0.021, 6);
    });
    // Who knows nothing of films sees the first field.
    expect(Uint8Array.from(decode(animated(reel)).data)).toEqual(reel.frames[0].grey);
  });

  test.each<[Partial<FilmOptions>, RegExp]>([
    [{ fields: 0 }, /^fields: /],
    [{ fields: 1.5 }, /^fields: /],
    [{ fields: 201 }, /^fields: /],
    [{ to: "10 ms" }, /^fields: .*no whole field/],
    [{ from: "200 ms" }, /^from: /],
    [{ width: 5000, height: 5000 }, /^width: 4 times/],
  ])("%j is refused", (options, expected) => {
    let said = "";
    try {
      shown(options);
    } catch (error) {
      said = (error as DesignError).diagnostics[0].message;
      expect(error).toBeInstanceOf(DesignError);
    }
    expect(said).toMatch(expected);
  });
});

describe("brightness", () => {
  const steady = points([
    [0, 0.5],
    [1e-3, 0.5],
  ]);
  const lit = pulses([[0, 1e-3]], 1e-3);
  const column = (image: ReturnType<typeof drawn>, x: number) => middle(image, { left: x, right: x + 1 }).sum;

  test("goes by one over the beam's speed where the sweep is bent", () => {
    // v = V (1 − e^(−t/RC)): the speed at v is (V − v)/RC. From 0 to 1 in 1 ms, with RC = 1 ms, V = 1/(1 − 1/e).
    const end = 1 / (1 - Math.exp(-1));
    const across = curve(
      1e-3,
      200,
      (t) => end * (1 - Math.exp(-t / 1e-3)),
      (t) => (end / 1e-3) * Math.exp(-t / 1e-3),
    );
    const image = drawn(screenOf({ across, down: steady, drive: lit }, { spot: 0.003 }), 400, 50);
    for (const x of [40, 120, 280, 360]) {
      const expected = (end - 200.5 / 400) / (end - (x + 0.5) / 400);
      expect(column(image, x) / column(image, 200)).toBeCloseTo(expected, 3);
    }
  });

  test("of a sweep that folds over is that of both ways together", () => {
    // There to the right edge in 0.8 ms, back over the last 0.3 of the width in 0.2 ms: 1/v is 0.8 and 0.2/0.3 ms a width.
    const across = points([
      [0, 0],
      [0.8e-3, 1],
      [1e-3, 0.7],
    ]);
    const image = drawn(screenOf({ across, down: steady, drive: lit }, { spot: 0.003 }), 400, 50);
    for (const x of [300, 340, 380])
      expect(column(image, x) / column(image, 100)).toBeCloseTo((0.8 + 0.2 / 0.3) / 0.8, 5);
  });
});
