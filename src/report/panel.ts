// One panel of a picture: traces in one unit over one span of time. A curve is cut to its outline first, so that a million samples
// cost no more than a few thousand. No label lies on another: names stand in a margin beside the ends of their curves.

import { engineering } from "../base/quantity.js";
import { extremes, type Outline } from "../waveforms/outline.js";
import type { Trace } from "../waveforms/trace.js";
import { curve, pieces } from "./curve.js";
import { DimensionLines, type WordBox } from "./dimensionlines.js";
import type { DrawnMeasure } from "./dimensions.js";
import { leastBand, Means, parted } from "./envelope.js";
import { faint, ink, inks, shorten, text, textWidth } from "./lettering.js";
import { type LimitZone, limitLabel, shade } from "./limitzones.js";
import { coordinate, element, safe } from "./markup.js";
import { airy, type Frame, type Scale, scale } from "./scale.js";

/** An instant to point out, s. */
interface InstantMark {
  readonly at: number;
  readonly label: string;
}

/** One panel. Its traces share one unit. */
export interface Panel {
  readonly title: string;
  readonly traces: readonly Trace[];
  /** Span to show, s; the group's own where it is not given. */
  readonly from?: number;
  readonly to?: number;
  readonly limits?: readonly LimitZone[];
  readonly marks?: readonly InstantMark[];
  /** Measures to be drawn where they were taken; beside curves alone, not beside bands. */
  readonly dimensions?: readonly DrawnMeasure[];
  /** A colour for each trace, where the usual ones would not tell them apart: traces that follow one value. */
  readonly inks?: readonly string[];
}

const grid = "#e4e8ec";

/** Draws a panel. `id` must be unique in the picture. */
export function drawPanel(panel: Panel, frame: Frame, time: Scale, id: string): string {
  const outlines = panel.traces.map((t) => extremes(t, time.from, time.to, 2 * (frame.right - frame.left)));
  const y = valueScale(panel, outlines, frame);
  const out: string[] = [];
  const width = frame.right - frame.left;
  const height = frame.bottom - frame.top;
  out.push(element("rect", { x: frame.left, y: frame.top, width, height, fill: "#ffffff" }));
  for (const limit of panel.limits ?? []) out.push(shade(limit, frame, time, y));
  out.push(gridLines(frame, time, y) + zeroLine(frame, y));
  const inside: string[] = [];
  let banded = outlines.length > 1;
  outlines.forEach((o, k) => {
    const own = panel.inks?.[k];
    const round = own ? 0 : Math.floor(k / inks.length);
    const colour = own ?? inks[k % inks.length];
    // Bands of several traces over each other would tell nothing.
    if (outlines.length > 1) inside.push(curve(o, time, y, colour, round));
    else {
      const seen = {
        from: time.from,
        to: time.to,
        columns: Math.ceil(width),
        least: (leastBand * (y.to - y.from)) / height,
      };
      const parts = parted(o, seen, () => new Means(panel.traces[k]));
      banded ||= parts.some(({ type }) => type === "band");
      inside.push(pieces(o, parts, time, y, colour));
    }
  });
  out.push(
    element("clipPath", { id }, element("rect", { x: frame.left, y: frame.top, width, height })),
    element("g", { "clip-path": `url(#${id})` }, inside.join("")),
    element("rect", { x: frame.left, y: frame.top, width, height, fill: "none", stroke: "#c3cad1" }),
  );
  out.push(headingOf(panel, frame, y), names(panel, outlines, frame, y));
  const taken: WordBox[] = [];
  out.push(marks(panel, { frame, time, y }, taken));
  if (!banded && panel.dimensions) {
    const levels = (panel.limits ?? []).flatMap(({ low, high }) =>
      [low, high].filter((v) => v !== undefined),
    );
    const seen = { traces: panel.traces, levels, frame, time, y };
    out.push(new DimensionLines(seen, taken).draw(panel.dimensions));
  }
  return out.join("\n");
}

function valueScale(panel: Panel, outlines: readonly Outline[], frame: Frame): Scale {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const meet = (v: number | undefined) => {
    if (v === undefined || !Number.isFinite(v)) return;
    // A run that overflowed must not take the axis with it: beyond 1e30 the curve leaves the frame.
    const seen = Math.max(-1e30, Math.min(1e30, v));
    low = Math.min(low, seen);
    high = Math.max(high, seen);
  };
  for (const o of outlines) for (const v of o.value) meet(v);
  for (const l of panel.limits ?? []) {
    meet(l.low);
    meet(l.high);
  }
  if (low > high) [low, high] = [0, 1];
  // Rounding dust on a level line is not a waveform: show at least a millionth of the level.
  const dust = 1e-6 * Math.max(Math.abs(low), Math.abs(high));
  const range = high - low > dust ? airy(low, high) : airy(Math.min(0, low), Math.max(0, high));
  const unit = panel.traces[0]?.unit ?? "";
  const room = Math.max(2, Math.floor((frame.bottom - frame.top) / 24));
  const place = { start: frame.bottom, end: frame.top, room };
  return scale(range, unit, place, { far: 500, round: true });
}

/** The grid of both axes, with the labels of the upright one. */
export function gridLines(frame: Frame, across: Scale, y: Scale): string {
  const lines: string[] = [];
  const labels: string[] = [];
  for (const t of across.ticks) {
    const x = coordinate(across.pixel(t.value));
    lines.push(`M${x} ${coordinate(frame.top)}V${coordinate(frame.bottom)}`);
  }
  for (const t of y.ticks) {
    const at = y.pixel(t.value);
    lines.push(`M${coordinate(frame.left)} ${coordinate(at)}H${coordinate(frame.right)}`);
    labels.push(text(frame.left - 8, at + 4, t.label, { size: 12, fill: faint, anchor: "end" }));
  }
  return element("path", { d: lines.join(""), stroke: grid, fill: "none" }) + labels.join("");
}

function zeroLine(frame: Frame, y: Scale): string {
  if (!(y.from < 0 && y.to > 0)) return "";
  const d = `M${coordinate(frame.left)} ${coordinate(y.pixel(0))}H${coordinate(frame.right)}`;
  return element("path", { d, stroke: "#b4bcc5", fill: "none" });
}

function headingOf(panel: Panel, frame: Frame, y: Scale): string {
  const unit = panel.traces[0]?.unit ?? "";
  const title = y.origin === 0 ? panel.title : `${panel.title}, from ${engineering(y.origin, unit, 9)}`;
  return heading(title, (panel.limits ?? []).map((l) => l.label).join("  ·  "), frame, y);
}

/** What stands above a frame: the unit of its axis, its title and the words of its limits. */
export function heading(title: string, limits: string, frame: Frame, y: Scale): string {
  const baseline = frame.top - 9;
  const width = frame.right - frame.left;
  // The title gives way to the limits down to two fifths of the width, then the limits to the title.
  const spare = limits === "" ? width : Math.max(0.4 * width, width - textWidth(limits, 12) - 50);
  const shown = shorten(title, 13, spare, true);
  return (
    text(frame.left - 8, baseline, y.unit, { size: 12, fill: faint, anchor: "end", weight: 600 }) +
    text(frame.left, baseline, shown, { size: 13, fill: ink, weight: 600 }) +
    (limits === "" ? "" : limitLabel(limits, frame.right, baseline, width - textWidth(shown, 13, true) - 46))
  );
}

// Where the title is the name of the only trace, the name need not stand beside the curve again.
function named(panel: Panel): boolean {
  return panel.traces.length === 1 && panel.traces[0].name === panel.title;
}

// Names beside the ends of their curves, pushed apart where they would meet, joined by a short lead.
function names(panel: Panel, outlines: readonly Outline[], frame: Frame, y: Scale): string {
  if (named(panel)) return "";
  const pitch = 15;
  const entries = panel.traces
    .map((trace, k) => {
      const v = outlines[k].value[outlines[k].value.length - 1] ?? y.from;
      const end = Math.min(Math.max(y.pixel(v), frame.top), frame.bottom);
      return { name: trace.name, end, at: end, colour: panel.inks?.[k] ?? inks[k % inks.length] };
    })
    .sort((a, b) => a.end - b.end);
  let floor = frame.top + 5;
  for (const e of entries) {
    e.at = Math.max(e.at, floor);
    floor = e.at + pitch;
  }
  let roof = frame.bottom - 3;
  for (const e of [...entries].reverse()) {
    e.at = Math.min(e.at, roof);
    roof = e.at - pitch;
  }
  return entries
    .map((e) => {
      const lead = `M${coordinate(frame.right + 2)} ${coordinate(e.end)}L${coordinate(frame.right + 10)} ${coordinate(e.at)}`;
      return (
        element("path", { d: lead, stroke: e.colour, fill: "none", "stroke-width": 1.25 }) +
        element(
          "g",
          {},
          element("title", {}, safe(e.name)) +
            text(frame.right + 13, e.at + 4, shorten(e.name, 13, mostName, true), {
              size: 13,
              fill: e.colour,
              weight: 600,
            }),
        )
      );
    })
    .join("");
}

/** The most room that a name may take beside a frame, px. */
const mostName = 150;

/** Room that the names of a panel's traces take beside its frame, px. */
export function nameRoom(panel: Panel): number {
  if (named(panel)) return 12;
  const widths = panel.traces.map((t) => textWidth(t.name, 13, true));
  return 15 + Math.min(mostName, Math.max(0, ...widths));
}

// A mark is a dotted line; its words stand beside it, at the top where that is free, else wherever it is freest.
function marks(
  panel: Panel,
  { frame, time, y }: { readonly frame: Frame; readonly time: Scale; readonly y: Scale },
  taken: WordBox[],
): string {
  return (panel.marks ?? [])
    .filter((m) => m.at >= time.from && m.at <= time.to)
    .map((m) => {
      const x = time.pixel(m.at);
      const fits = x + 5 + textWidth(m.label, 11.5) <= frame.right;
      const side = fits || frame.right - x >= x - frame.left ? 1 : -1;
      const words = shorten(m.label, 11.5, (side > 0 ? frame.right - x : x - frame.left) - 8);
      const width = textWidth(words, 11.5);
      const spots = [frame.top + 11, frame.bottom - 10, (frame.top + frame.bottom) / 2];
      const clear = spots.map((at) => clearance(panel, time, y, [x, x + side * (width + 5)], at));
      const at = spots[clear[0] >= 12 ? 0 : clear.indexOf(Math.max(...clear))];
      const [left, right] = side > 0 ? [x, x + 5 + width] : [x - 5 - width, x];
      if (words !== "") taken.push({ left, right, top: at - 8, bottom: at + 6 });
      return (
        element("path", {
          d: `M${coordinate(x)} ${coordinate(frame.top)}V${coordinate(frame.bottom)}`,
          stroke: faint,
          "stroke-dasharray": "2 3",
          fill: "none",
        }) +
        text(x + side * 5, at + 4, words, {
          size: 11.5,
          fill: faint,
          anchor: side < 0 ? "end" : "start",
          halo: true,
        })
      );
    })
    .join("");
}

// How far the nearest curve or limit is from a height, px, looked at in twelve places from x0 to x1.
function clearance(
  panel: Panel,
  time: Scale,
  y: Scale,
  [x0, x1]: readonly [number, number],
  at: number,
): number {
  let nearest = Number.POSITIVE_INFINITY;
  const meet = (v: number | undefined) => {
    if (v !== undefined && Number.isFinite(v)) nearest = Math.min(nearest, Math.abs(y.pixel(v) - at));
  };
  for (const l of panel.limits ?? []) {
    meet(l.low);
    meet(l.high);
  }
  const pixel = (time.to - time.from) / (time.pixel(time.to) - time.pixel(time.from));
  for (let k = 0; k < 12; k++) {
    const t = time.from + (x0 + ((x1 - x0) * k) / 11 - time.pixel(time.from)) * pixel;
    for (const trace of panel.traces) if (t >= trace.from && t <= trace.to) meet(trace.at(t));
  }
  return nearest;
}
