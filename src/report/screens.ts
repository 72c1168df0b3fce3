// The picture on each tube of a run, in the order of the text.
import type { Run } from "../reading/result.js";
import type { Image } from "../tube/image.js";
import { raster } from "../tube/raster.js";
import { tubes } from "../tube/screen.js";

interface TubePicture {
  readonly tube: string;
  readonly image: Image;
}

/**
 * The pictures of a run, one per tube.
 * @throws DesignError if a tube's figures make no sense
 */
export function screens(run: Run, size: { width?: number; height?: number } = {}): TubePicture[] {
  if (run.recording.count < 2 || !(run.reached > 0)) return [];
  return tubes(run.design.parts).map((tube) => ({ tube, image: raster(run, { tube, ...size }) }));
}
