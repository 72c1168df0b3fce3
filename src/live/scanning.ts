// The picture of a tube, piece by piece, so that it can be shown as it grows and abandoned when no longer wanted. Takes a run
// and how much of it to draw; gives light on pixels, the same light as `raster` when all lines are drawn.
import { crossings } from "../measures/crossing.js";
import type { Run } from "../reading/result.js";
import { BeamPath } from "../tube/beam.js";
import { whiteLight } from "../tube/exposure.js";
import { greyOf, type Image } from "../tube/image.js";
import { darknessOf } from "../tube/raster.js";
import { type Screen, screen } from "../tube/screen.js";
import { Spot } from "../tube/spot.js";
import { framed, surroundOf, surroundScale } from "../tube/surround.js";

/** What to draw. */
export interface Scanned {
  readonly tube: string;
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  /** The time shown, s; the last two fields unless given. */
  readonly from?: number;
  readonly to?: number;
  /** Only every n-th line is drawn. */
  readonly every: number;
}

/** A picture, and what it shows. */
export interface Scan extends Pick<Image, "grey" | "from" | "to" | "shows" | "dark" | "around"> {
  readonly aspect: number;
}

/** Lines drawn in one go: few enough to take only some hundredths of a second. */
const atOnce = 160;
/** Pieces of a picture whose line sweep never returns: the lines of a field. */
const usualLines = 312;
/** Largest distance between lines, as a share of the picture's height: that of a field (ITU-R BT.1700: 287.5 of 625). */
const linesApart = 1 / 287.5;
/** Width of a spot that leaves no gap between lines four times too far apart. */
const widestSpot = 0.1;

/**
 * Draws a picture piece by piece; yields nothing in between, and returns the picture.
 * @throws DesignError as `raster`
 */
export function* scanned(run: Run, asked: Scanned): Generator<undefined, Scan> {
  const { tube, width, height, from, to } = asked;
  const shown = screen(run, { tube, from, to }, true);
  yield;
  const white = whiteLight(shown, width, height);
  yield;
  const { aspect, from: start, to: end, shows } = shown;
  const of = { aspect, from: start, to: end, shows };
  const light = yield* scannedOn(run, shown, asked, white);
  const grey = greyOf(light);
  if (grey.some((byte) => byte > 0)) return { ...of, grey };
  const open = run.design.parts.some(({ name, fault }) => name === tube && fault === "open");
  const [drive] = open ? [] : run.sketch([`${tube}.voltage`], start, end);
  const dark = darknessOf({ ...shown, drive }, light);
  if (dark !== "beside") return { ...of, grey, dark };
  const wider = surroundOf(shown);
  const beyond = greyOf(yield* scannedOn(run, wider, asked, white * surroundScale(wider)));
  if (beyond.every((byte) => byte === 0)) return { ...of, grey, dark };
  framed(beyond, width, height, wider);
  return { ...of, grey: beyond, dark, around: wider.around };
}

/** The light on a screen, or on a screen with its surroundings. */
function* scannedOn(
  run: Run,
  dark: Screen,
  { tube, width, height, every }: Scanned,
  white: number,
): Generator<undefined, Float64Array> {
  const open = run.design.parts.some(({ name, fault }) => name === tube && fault === "open");
  const light = new Float64Array(width * height);
  const wide = every > 1 ? Math.min(widestSpot, Math.max(dark.spot, linesApart) * every) : dark.spot;
  // Wider only vertically: nothing is left out horizontally.
  const spot = new Spot(light, width, height, wide, (dark.aspect * wide) / dark.spot);
  const lines = open ? [] : linesOf(dark).filter((_, i) => i % every === 0);
  let lit = 0;
  for (let i = 0; i < lines.length; i += atOnce) {
    const some = lines.slice(i, i + atOnce);
    const spans = every > 1 ? some : [{ from: some[0].from, to: some.at(-1)!.to }];
    const [drive] = run.sketches([`${tube}.voltage`], spans);
    const path = new BeamPath({ ...dark, drive }, spot, width, height);
    for (const span of spans) {
      path.draw(span);
      lit += span.to - span.from;
    }
    yield;
  }
  const share = lit > 0 ? lit / (dark.to - dark.from) : 1;
  const scale = 1 / (share * white);
  for (let i = 0; i < light.length; i++) light[i] *= scale;
  return light;
}

/** The time shown, cut where the line sweep returns through its middle. */
function linesOf({ across, left, right, from, to }: Screen): { from: number; to: number }[] {
  const back = right > left ? "falling" : "rising";
  const found = crossings(across, from, to, (left + right) / 2).filter(({ direction }) => direction === back);
  const cuts =
    found.length > 8
      ? found.map(({ time }) => time)
      : Array.from({ length: usualLines - 1 }, (_, i) => from + ((to - from) * (i + 1)) / usualLines);
  const ends = [from, ...cuts.filter((t) => t > from && t < to), to];
  return ends.slice(1).map((end, i) => ({ from: ends[i], to: end }));
}
