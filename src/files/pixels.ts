// A PNG file as a picture for video: its luminance, row by row, from 0 (black) to 1 (white). Its size is checked before anything
// is unpacked, and nothing but the picture is. The values of the file are used as the signal's, gamma included, as cameras and drawing programs write them.
import { convertIndexedToRgb, decode } from "fast-png";
import type { Pixels, Unusable } from "../design/videowave.js";
import { pictureAlone, unpacksBeyond } from "./pngchunks.js";

// Weights of red, green and blue in the luminance of television (ITU-R BT.601, 2.5.1).
const weights = [0.299, 0.587, 0.114] as const;

/** The colour type of a file with a palette (ISO/IEC 15948, 11.2.2); it follows size and depth in the header. */
const indexed = 3;

/** The most pixels that a picture may have: far more than television shows. */
export const mostPixels = 1 << 22;

/** The luminance of a PNG; transparent pixels show black. */
export function luminance(bytes: Uint8Array): Pixels | Unusable {
  const size = sizeOf(bytes);
  if (!size) return { reason: "it is no PNG file" };
  if (size.width === 0 || size.height === 0) return { reason: "it has no pixels" };
  if (size.width * size.height > mostPixels) {
    return { reason: `${size.width} x ${size.height} pixels are more than the ${mostPixels} that are taken` };
  }
  try {
    const { file, packed } = pictureAlone(bytes);
    if (unpacksBeyond(bytes, packed, size.width, size.height))
      return { reason: `it unpacks to more than its ${size.width} x ${size.height} pixels` };
    // A wrong checksum means that the file was damaged on the way.
    const image = decode(file, { checkCrc: true });
    const { width, height, depth } = image;
    if (bytes[25] === indexed && !image.palette) return { reason: "its palette is missing" };
    if (!image.palette && depth < 8) return { reason: "its grey has fewer than 8 bits" };
    const samples = image.palette ? convertIndexedToRgb(image) : image.data;
    return { width, height, data: grey(samples, width * height, depth === 16 ? 65535 : 255) };
  } catch {
    return { reason: "its data is damaged" };
  }
}

// The size from the header of the file (ISO/IEC 15948: signature in 5.2, IHDR in 11.2.2).
function sizeOf(bytes: Uint8Array): { width: number; height: number } | undefined {
  const signature = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
  if (bytes.length < 24 || signature.some((byte, i) => bytes[i] !== byte)) return undefined;
  const view = new DataView(bytes.buffer, bytes.byteOffset);
  return { width: view.getUint32(16), height: view.getUint32(20) };
}

function grey(samples: ReturnType<typeof decode>["data"], count: number, most: number): Float64Array {
  const channels = samples.length / count;
  const coloured = channels > 2;
  const data = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const at = i * channels;
    const opaque = channels % 2 === 0 ? samples[at + channels - 1] / most : 1;
    const [red, green, blue] = coloured ? [at, at + 1, at + 2] : [at, at, at];
    const sum = weights[0] * samples[red] + weights[1] * samples[green] + weights[2] * samples[blue];
    data[i] = (opaque * sum) / most;
  }
  return data;
}
