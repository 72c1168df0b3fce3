// An image as a file: PNG (ISO/IEC 15948), eight bits of grey, by the library fast-png.
// Always: the same image gives the same bytes.
import { encode } from "fast-png";
import type { Image } from "./raster.js";

/** The bytes of a PNG file. */
export function png({ width, height, grey }: Pick<Image, "width" | "height" | "grey">): Uint8Array {
  return encode({ width, height, channels: 1, depth: 8, data: grey }, { zlib: { level: 6 } });
}
