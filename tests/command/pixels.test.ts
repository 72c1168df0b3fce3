// A PNG beside the design as the picture that the camera sees.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { encode } from "fast-png";
import { afterAll, describe, expect, it } from "vitest";
import { readSource } from "../../src/command/input.js";
import { luminance } from "../../src/command/pixels.js";
import { compile, simulate } from "../../src/index.js";

const place = mkdtempSync(join(tmpdir(), "rampwright-"));
afterAll(() => rmSync(place, { recursive: true }));

describe("luminance of a PNG (weights of ITU-R BT.601, 2.5.1)", () => {
  const of = (channels: number, data: number[], depth: 8 | 16 = 8) =>
    Array.from(
      luminance(
        encode({
          width: data.length / channels,
          height: 1,
          channels,
          depth,
          data: depth === 8 ? Uint8Array.from(data) : Uint16Array.from(data),
        }),
      )!.data,
    );
  it("of grey, with and without transparency, of 8 and of 16 bits", () => {
    const near = (values: number[]) => values.map((v) => expect.closeTo(v, 12));
    expect(of(1, [0, 51, 255])).toEqual(near([0, 0.2, 1]));
    expect(of(2, [255, 255, 255, 51])).toEqual(near([1, 0.2]));
    expect(of(1, [0, 13107, 65535], 16)).toEqual(near([0, 0.2, 1]));
  });
  it("of colours", () => {
    const [red, green, blue, white] = of(3, [255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255]);
    expect([red, green, blue]).toEqual([0.299, 0.587, 0.114]);
    expect(white).toBeCloseTo(1, 12);
  });
  it("is nothing where the bytes are no PNG", () => {
    expect(luminance(new Uint8Array(3))).toBeUndefined();
    expect(luminance(new TextEncoder().encode("no picture"))).toBeUndefined();
  });
});

describe("a picture named in the design", () => {
  writeFileSync(
    join(place, "robin.png"),
    encode({ width: 2, height: 1, channels: 1, data: Uint8Array.from([0, 255]) }),
  );
  const text =
    'signal camera = video of 625/50, picture "robin.png"\nresistor load camera -> ground 75 ohm\n';
  writeFileSync(join(place, "nest.ramp"), text);
  it("is what the camera sends: black on the left, white on the right", () => {
    const { pictures } = readSource(join(place, "nest.ramp"));
    const camera = simulate(compile(text, { pictures }), { until: "3 ms" }).trace("camera");
    // Line 41 is active; its picture lasts from 10.5 to 62.5 µs after 0H (ITU-R BT.1700, table 2).
    expect(camera.at(40 * 64e-6 + 20e-6)).toBeCloseTo(0, 9);
    expect(camera.at(40 * 64e-6 + 50e-6)).toBeCloseTo(0.7, 9);
  });
  it("is not looked for outside the folder, and what is none has a diagnostic", () => {
    const { pictures } = readSource(join(place, "nest.ramp"));
    expect(pictures("../robin.png")).toBeUndefined();
    expect(pictures("nest.ramp")).toBeUndefined();
    expect(() => compile(text.replace("robin", "wren"), { pictures })).toThrow(/no picture "wren\.png"/);
  });
});
