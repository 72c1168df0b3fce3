// PNG files of every sort that a drawing program, a bad disk or a hostile hand may leave: pixels, or one reason, and nothing else.
// The form of a file is that of ISO/IEC 15948 (chunks in 5.3, CRC in annex D, interlace in 8.2), written here by hand.
import { deflateSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { luminance } from "../../src/files/pixels.js";
import { Chance } from "../verify/chance.js";

/** CRC-32 as annex D has it. */
function crc(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) {
    c ^= byte;
    for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  }
  return ~c >>> 0;
}

function chunk(type: string, data: Uint8Array): Buffer {
  const out = Buffer.alloc(12 + data.length);
  out.writeUInt32BE(data.length, 0);
  out.write(type, 4, "latin1");
  out.set(data, 8);
  out.writeUInt32BE(crc(out.subarray(4, 8 + data.length)), 8 + data.length);
  return out;
}

interface Made {
  readonly width?: number;
  readonly height?: number;
  readonly depth?: number;
  readonly colour?: number;
  readonly interlace?: number;
  readonly palette?: number[];
  /** Rows with their filter bytes; many of them, as bytes. */
  readonly rows?: number[];
  readonly bytes?: Uint8Array;
}

/** A file of one grey pixel of 51 (a fifth of white), but for what is asked. */
function made(ask: Made = {}): Uint8Array {
  const { width = 1, height = 1, depth = 8, colour = 0, interlace = 0, palette, rows = [0, 51], bytes } = ask;
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([depth, colour, 0, 0, interlace], 8);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk("IHDR", head),
    ...(palette ? [chunk("PLTE", Uint8Array.from(palette))] : []),
    chunk("IDAT", deflateSync(bytes ?? Uint8Array.from(rows))),
    chunk("IEND", new Uint8Array(0)),
  ]);
}

/** Its pixels, to nine digits, or why there are none. */
const seen = (bytes: Uint8Array) => {
  const found = luminance(bytes);
  return "reason" in found ? found.reason : Array.from(found.data, (v) => Number(v.toFixed(9)));
};

describe("a PNG file", () => {
  it("plain, interlaced, of 16 bits, with a palette", () => {
    expect(seen(made())).toEqual([0.2]);
    // One pixel is the whole of the first of Adam7's seven passes.
    expect(seen(made({ interlace: 1 }))).toEqual([0.2]);
    expect(seen(made({ depth: 16, rows: [0, 51, 51] }))).toEqual([0.2]);
    expect(seen(made({ colour: 3, palette: [51, 51, 51], rows: [0, 0] }))).toEqual([0.2]);
  });
  it.each<[string, Uint8Array]>([
    ["no width", made({ width: 0, rows: [0] })],
    ["no height", made({ height: 0, rows: [] })],
    ["more rows than data", made({ height: 9 })],
    ["an index beyond its palette", made({ colour: 3, palette: [0, 0, 0], rows: [0, 7] })],
    ["a palette that is missing", made({ colour: 3, rows: [0, 0] })],
    ["a depth that there is not", made({ depth: 3 })],
    ["a sort of colour that there is not", made({ colour: 5 })],
    ["a way of interlacing that there is not", made({ interlace: 7 })],
    ["a filter that there is not", made({ rows: [9, 51] })],
    ["grey of 4 bits", made({ depth: 4, rows: [0, 0x30] })],
    ["the end cut off", made().slice(0, -14)],
    ["only a head", made().slice(0, 33)],
    ["a sum that is wrong", made().with(32, 1)],
  ])("with %s: a reason, in words", (_, bytes) => {
    expect(seen(bytes)).toMatch(/^(it|its|\d)[ a-z0-9]{10}/);
  });
  it.each<[string, Uint8Array]>([
    ["its rows, and 64 MB behind them", made({ bytes: Buffer.alloc(64e6) })],
    ["the same, interlaced", made({ bytes: Buffer.alloc(64e6), interlace: 1 })],
  ])("that unpacks to %s is refused before memory is taken", (_, bytes) => {
    const before = process.memoryUsage().arrayBuffers;
    expect(bytes.length).toBeLessThan(1e5);
    expect(seen(bytes)).toBe("it unpacks to more than its 1 x 1 pixels");
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(1e6);
  });
  it("with something packed that is no part of the picture: that is not unpacked", () => {
    // Nobody could unpack this; a profile of the other sort might come to gigabytes.
    const packed = Buffer.from("no profile");
    for (const [type, head] of [
      ["iCCP", "profile\0\0"],
      ["zTXt", "Comment\0\0"],
    ]) {
      const more = chunk(type, Buffer.concat([Buffer.from(head, "latin1"), packed]));
      expect(seen(Buffer.concat([made().subarray(0, 33), more, made().subarray(33)]))).toEqual([0.2]);
    }
  });
  it("with any of its bytes changed: pixels from 0 to 1, or a reason", () => {
    const chance = new Chance(15948);
    const sound = [
      made(),
      made({ colour: 2, rows: [0, 1, 2, 3] }),
      made({ colour: 3, palette: [9, 9, 9], rows: [0, 0] }),
    ];
    for (let n = 0; n < 2000; n++) {
      const bytes = Uint8Array.from(chance.of(sound));
      for (let k = chance.whole(1, 4); k > 0; k--)
        bytes[chance.whole(8, bytes.length - 1)] = chance.whole(0, 255);
      const found = luminance(
        bytes.subarray(0, chance.happens(0.2) ? chance.whole(0, bytes.length) : bytes.length),
      );
      if ("reason" in found) expect(found.reason).toMatch(/^it|^\d/);
      else
        expect(
          found.data.every((v) => v >= 0 && v <= 1) && found.data.length === found.width * found.height,
        ).toBe(true);
    }
  });
});
