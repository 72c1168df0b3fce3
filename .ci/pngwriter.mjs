// What writes PNG files, put by the build in the place of the library that reads them too: by its name that library is one file to
// a bundler, and whoever draws a screen would carry along what reads. It gives what the library's own `encode` gives.
import PngEncoder from "../node_modules/fast-png/lib/png_encoder.js";

/**
 * @param {import("fast-png").ImageData} image
 * @param {import("fast-png").PngEncoderOptions} [options]
 * @returns {Uint8Array}
 */
export function encode(image, options) {
  return new PngEncoder(image, options).encode();
}
