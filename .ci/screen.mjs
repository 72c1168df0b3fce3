// Packs the picture at the head of the README more tightly than the library does, which writes rows as they are: every pixel as its
// difference from what its neighbours foretell (W3C, "Portable Network Graphics (PNG) Specification", filter type 4, Paeth's).
// `npm start && node .ci/screen.mjs` writes examples/screen.png from out/board-screen.png; a test compares their pixels.
import { readFileSync, writeFileSync } from "node:fs";
import { crc32, deflateSync } from "node:zlib";
import { decode } from "fast-png";

const { width, height, channels, depth, data } = decode(readFileSync("out/board-screen.png"));
if (channels !== 1 || depth !== 8) throw new Error("not in shades of grey");

const rows = Buffer.alloc((width + 1) * height);
const at = (x, y) => (x < 0 || y < 0 ? 0 : data[y * width + x]);
for (let y = 0; y < height; y++) {
  const row = y * (width + 1);
  rows[row] = 4;
  for (let x = 0; x < width; x++) {
    const [left, above, corner] = [at(x - 1, y), at(x, y - 1), at(x - 1, y - 1)];
    const [a, b, c] = [above - corner, left - corner, left + above - 2 * corner].map(Math.abs);
    rows[row + 1 + x] = at(x, y) - (a <= b && a <= c ? left : b <= c ? above : corner);
  }
}

function chunk(name, bytes) {
  const body = Buffer.concat([Buffer.from(name), bytes]);
  const ends = Buffer.alloc(8);
  ends.writeUInt32BE(bytes.length, 0);
  ends.writeUInt32BE(crc32(body), 4);
  return Buffer.concat([ends.subarray(0, 4), body, ends.subarray(4)]);
}

const head = Buffer.alloc(13);
head.writeUInt32BE(width, 0);
head.writeUInt32BE(height, 4);
head[8] = depth;
writeFileSync(
  "examples/screen.png",
  Buffer.concat([
    Buffer.from([0x89, ...Buffer.from("PNG\r\n"), 0x1a, 0x0a]),
    chunk("IHDR", head),
    chunk("IDAT", deflateSync(rows, { level: 9, memLevel: 9 })),
    chunk("IEND", Buffer.alloc(0)),
  ]),
);
