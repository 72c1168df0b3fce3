// Drawings of a run. Apart from the run itself, since the drawing code takes a while to load.
import type { CheckResult } from "../judging/verify.js";
import type { Run } from "../reading/result.js";
import { type Exhibit, type ExhibitOptions, exhibit } from "../report/page.js";
import { screens } from "../report/screens.js";
import { panelGroups } from "../report/selection.js";
import { tracePicture } from "../report/svg.js";
import { figuresOf } from "../schematic/figures.js";
import { draw, mostDrawn } from "../schematic/schematic.js";
import { png } from "../tube/image.js";

/** What the page shows of a run; if its stress is asked for, also its schematic with the figures. */
export function exhibited(
  run: Run,
  index: number,
  results: readonly CheckResult[],
  asked: ExhibitOptions,
): Exhibit {
  const shown = exhibit(run, index, results, asked);
  if (!asked.stress || run.design.parts.length > mostDrawn || run.recording.count === 0) return shown;
  return { ...shown, drawing: draw(run.design, { ...figuresOf(run), id: `schematic-${index}` }) };
}

/** A picture to write. */
export interface PictureFile {
  /** The tube, if it is a screen. */
  readonly tube?: string;
  readonly bytes: string | Uint8Array;
}

/** A picture of its waveforms, and one of each tube's screen. @param more further traces to draw */
export function picturesOf(
  run: Run,
  results: readonly CheckResult[],
  more: readonly string[] = [],
): PictureFile[] {
  const { title, caseName } = run.design;
  const groups = panelGroups(run, more, results);
  const waves =
    groups.length > 0
      ? [{ bytes: tracePicture(groups, { title: caseName === "" ? title : `${title}: ${caseName}` }) }]
      : [];
  return [...waves, ...screens(run).map(({ tube, image }) => ({ tube, bytes: png(image) }))];
}
