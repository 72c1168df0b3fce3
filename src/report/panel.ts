// One panel of a picture: traces in one unit over one span of time. A curve is first reduced to its outline, so that a million
// samples cost no more than a few thousand. Labels do not overlap: names stand in a margin beside the ends of their curves.

import { engineering } from "../base/quantity.js";
import { traceBounds } from "../measures/window.js";
import { extremes, type Outline } from "../waveforms/outline.js";
import type { Trace } from "../waveforms/trace.js";
import { curve, pieces } from "./curve.js";
import { DimensionLines, type WordBox } from "./dimensionlines.js";
import type { DrawnMeasure } from "./dimensions.js";
import { leastBand, Means, parted } from "./envelope.js";
import { faint, ink, inks, shorten, text, textWidth } from "./lettering.js";
import { type LimitZone, limitGap, limitLabel, shade } from "./limitzones.js";
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
  /** Span to show, s; the group's if not given. */
  readonly from?: number;
  readonly to?: number;
  readonly limits?: readonly LimitZone[];
  readonly marks?: readonly InstantMark[];
  /** Measures drawn where they were taken; only beside curves, not beside bands. */
  readonly dimensions?: readonly DrawnMeasure[];
  /** A colour for each trace, if the usual ones would not tell them apart: traces that follow one value. */
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
    // Overlaid bands of several traces would show nothing.
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
    const seen = { traces: panel.traces, levels: levelsAt(panel, y), frame, time, y };
    out.push(new DimensionLines(seen, taken).draw(panel.dimensions));
  }
  return out.join("\n");
}

function valueScale(panel: Panel, outlines: readonly Outline[], frame: Frame): Scale {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const meet = (v: number | undefined) => {
    if (v === undefined || !Number.isFinite(v)) return;
    // An overflowed run must not stretch the axis: beyond 1e30 the curve leaves the frame.
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
  // Rounding error on a level line is not a waveform: show at least a millionth of the level.
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
  const labels = (panel.limits ?? []).map(({ label }) => label);
  return heading(title, labels, frame, y);
}

/** The heading of a frame: the unit of its axis, its title and the words of its limits. */
export function heading(title: string, labels: readonly string[], frame: Frame, y: Scale): string {
  const limits = labels.filter((label) => label !== "");
  const baseline = frame.top - 9;
  const width = frame.right - frame.left;
  // The title is shortened for the limits down to two fifths of the width, then the limits for the title.
  const wanted = textWidth(limits.join(limitGap), 12) + 50;
  const spare = limits.length === 0 ? width : Math.max(0.4 * width, width - wanted);
  const shown = shorten(title, 13, spare, true);
  return (
    text(frame.left - 8, baseline, y.unit, { size: 12, fill: faint, anchor: "end", weight: 600 }) +
    text(frame.left, baseline, shown, { size: 13, fill: ink, weight: 600 }) +
    (limits.length === 0
      ? ""
      : limitLabel(limits, frame.right, baseline, width - textWidth(shown, 13, true) - 46))
  );
}

// If the title is the name of the only trace, the name is not repeated beside the curve.
function named(panel: Panel): boolean {
  return panel.traces.length === 1 && panel.traces[0].name === panel.title;
}

// Names beside the ends of their curves, pushed apart where they would meet, joined by short leads.
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

/** Widest name beside a frame, px. */
const mostName = 150;

/** Room for the names of a panel's traces beside its frame, px. */
export function nameRoom(panel: Panel): number {
  if (named(panel)) return 12;
  const widths = panel.traces.map((t) => textWidth(t.name, 13, true));
  return 15 + Math.min(mostName, Math.max(0, ...widths));
}

interface Axes {
  readonly frame: Frame;
  readonly time: Scale;
  readonly y: Scale;
}

// A mark is a dotted line with words beside it, at the top if that is free, else wherever it is freest.
function marks(panel: Panel, { frame, time, y }: Axes, taken: WordBox[]): string {
  return (panel.marks ?? [])
    .filter((m) => m.at >= time.from && m.at <= time.to)
    .map((m) => {
      const x = time.pixel(m.at);
      const fits = x + 5 + textWidth(m.label, 11.5) <= frame.right;
      const side = fits || frame.right - x >= x - frame.left ? 1 : -1;
      const words = shorten(m.label, 11.5, (side > 0 ? frame.right - x : x - frame.left) - 8);
      const width = textWidth(words, 11.5);
      const at = freest(panel, { frame, time, y }, [x, x + side * (width + 5)]);
      const [left, right] = side > 0 ? [x, x + 5 + width] : [x - 5 - width, x];
      if (words !== "") taken.push({ left, right, top: at - 8, bottom: at + 6 });
      taken.push({ left: x - 1.5, right: x + 1.5, top: frame.top, bottom: frame.bottom });
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

/** Levels that words should not cover: those of the limits, and zero. @param t restricts the limits to those of one instant */
function levelsAt({ limits = [] }: Panel, { from, to }: Scale, t?: number): number[] {
  const holds = (limit: LimitZone) =>
    t === undefined ||
    (t >= (limit.from ?? Number.NEGATIVE_INFINITY) && t <= (limit.to ?? Number.POSITIVE_INFINITY));
  const bounds = limits.filter(holds).flatMap(({ low, high }) => [low, high]);
  return [
    ...bounds.filter((v) => v !== undefined && Number.isFinite(v)),
    ...(from < 0 && to > 0 ? [0] : []),
  ] as number[];
}

/** The height at which words from x0 to x1 are clear of curves and levels: the topmost of the freest ones. */
function freest(panel: Panel, { frame, time, y }: Axes, [x0, x1]: readonly [number, number]): number {
  const enough = 12;
  const perPixel = (time.to - time.from) / (time.pixel(time.to) - time.pixel(time.from));
  const instant = (k: number) => time.from + (x0 + ((x1 - x0) * k) / 12 - time.pixel(time.from)) * perPixel;
  const ends = [instant(0), instant(12)];
  const levels = levelsAt(panel, y, (ends[0] + ends[1]) / 2).map((v) => [y.pixel(v), y.pixel(v)]);
  const curves = panel.traces.flatMap((trace) =>
    Array.from({ length: 12 }, (_, k) => {
      const [a, b] = [instant(k), instant(k + 1)];
      const [from, to] = [Math.max(Math.min(a, b), trace.from), Math.min(Math.max(a, b), trace.to)];
      if (!(from <= to)) return [Number.NaN, Number.NaN];
      const { low, high } = traceBounds(trace, from, to);
      return [y.pixel(high), y.pixel(low)];
    }),
  );
  const taken = [...levels, ...levels, ...curves].filter(([top, bottom]) => top <= bottom);
  const near = (at: number) =>
    taken.reduce((sum, [top, bottom]) => sum + Math.max(0, enough - Math.max(0, top - at, at - bottom)), 0);
  let [best, least] = [frame.top + 11, Number.POSITIVE_INFINITY];
  for (let at = frame.top + 11; at <= frame.bottom - 10 && least > 0; at += 4) {
    const cost = near(at);
    if (cost < least) [best, least] = [at, cost];
  }
  return best;
}
