// Which time a picture shows, and how bright that is: never a part of a field laid over a whole one.
import { describe, expect, test } from "vitest";
import { caption, compile, type RasterOptions, raster, simulate } from "../../src/index.js";
import { middle } from "./making.js";

// Ideal sweeps of a 625-line picture (BT.1700): active 52 of 64 µs, and 18.388 of 20 ms from 1450.5 µs on.
const text = `
signal lines = path 0 V at 10.5 us, 4 V at 62.5 us, 0 V at 64 us, every 64 us
signal fields = path 0 V at 1450.5 us, 4 V at 19838.5 us, 0 V at 20 ms, every 20 ms
signal camera = video of 625/50, white
tube screen camera -> ground across lines, down fields, left 0 V, right 4 V, top 0 V, bottom 4 V, full 0.7 V
case "cut off" camera scaled 0
case "bottle broken" screen open
case "lines beside" lines scaled 0.1
case "field dead" fields scaled 0
`;
const design = compile(text);
const size = { width: 60, height: 45 };
const seen = (until: string, options: RasterOptions = {}, name = "") =>
  raster(simulate(design, { case: name, until }), { ...size, ...options });

describe("the time shown", () => {
  test.each<[string, RasterOptions, string]>([
    ["90 ms", {}, "39.92 ms to 79.92 ms, the last whole frame"],
    ["40 ms", {}, "0 s to 40 ms, the last whole frame"],
    ["25 ms", {}, "0 s to 20 ms, the last whole field"],
    ["4 ms", {}, "0 s to 4 ms, less than a field"],
    ["80 ms", { from: "10 ms" }, "10 ms to 80 ms"],
    ["80 ms", { to: "70 ms" }, "19.92 ms to 59.92 ms, the last whole frame"],
  ])("of a run of %s, asked for %j", (until, options, expected) => {
    expect(caption(seen(until, options))).toBe(expected);
  });

  test("is as bright at the top as below, in a run of a field and a quarter", () => {
    const image = seen("25 ms");
    const [top, below] = [
      [2, 9],
      [20, 40],
    ].map(
      ([from, to]) => middle(image, { left: 5, right: 55, top: from, bottom: to }).sum / (to - from) / 50,
    );
    expect(top / below).toBeCloseTo(1, 2);
    expect(below).toBeCloseTo(1, 1);
  });

  test("is exposed as a field is where it is less than one", () => {
    const image = seen("6 ms");
    const lit = middle(image, { left: 5, right: 55, top: 3, bottom: 9 }).sum / 6 / 50;
    // The height takes 18.388 ms of the 20 ms in which a field's light would be spread over it.
    expect(lit).toBeCloseTo(18.388 / 20, 1);
  });

  test.each([
    ["cut off", "dark, as the drive stays below cut-off"],
    ["bottle broken", "dark, as the tube is open"],
    [
      "lines beside",
      "the screen is dark, as wherever the beam is on, it stands beside the screen; its edges are drawn as a frame, and around it where the beam is",
    ],
  ])("where it is dark, says why: %s", (name, why) => {
    expect(caption(seen("25 ms", { left: "1 V" }, name))).toMatch(
      new RegExp(`, the last whole field: ${why}$`),
    );
  });

  test("of a dead field sweep is a field of the camera's, and its light is all on one line", () => {
    const image = seen("25 ms", { top: "-2 V", bottom: "2 V", spot: "5 %", height: 200 }, "field dead");
    expect(caption(image)).toBe("0 s to 20 ms, the last whole field");
    const row = (j: number) => middle(image, { left: 5, right: 55, top: j, bottom: j + 1 }).sum / 50;
    // A Gaussian of width w at half of its height is 2 √(ln 2/π)/w high; all the light of the height falls on it, in the
    // 287.5 of 312.5 lines that are active.
    const high = (2 * Math.sqrt(Math.log(2) / Math.PI)) / 0.05;
    expect((row(99) + row(100)) / 2 / (high * (287.5 / 312.5))).toBeCloseTo(1, 1);
    expect(row(40)).toBe(0);
  });

  // A ramp that begins a twentieth of the height above the screen, as ramps do that begin before the picture: where its sweep
  // is dead, all light is there.
  test("beside the screen is drawn around it, as far as the beam goes", () => {
    const wide = { top: "0.2 V", bottom: "4.2 V", width: 120, height: 90 };
    const image = seen("25 ms", wide, "field dead");
    expect(image.dark).toBe("beside");
    // The beam is a twentieth of the height beyond the edge, and some room is left around it.
    const around = image.around!;
    expect(around).toBeGreaterThan(0.05);
    expect(around).toBeLessThan(0.15);
    const rows = Array.from({ length: 90 }, (_, j) =>
      Math.max(...image.light.subarray(j * 120 + 20, j * 120 + 100)),
    );
    const at = (share: number) => ((share + around) / (1 + 2 * around)) * 90;
    const brightest = rows.indexOf(Math.max(...rows));
    expect(Math.abs(brightest + 0.5 - at(-0.05))).toBeLessThanOrEqual(1);
    // Nothing falls onto the screen, whose edges are a frame as fine as a pixel.
    const inside = rows.slice(Math.ceil(at(0)) + 1, Math.floor(at(1)));
    expect(Math.max(...inside)).toBeLessThan(1e-3);
    const column = Array.from({ length: 90 }, (_, j) => image.grey[j * 120 + 60]);
    const frame = column.flatMap((grey, j) => (grey === 96 ? [j] : []));
    expect(frame).toEqual([Math.round(at(0)), 89 - Math.round(at(0))]);
  });
});
