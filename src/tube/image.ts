// A picture as bytes: light to grey for today's screens, and grey to a file.

import { handed } from "../base/handed.js";
import { powerOf } from "../base/powers.js";
import { engineering } from "../base/quantity.js";
import { firstAbove } from "../base/search.js";
import type { Exposed } from "./fields.js";
import { chunk, concatenated, packedRows, signature, sizeChunk } from "./pngfile.js";

/** A picture in shades of grey, row by row from the top left. */
export interface Image {
  /** Pixels across. */
  readonly width: number;
  /** Pixels down. */
  readonly height: number;
  /** Light of each pixel, 1 for white; may be more. Length width · height. */
  readonly light: Float64Array;
  /** The same as bytes on the curve of sRGB, 0 black to 255 white. */
  readonly grey: Uint8Array;
  /** Start of the time shown, s. */
  readonly from: number;
  /** Its end, s. */
  readonly to: number;
  /** What that time is. */
  readonly shows: Exposed;
  /** Why nothing can be seen on the screen; absent if something can. */
  readonly dark?: Darkness;
  /** How far it reaches beyond the screen's edges, as a share of the screen; absent if it shows the screen alone. */
  readonly around?: number;
}

/**
 * Why a screen is dark: the tube is `open`; the drive stays below `cutoff`; the light falls `beside` the screen, or is too
 * `faint`.
 */
export type Darkness = "open" | "cutoff" | "beside" | "faint";

const exposed: Readonly<Record<Exposed, string>> = {
  frame: ", the last whole frame",
  field: ", the last whole field",
  part: ", less than a field",
  run: ", the whole run",
  time: "",
};

const darkness: Readonly<Record<Darkness, string>> = {
  open: "the tube is open",
  cutoff: "the drive stays below cut-off",
  beside: "wherever the beam is on, it stands beside the screen",
  faint: "what falls onto the screen is too faint to be seen",
};

/**
 * What a picture shows, in words: the time, what that time is, and why it is dark if it is.
 *
 * @category Pictures
 * @example
 * ```ts
 * caption(raster(board)); // "20 ms to 60 ms, the last whole frame"
 * ```
 */
export function caption(image: Pick<Image, "from" | "to" | "shows" | "dark" | "around">): string {
  handed("span", image, "picture");
  const { from, to, shows, dark, around } = image;
  const span = `${engineering(from, "s")} to ${engineering(to, "s")}${exposed[shows]}`;
  if (!dark) return span;
  // Where something is drawn, it is the screen that is dark, not the picture.
  return around === undefined
    ? `${span}: dark, as ${darkness[dark]}`
    : `${span}: the screen is dark, as ${darkness[dark]}; its edges are drawn as a frame, and around it where the beam is`;
}

/**
 * The bytes of a PNG file (ISO/IEC 15948), eight bits of grey. The same image gives the same bytes.
 *
 * @category Pictures
 * @example
 * ```ts
 * const image = raster(board, { width: 384, height: 288 });
 * writeFileSync("screen.png", png(image));
 * ```
 */
export function png(image: Pick<Image, "width" | "height" | "grey">): Uint8Array {
  handed("image", image, "picture");
  const { width, height, grey } = image;
  const rows = chunk("IDAT", packedRows(width, height, grey));
  return concatenated([signature, sizeChunk(width, height), rows, chunk("IEND")]);
}

/** The light of a byte, 0 to 1, on the curve of IEC 61966-2-1 (sRGB), by which a file with no colour information is read. */
export function lightOf(byte: number): number {
  const c = byte / 255;
  return c <= 0.04045 ? c / 12.92 : powerOf((c + 0.055) / 1.055, 2.4);
}

/** Bytes for light, 1 for white: the byte whose light on that curve is nearest. Anything above white is white. */
export function greyOf(light: Float64Array): Uint8Array {
  // Light above which the next byte is nearer.
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
    grey[i] = firstAbove(bounds, l);
  }
  return grey;
}
