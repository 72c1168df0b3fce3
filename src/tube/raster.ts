// The picture on a tube: a run to light and grey pixels, the same bytes on every machine. An unblanked retrace is visible, the
// fainter the faster it is.

import { asked, refuseOption } from "../base/asked.js";
import { handed } from "../base/handed.js";
import { traceBounds } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import { BeamPath } from "./beam.js";
import { whiteLight } from "./exposure.js";
import { type Darkness, greyOf, type Image } from "./image.js";
import { type Screen, type ScreenOptions, screen, screenSorts } from "./screen.js";
import { Spot } from "./spot.js";
import { framed, surroundOf, surroundScale } from "./surround.js";

/** Which picture, and how large. */
export interface RasterOptions extends ScreenOptions {
  /** Pixels across; default 768. */
  readonly width?: number;
  /** Pixels down; default 576, a row for each active line of the 625. */
  readonly height?: number;
}

/** Most pixels a side, and altogether. */
const longest = 10_000;
const most = 4e7;

/**
 * The picture that a run draws on a tube. Each piece of the beam's path leaves light in proportion to the time it takes and
 * to ((drive − cutoff)/(full − cutoff))^gamma, as a Gaussian spot. White is what full drive leaves at the usual pace of both
 * sweeps, averaged over the time shown. By default that is the last whole frame, or the last whole field if there is no
 * whole frame. Where nothing falls onto the screen, but something just beside it, the screen is a frame, and its surroundings are
 * shown.
 * @category Pictures
 * @example
 * ```ts
 * const { width, height } = raster(board);
 * [width, height]; // [768, 576]
 * ```
 * @throws DesignError `bad-option`, `unknown-trace`, and `no-samples` if nothing was recorded
 */
export function raster(run: Run, options: RasterOptions = {}): Image {
  handed("run", run);
  asked(options, { width: "number", height: "number", ...screenSorts });
  const { width = 768, height = 576 } = options;
  checkedSize(width, height);
  const shown = screen(run, options);
  const image = drawn(shown, width, height);
  return image.dark === "beside" ? (besideScreen(shown, image) ?? image) : image;
}

/** The picture with what is beside the screen; undefined if nothing can be seen there either. */
function besideScreen(shown: Screen, { width, height }: Image): Image | undefined {
  const wider = surroundOf(shown);
  const white = whiteLight(shown, width, height) * surroundScale(wider);
  const { dark, ...image } = drawn(wider, width, height, white);
  if (dark) return undefined;
  framed(image.grey, width, height, wider);
  return { ...image, dark: "beside", around: wider.around };
}

/** Refuses sizes that make no sense, or are too large for `count` pictures. */
export function checkedSize(width: number, height: number, count = 1): void {
  for (const [word, pixels] of Object.entries({ width, height })) {
    if (!(Number.isInteger(pixels) && pixels >= 1 && pixels <= longest))
      refuseOption(word, `a picture has from 1 to ${longest} whole pixels a side, not ${pixels}`);
  }
  if (width * height * count <= most) return;
  const times = count > 1 ? `${count} times ` : "";
  refuseOption("width", `${times}${width} by ${height} are more than ${most} pixels`);
}

/**
 * The picture of three traces.
 * @param white light of a white pixel, in seconds of a full beam
 * @internal
 */
export function drawn(
  shown: Screen,
  width: number,
  height: number,
  white = whiteLight(shown, width, height),
): Image {
  const light = new Float64Array(width * height);
  const spot = new Spot(light, width, height, shown.spot, shown.aspect);
  new BeamPath(shown, spot, width, height).draw();
  const scale = 1 / white;
  for (let i = 0; i < light.length; i++) light[i] *= scale;
  const { from, to, shows } = shown;
  const grey = greyOf(light);
  const dark = grey.every((byte) => byte === 0) ? darknessOf(shown, light) : undefined;
  return { width, height, light, grey, from, to, shows, ...(dark && { dark }) };
}

/** Why nothing is seen of this light. */
export function darknessOf({ drive, cutoff, full, from, to }: Screen, light: Float64Array): Darkness {
  if (!drive) return "open";
  const { low, high } = traceBounds(drive, from, to);
  if (full > cutoff ? high <= cutoff : low >= cutoff) return "cutoff";
  return light.some((l) => l > 0) ? "faint" : "beside";
}
