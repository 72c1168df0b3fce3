// A PNG beside the design as the picture that the camera sees.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { encode } from "fast-png";
import { afterAll, describe, expect, it } from "vitest";
import { resolvers } from "../../src/files/neighbours.js";
import { luminance, mostPixels } from "../../src/files/pixels.js";
import { compile, simulate } from "../../src/index.js";

const place = mkdtempSync(join(tmpdir(), "rampwright-"));
afterAll(() => rmSync(place, { recursive: true }));

const pixels = (bytes: Uint8Array) => {
  const found = luminance(bytes);
  if ("reason" in found) throw new Error(found.reason);
  return found;
};

describe("luminance of a PNG (weights of ITU-R BT.601, 2.5.1)", () => {
  const of = (channels: number, data: number[], depth: 8 | 16 = 8) =>
    Array.from(
      pixels(
        encode({
          width: data.length / channels,
          height: 1,
          channels,
          depth,
          data: depth === 8 ? Uint8Array.from(data) : Uint16Array.from(data),
        }),
      ).data,
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
  it("is refused with a reason where the bytes are no PNG, damaged, or unpack to too much", () => {
    const no = { reason: "it is no PNG file" };
    expect(luminance(new Uint8Array(3))).toEqual(no);
    expect(luminance(new TextEncoder().encode("no picture, and long enough for a head"))).toEqual(no);
    const good = encode({ width: 2, height: 1, channels: 1, data: Uint8Array.from([0, 255]) });
    expect(luminance(good.slice(0, -20))).toEqual({ reason: "its data is damaged" });
    // The head alone says how large it is (ISO/IEC 15948, 11.2.2: width and height, four bytes each).
    const sized = (width: number, height: number) => {
      const head = good.slice();
      new DataView(head.buffer).setUint32(16, width);
      new DataView(head.buffer).setUint32(20, height);
      return luminance(head);
    };
    expect(sized(mostPixels, 1)).not.toEqual({ reason: expect.stringContaining("are more than") });
    expect(sized(mostPixels + 1, 1)).toEqual({ reason: expect.stringContaining("are more than") });
    expect(sized(65535, 65535)).toEqual({ reason: expect.stringContaining("65535 x 65535 pixels") });
  });
  it("is refused where an index points beyond the palette", () => {
    const palette: [number, number, number][] = [[0, 0, 0]];
    const bytes = encode({
      width: 2,
      height: 1,
      channels: 1,
      depth: 8,
      data: Uint8Array.from([0, 9]),
      palette,
    });
    expect(luminance(bytes)).toEqual({ reason: "its data is damaged" });
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
    const { pictures } = resolvers(place, luminance);
    const camera = simulate(compile(text, { pictures }), { until: "3 ms" }).trace("camera");
    // Line 41 is active; its picture lasts from 10.5 to 62.5 µs after 0H (ITU-R BT.1700, table 2).
    expect(camera.at(40 * 64e-6 + 20e-6)).toBeCloseTo(0, 9);
    expect(camera.at(40 * 64e-6 + 50e-6)).toBeCloseTo(0.7, 9);
  });
  it("is not looked for outside the folder, and what is none has a diagnostic", () => {
    const { pictures } = resolvers(place, luminance);
    expect(pictures("../robin.png")).toBeUndefined();
    expect(pictures("nest.ramp")).toEqual({ reason: "it is no PNG file" });
    const wrong = text.replace("robin.png", "nest.ramp");
    expect(() => compile(wrong, { pictures })).toThrow(/"nest\.ramp" cannot be shown: it is no PNG file/);
    expect(() => compile(text.replace("robin", "wren"), { pictures })).toThrow(/no picture "wren\.png"/);
  });
});
