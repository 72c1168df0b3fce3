// A file of ISO/IEC 15948 (PNG), eight bits of grey to a pixel, as chunks: each its length, its word, its bytes and their check.
import { zlibSync } from "fflate";

/** What every such file begins with. */
export const signature = Uint8Array.of(137, 80, 78, 71, 13, 10, 26, 10);

/** The chunk that tells how large a picture is: eight bits of grey, deflated, rows one by one. */
export function sizeChunk(width: number, height: number): Uint8Array {
  return chunk("IHDR", numbers(4, [width, height]), Uint8Array.of(8, 0, 0, 0, 0));
}

/** Rows of pixels as they stand in a file: a byte before each row says that it stands as it is, and all of it is deflated. */
export function packedRows(width: number, height: number, grey: Uint8Array): Uint8Array {
  const rows = new Uint8Array((width + 1) * height);
  for (let y = 0; y < height; y++) rows.set(grey.subarray(y * width, (y + 1) * width), y * (width + 1) + 1);
  return zlibSync(rows, { level: 6 });
}

/** One chunk, its bytes given in pieces. */
export function chunk(word: string, ...pieces: readonly Uint8Array[]): Uint8Array {
  const body = concatenated(pieces);
  const named = concatenated([Uint8Array.from(word, (letter) => letter.charCodeAt(0)), body]);
  return concatenated([numbers(4, [body.length]), named, numbers(4, [checked(named)])]);
}

/** Whole numbers of `bytes` bytes each, highest byte first. */
export function numbers(bytes: 2 | 4, values: readonly number[]): Uint8Array {
  const view = new DataView(new ArrayBuffer(bytes * values.length));
  values.forEach((value, i) => {
    if (bytes === 4) view.setUint32(4 * i, value);
    else view.setUint16(2 * i, value);
  });
  return new Uint8Array(view.buffer);
}

/** Pieces one behind the other. */
export function concatenated(pieces: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(pieces.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}

/** The cyclic redundancy check of ISO 3309, as in annex D of the specification. */
function checked(bytes: Uint8Array): number {
  let rest = 0xffffffff;
  for (const byte of bytes) {
    rest ^= byte;
    for (let k = 0; k < 8; k++) rest = (rest & 1) === 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  }
  return (rest ^ 0xffffffff) >>> 0;
}
