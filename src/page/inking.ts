// Curves and bands on a canvas. A browser takes some 2 µs for each corner of a stroke when it draws in software. Where a curve
// turns within most of its pixel columns, each of these is filled from its lowest to its highest value instead, which looks the
// same and takes a tenth of the time.
/// <reference lib="dom" />
import type { BandPiece, LinePiece } from "../report/envelope.js";
import type { Outline } from "../waveforms/outline.js";

/** Maps a point to the canvas, in its pixels. */
export interface Placing {
  across(time: number): number;
  height(value: number): number;
}

/** Least number of turning columns that are filled rather than stroked, and most columns without a turn between them. */
const fewest = 8;
const mostGap = 2;

/** The part of a curve in one pixel column: its points from one index up to another, and what they do there. */
interface Column {
  readonly at: number;
  readonly first: number;
  readonly end: number;
  readonly low: number;
  readonly high: number;
  /** Whether the curve goes up and down in it. */
  readonly turns: boolean;
  filled: boolean;
}

/** Draws a stretch of an outline that can be followed, in the canvas's stroke and fill, which have the same colour. */
export function inkLine(
  ctx: CanvasRenderingContext2D,
  { time, value }: Outline,
  piece: LinePiece,
  { across, height }: Placing,
): void {
  const columns = columnsOf({ time, value }, piece, { across, height });
  choose(columns);
  const half = ctx.lineWidth / 2;
  const point = (i: number) => ctx.lineTo(across(time[i]), height(value[i]));
  ctx.beginPath();
  for (const [k, { at, first, end, low, high, turns, filled }] of columns.entries()) {
    if (!filled) {
      point(first);
      if (turns) for (let i = first + 1; i + 1 < end; i++) point(i);
      if (end - first > 1) point(end - 1);
      continue;
    }
    const before = columns[k - 1];
    // The stroke runs up to the first filled column, and goes on after the last.
    if (before && !before.filled) point(first);
    const last = before?.filled ? height(value[before.end - 1]) : low;
    const top = Math.min(low, last) - half;
    ctx.fillRect(at, top, 1, Math.max(high, last) + half - top);
    if (!columns[k + 1]?.filled) ctx.moveTo(across(time[end - 1]), height(value[end - 1]));
  }
  ctx.stroke();
}

/** Draws a band with its mean. @param ink opacity of the band, and of its mean */
export function inkBand(
  ctx: CanvasRenderingContext2D,
  { time, low, high, mean }: BandPiece,
  { across, height }: Placing,
  ink: { readonly band: number; readonly mean: number },
): void {
  ctx.beginPath();
  for (let i = 0; i < time.length; i++) ctx.lineTo(across(time[i]), height(high[i]));
  for (let i = time.length - 1; i >= 0; i--) ctx.lineTo(across(time[i]), height(low[i]));
  ctx.globalAlpha = ink.band;
  ctx.fill();
  ctx.globalAlpha = ink.mean;
  ctx.beginPath();
  for (let i = 0; i < time.length; i++) ctx.lineTo(across(time[i]), height(mean[i]));
  ctx.stroke();
}

function columnsOf(
  { time, value }: Outline,
  { first, last }: LinePiece,
  { across, height }: Placing,
): Column[] {
  const columns: Column[] = [];
  for (let i = first; i <= last; ) {
    const [at, start] = [Math.floor(across(time[i])), i];
    let before = height(value[i]);
    let [low, high, up, down] = [before, before, false, false];
    for (i++; i <= last && Math.floor(across(time[i])) === at; i++) {
      const y = height(value[i]);
      up ||= y < before;
      down ||= y > before;
      low = Math.min(low, y);
      high = Math.max(high, y);
      before = y;
    }
    columns.push({ at, first: start, end: i, low, high, turns: up && down, filled: false });
  }
  return columns;
}

/** Chooses the columns to fill: runs of neighbours in most of which the curve turns. */
function choose(columns: readonly Column[]): void {
  let first = -1;
  let last = -1;
  const close = () => {
    if (first >= 0 && last - first + 1 >= fewest)
      for (let k = first; k <= last; k++) columns[k].filled = true;
    first = -1;
  };
  for (const [k, { at, turns }] of columns.entries()) {
    // A column without points holds the line to the next one.
    if (first >= 0 && (at !== columns[k - 1].at + 1 || k - last > mostGap + 1)) close();
    if (!turns) continue;
    if (first < 0) first = k;
    last = k;
  }
  close();
}
