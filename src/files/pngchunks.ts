// The chunks of a PNG file that make its picture (ISO/IEC 15948, 5.3 and 11.2). All others stay out: a profile or a comment may be
// packed too, and nothing says before it is unpacked how large it is.
import { inflateSync } from "node:zlib";

const picture: ReadonlySet<string> = new Set(["IHDR", "PLTE", "tRNS", "IDAT", "IEND"]);

/** Samples of a pixel, by the colour type of the header (11.2.2). */
const channels: Readonly<Record<number, number>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };

/** A file with the chunks of its picture alone, and the data of that, still packed. */
export function pictureAlone(bytes: Uint8Array): { readonly file: Uint8Array; readonly packed: Uint8Array } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const kept = [bytes.subarray(0, 8)];
  const data: Uint8Array[] = [];
  for (let at = 8; at + 12 <= bytes.length; ) {
    const end = at + 12 + view.getUint32(at);
    const type = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (picture.has(type)) kept.push(bytes.subarray(at, end));
    if (type === "IDAT") data.push(bytes.subarray(at + 8, end - 4));
    at = end;
  }
  return { file: Buffer.concat(kept), packed: Buffer.concat(data) };
}

/**
 * Whether the data of a picture unpacks to more than its pixels, found without unpacking more of it than these need.
 * @param bytes the file, for its header
 */
export function unpacksBeyond(bytes: Uint8Array, packed: Uint8Array, width: number, height: number): boolean {
  const bits = bytes[24] * (channels[bytes[25]] ?? 1);
  // The seven passes of an interlaced file have up to twice as many rows, each with its filter byte.
  const most = 2 * height * (1 + Math.ceil((width * bits) / 8)) + 16;
  try {
    inflateSync(packed, { maxOutputLength: most });
    return false;
  } catch (error) {
    // What is damaged is found by the decoder.
    return (error as { code?: unknown }).code === "ERR_BUFFER_TOO_LARGE";
  }
}
