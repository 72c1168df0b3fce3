// How straight the picture is: where the beam is against where it ought to be.
// What a knob can correct (width, height, shift, tilt) is removed first, as the best affine fit by least squares; what remains is
// bend. Only active lines of active fields count.

import { Matrix, solve } from "ml-matrix";
import { asked, exactly, type Given, refuseOption } from "../base/asked.js";
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { Run } from "../reading/result.js";
import { type Screen, type ScreenOptions, screen, screenSorts } from "./screen.js";

/** An active span within each period of a signal: `each` as for `Run.periods`, times from a period's start. */
export interface Active {
  /** Whose periods. */
  readonly each: string;
  /** Start of the span. */
  readonly from: Given;
  /** End of the span. */
  readonly to: Given;
}

/** Which picture, and when its lines and fields are active. */
export interface GeometryOptions extends ScreenOptions {
  /** The active part of a line. */
  readonly line: Active;
  /** The active part of a field. */
  readonly field: Active;
}

/** A departure from straight: how far, and where it is largest. */
export interface Departure {
  /** As a share of the picture's width or height, positive in the beam's direction; NaN for a sweep that stands still. */
  readonly share: number;
  /** When, s. */
  readonly time: number;
  /** Where in the picture, from its left, 0 to 1: the share of the active line that has passed. */
  readonly x: number;
  /** Where from its top, 0 to 1: the share of the active field that has passed. */
  readonly y: number;
}

/** The largest departures of a picture, sideways and vertical. */
export interface Geometry {
  /** Sideways, as a share of the picture's width. */
  readonly width: Departure;
  /** Vertical, as a share of its height. */
  readonly height: Departure;
  /** How many active lines were measured. */
  readonly lines: number;
}

/** Parts of an active line, for Simpson's rule; an even number. */
const parts = 64;

/** A point of the picture: where it should be, and where it is. */
interface Point {
  readonly time: number;
  /** Share of the active line and of the active field that has passed. */
  readonly x: number;
  readonly y: number;
  readonly across: number;
  readonly down: number;
  readonly weight: number;
}

/**
 * The largest departure of the beam from straight over the time shown (see `ScreenOptions`). Straight is the best affine fit
 * from (share of the active line, share of the active field) to each deflection; the size of the picture is what this fit
 * gives for one active line and one active field.
 *
 * @category Pictures
 * @example
 * ```ts
 * const line = { each: "camera.lines", from: "10.5 us", to: "62.5 us" };
 * const field = { each: "camera.fields", from: "1.5 ms", to: "19.8 ms" };
 * const { width } = geometry(board, { line, field });
 * Math.abs(width.share) < 0.02; // true
 * ```
 * @throws DesignError `bad-option` for options that make no sense, and if no active line lies in the time shown
 */
export function geometry(run: Run, options: GeometryOptions): Geometry {
  handed("run", run);
  asked(options, { line: "object", field: "object", ...screenSorts });
  const shown = screen(run, options, true);
  const line = active(run, options.line, "line");
  const field = active(run, options.field, "field");
  const { points, lines } = gather(shown, line, field);
  if (lines < 2 || new Set(points.map((p) => p.y)).size < 3)
    refuseOption(
      "line",
      "fewer than two active lines lie in the time shown",
      "look at 'each', 'from' and 'to'",
    );
  return {
    width: widest(points, (p) => p.across, "x"),
    height: widest(points, (p) => p.down, "y"),
    lines,
  };
}

interface Spans {
  readonly starts: Float64Array;
  readonly from: number;
  readonly to: number;
}

function active(run: Run, given: Active | undefined, word: string): Spans {
  if (!given || typeof given.each !== "string")
    return refuseOption(word, "say when it is active: { each, from, to }");
  const read = (what: "from" | "to") => toNumber(exactly(given[what], dimension.time, `${word}.${what}`));
  const [from, to] = [read("from"), read("to")];
  if (!(to > from)) refuseOption(`${word}.to`, "the active span ends before it starts");
  return { starts: run.periods(given.each), from, to };
}

function gather({ across, down, from, to }: Screen, line: Spans, field: Spans) {
  const points: Point[] = [];
  let lines = 0;
  let next = 0;
  for (const start of field.starts) {
    const first = Math.max(from, start + field.from);
    const last = Math.min(to, start + field.to);
    while (next > 0 && line.starts[next] + line.from >= first) next--;
    while (next < line.starts.length && line.starts[next] + line.from < first) next++;
    // Whole active lines only: a partial line would bias the fit towards its half.
    for (; next < line.starts.length && line.starts[next] + line.to <= last; next++) {
      lines++;
      for (let k = 0; k <= parts; k++) {
        const x = k / parts;
        const t = line.starts[next] + line.from + x * (line.to - line.from);
        const y = (t - start - field.from) / (field.to - field.from);
        const weight = k === 0 || k === parts ? 1 : k % 2 === 1 ? 4 : 2;
        points.push({ time: t, x, y, across: across.at(t), down: down.at(t), weight });
      }
    }
  }
  return { points, lines };
}

/** Fits a + b x + c y to one deflection and returns the point farthest from the fit. */
function widest(points: readonly Point[], value: (p: Point) => number, along: "x" | "y"): Departure {
  const left = Matrix.zeros(3, 3);
  const right = Matrix.zeros(3, 1);
  // Measured from the middle of the picture, so that the three unknowns are nearly independent.
  const row = (p: Point) => [1, p.x - 0.5, p.y - 0.5];
  for (const p of points) {
    const r = row(p);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) left.set(i, j, left.get(i, j) + p.weight * r[i] * r[j]);
      right.set(i, 0, right.get(i, 0) + p.weight * r[i] * value(p));
    }
  }
  const fit = solve(left, right).to1DArray();
  const size = along === "x" ? fit[1] : fit[2];
  let worst: Departure = { share: 0, time: points[0].time, x: points[0].x, y: points[0].y };
  for (const p of points) {
    const r = row(p);
    const share = (value(p) - fit[0] * r[0] - fit[1] * r[1] - fit[2] * r[2]) / size;
    if (!(Math.abs(share) <= Math.abs(worst.share))) worst = { share, time: p.time, x: p.x, y: p.y };
  }
  return worst;
}
