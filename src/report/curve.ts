// A curve as an SVG path. Every finite point lies within a sixth of a pixel of the drawn line, and a straight run takes two
// points however many samples it had.
import type { Outline } from "../waveforms/outline.js";
import { type BandPiece, bandInk, type LinePiece } from "./envelope.js";
import { element } from "./markup.js";
import type { Scale } from "./scale.js";

/** How far an omitted point may lie from the drawn line, px, along y. */
const tolerance = 0.15;

/** Draws the pieces of a parted outline: lines, and bands with their means. */
export function pieces(
  outline: Outline,
  parts: readonly (LinePiece | BandPiece)[],
  time: Scale,
  y: Scale,
  stroke: string,
): string {
  return parts
    .map((part) => {
      if (part.type === "line") {
        const own = (list: Float64Array) => list.subarray(part.first, part.last + 1);
        return curve({ time: own(outline.time), value: own(outline.value) }, time, y, stroke, 0);
      }
      const upper = path({ time: part.time, value: part.high }, time, y);
      const lower = path({ time: part.time, value: part.low }, time, y).slice(1).split("L").toReversed();
      return (
        element("path", {
          class: "band",
          d: `${upper}L${lower.join("L")}Z`,
          fill: stroke,
          "fill-opacity": bandInk,
        }) + curve({ time: part.time, value: part.mean }, time, y, stroke, 0)
      );
    })
    .join("");
}

/**
 * Draws an outline.
 * @param round how many traces of this colour came before: the second is dashed, the third dotted
 * @returns a path element, or nothing for an outline without points
 */
export function curve(o: Outline, time: Scale, y: Scale, stroke: string, round: number): string {
  const d = path(o, time, y);
  if (d === "") return "";
  return element("path", {
    d,
    fill: "none",
    stroke,
    "stroke-width": 1.75,
    "stroke-linejoin": "round",
    "stroke-linecap": "round",
    "stroke-dasharray": round === 0 ? undefined : round === 1 ? "7 4" : "1.5 4",
  });
}

// Straight runs are found with a cone: the directions from the last corner that pass every point since within
// the tolerance. A point outside the cone makes the point before it a corner.
function path(o: Outline, time: Scale, y: Scale): string {
  const n = o.time.length;
  if (n === 0) return "";
  const points: string[] = [];
  const corner = (x: number, v: number) => points.push(`${x.toFixed(1)} ${v.toFixed(1)}`);
  let x0 = time.pixel(o.time[0]);
  // Overflowed values far outside the frame are drawn just outside it.
  const height = (v: number) => Math.max(-1e5, Math.min(1e5, y.pixel(v)));
  let y0 = height(o.value[0]);
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  let x1 = x0;
  let y1 = y0;
  corner(x0, y0);
  for (let i = 1; i < n; i++) {
    const x = time.pixel(o.time[i]);
    const v = height(o.value[i]);
    const steep = x - x0 < 1e-6;
    const slope = (v - y0) / (x - x0);
    if (i > 1 && (steep || slope < low || slope > high)) {
      corner(x1, y1);
      x0 = x1;
      y0 = y1;
      low = Number.NEGATIVE_INFINITY;
      high = Number.POSITIVE_INFINITY;
    }
    if (x - x0 >= 1e-6) {
      low = Math.max(low, (v - tolerance - y0) / (x - x0));
      high = Math.min(high, (v + tolerance - y0) / (x - x0));
    } else {
      // A jump closes the cone, so that the next point makes this one a corner.
      low = Number.POSITIVE_INFINITY;
    }
    x1 = x;
    y1 = v;
  }
  corner(x1, y1);
  // A single point still leaves a dot, thanks to round line ends.
  const distinct = points.filter((p, i) => p !== points[i - 1]);
  return distinct.length === 1 ? `M${distinct[0]}h0.1` : `M${distinct.join("L")}`;
}
