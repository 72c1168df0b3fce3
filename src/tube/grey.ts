// Light to grey bytes, for screens of today.
// Takes light, 1 for white; gives bytes 0 to 255 by the curve of IEC 61966-2-1 (sRGB), which files without a word
// about it are read by. Always: the byte whose light is nearest on that curve; more than white is white.
import { powerOf } from "./power.js";

/** Light that a byte stands for, 0 to 1. */
export function lightOf(byte: number): number {
  const c = byte / 255;
  return c <= 0.04045 ? c / 12.92 : powerOf((c + 0.055) / 1.055, 2.4);
}

/** Bytes of so much light. */
export function greyOf(light: Float64Array): Uint8Array {
  // Light from which on the next byte is nearer.
  const bounds = Float64Array.from({ length: 255 }, (_, byte) => lightOf(byte + 0.5));
  const grey = new Uint8Array(light.length);
  const [least, most] = [bounds[0], bounds[254]];
  for (let i = 0; i < light.length; i++) {
    const l = light[i];
    // Most of a picture is black or white.
    if (!(l >= least)) continue;
    if (l >= most) {
      grey[i] = 255;
      continue;
    }
    let low = 0;
    let high = 255;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (l >= bounds[middle]) low = middle + 1;
      else high = middle;
    }
    grey[i] = low;
  }
  return grey;
}
