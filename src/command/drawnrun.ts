// What is drawn of a run. Apart from the run itself, since what draws takes a while to load.
import type { Run } from "../reading/result.js";
import { screens } from "../report/screens.js";
import { panelGroups } from "../report/selection.js";
import { tracePicture } from "../report/svg.js";
import { png } from "../tube/image.js";

export { exhibit } from "../report/page.js";

/** A picture to be written. */
export interface PictureFile {
  /** Of a screen: the tube. */
  readonly tube?: string;
  readonly bytes: string | Uint8Array;
}

/** A picture of its waveforms, and one of each tube's screen. */
export function picturesOf(run: Run): PictureFile[] {
  const { title, caseName } = run.design;
  const groups = panelGroups(run);
  const waves =
    groups.length > 0
      ? [{ bytes: tracePicture(groups, { title: caseName === "" ? title : `${title}: ${caseName}` }) }]
      : [];
  return [...waves, ...screens(run).map(({ tube, image }) => ({ tube, bytes: png(image) }))];
}
