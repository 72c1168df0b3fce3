// Several fields of a run in a row, as a viewer sees them: a picture that hops or rolls, a sweep that dies. All have the
// exposure of the middle one of their whites, as for an eye.

import { refuseOption } from "../base/asked.js";
import { handed, handedNumber, handedObject } from "../base/handed.js";
import type { Run } from "../reading/result.js";
import { whiteLight } from "./exposure.js";
import { lastFields, type ShownTime } from "./fields.js";
import { type Darkness, type Image, png } from "./image.js";
import { checkedSize, drawn, type RasterOptions } from "./raster.js";
import { type Screen, screen } from "./screen.js";
import { aroundOf, framed, surroundScale, widened } from "./surround.js";

/** Which fields, and how large each is: 256 by 192 pixels unless said otherwise. */
export interface FilmOptions extends RasterOptions {
  /** How many fields: the last whole ones of the run, or of the time from `from` to `to`. */
  readonly fields: number;
}

/** A single field. */
export interface FilmFrame extends Pick<ShownTime, "from" | "to"> {
  /** Shades of grey, row by row from the top left. */
  readonly grey: Uint8Array;
  /** Why nothing can be seen on the screen; absent if something can. */
  readonly dark?: Darkness;
}

/** Fields in the order of time, all of one size. */
export interface Film {
  /** Pixels of each. */
  readonly width: number;
  /** Pixels of each. */
  readonly height: number;
  /** How far all of them reach beyond the screen's edges, as a share of it; absent if they show the screen alone. */
  readonly around?: number;
  /** One per field. */
  readonly frames: readonly FilmFrame[];
}

const mostFields = 200;
/** Fields side by side in a strip, and the gap between them, px. */
const beside = 4;
const gap = 4;
const gapGrey = 96;

/**
 * The pictures of several fields; fewer if the run has fewer whole ones.
 *
 * @category Pictures
 * @example
 * ```ts
 * const { frames } = film(board, { fields: 2 });
 * frames.length; // 2
 * ```
 * @throws DesignError as `raster`, and `bad-option` if there is no whole field
 */
export function film(run: Run, asked: FilmOptions): Film {
  handed("run", run);
  handedObject(asked, "options");
  const { fields, width = 256, height = 192, ...options } = asked;
  handedNumber(fields, "fields");
  if (!(Number.isInteger(fields) && fields >= 1 && fields <= mostFields))
    refuseOption("fields", `a film has from 1 to ${mostFields} whole fields, not ${fields}`);
  checkedSize(width, height, fields);
  const from = options.from ?? 0;
  // The ranges of the whole time shown hold for each field.
  const whole = screen(run, { ...options, from }, options.brightness === undefined);
  const { left, right, top, bottom, full } = whole;
  const sweep = { down: whole.down, edges: { top, bottom }, parts: run.design.parts };
  const times = lastFields(sweep, whole.from, whole.to, fields);
  if (times.length === 0)
    refuseOption("fields", "the time shown has no whole field", "let the run go on for longer");
  const named = options.brightness === undefined ? {} : { full };
  const shown = times.map(({ from, to }) => ({ ...options, left, right, top, bottom, ...named, from, to }));
  const whites = Float64Array.from(times, (time) => whiteLight({ ...whole, ...time }, width, height)).sort();
  const white = whites[whites.length >> 1];
  const screens = shown.map((asked) => screen(run, asked));
  const frames = screens.map((one) => drawn(one, width, height, white));
  return { width, height, ...besideScreens(screens, frames, white) };
}

/**
 * The fields, and where one is dark because its beam stands beside the screen, all of them with what is around it: one view for all,
 * so that nothing but the picture moves.
 */
function besideScreens(
  screens: readonly Screen[],
  images: readonly Image[],
  white: number,
): Pick<Film, "frames" | "around"> {
  const plain = images.map((image) => frameOf(image));
  const dead = screens.filter((_, i) => images[i].dark === "beside");
  if (dead.length === 0) return { frames: plain };
  const around = Math.max(...dead.map(aroundOf));
  const { width, height } = images[0];
  const wide = screens.map((one) => {
    const wider = widened(one, around);
    return drawn(wider, width, height, white * surroundScale(wider));
  });
  // Not even there: the screen alone shows more.
  if (wide.every(({ dark }, i) => dark || images[i].dark !== "beside")) return { frames: plain };
  for (const { grey } of wide) framed(grey, width, height, { around });
  return { around, frames: wide.map(({ grey }, i) => frameOf({ ...images[i], grey })) };
}

const frameOf = ({ grey, dark, from, to }: Image): FilmFrame => ({ grey, from, to, ...(dark && { dark }) });

/**
 * The bytes of a PNG file with all fields of a film, four to a row, the first at the top left.
 *
 * @category Pictures
 * @example
 * ```ts
 * const fields = film(board, { fields: 2 });
 * writeFileSync("fields.png", strip(fields));
 * ```
 */
export function strip(film: Film): Uint8Array {
  handed("film", film);
  const { width, height, frames } = film;
  const columns = Math.min(beside, frames.length);
  const rows = Math.ceil(frames.length / columns);
  const across = columns * (width + gap) - gap;
  const down = rows * (height + gap) - gap;
  const grey = new Uint8Array(across * down).fill(gapGrey);
  frames.forEach((frame, i) => {
    const start = Math.floor(i / columns) * (height + gap) * across + (i % columns) * (width + gap);
    for (let y = 0; y < height; y++)
      grey.set(frame.grey.subarray(y * width, (y + 1) * width), start + y * across);
  });
  return png({ width: across, height: down, grey });
}
