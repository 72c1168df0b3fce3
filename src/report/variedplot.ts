// A picture of measures against a varied value: one panel per check over one axis of the value, with limits drawn. Dots are
// filled if the check passes and hollow if it fails; a point without a value leaves a gap and a cross at the bottom.
import { engineering } from "../base/quantity.js";
import { shownUnit } from "../design/heading.js";
import type { Limit } from "../measures/verdict.js";
import type { Variation, VariedCheck } from "../variation/variation.js";
import { curve } from "./curve.js";
import { faint, inks, text } from "./lettering.js";
import { shade, shadeMoving } from "./limitzones.js";
import { ratioScale } from "./logscale.js";
import { coordinate, element } from "./markup.js";
import { margin, sheet, titleBand } from "./mount.js";
import { gridLines, heading } from "./panel.js";
import { airy, type Frame, plainTicks, type Scale, scale } from "./scale.js";
import { limitText } from "./verdicts.js";

// Measures of the page, px.
const width = 1200;
const headBand = 30;
const panelHeight = 190;
const axisBand = 52;
const tickRoom = 56;

const line = inks[0];
const bad = inks[1];

/**
 * Draws what checks measure along a range of a value.
 * @returns SVG text, with a title and a description for readers who cannot see it
 * @throws RangeError if no check was looked at or all points are the same
 */
export function variationPicture(v: Variation): string {
  const [first, last] = [v.points[0], v.points.at(-1)!];
  if (v.checks.length === 0) throw new RangeError("a picture needs a check at least");
  if (!(last > first)) throw new RangeError("a picture needs two points at least");
  const frame = { left: margin + tickRoom, right: width - margin - 12 };
  const height = titleBand + v.checks.length * (panelHeight + headBand) + axisBand;
  const room = Math.floor((frame.right - frame.left) / 90);
  const range = { from: first, to: last };
  const place = { start: frame.left + 8, end: frame.right - 8, room };
  const { unit, spacing } = v.value;
  const across =
    spacing === "linear" ? plainTicks(scale(range, unit, place), unit) : ratioScale(range, unit, place);
  const panels = v.checks.map((check, k) => {
    const top = titleBand + k * (panelHeight + headBand) + headBand;
    return panel(v, check, { ...frame, top, bottom: top + panelHeight }, across, `variation-frame-${k}`);
  });
  const bottom = titleBand + v.checks.length * (panelHeight + headBand);
  const title = `${v.title}${v.case === "" ? "" : `: ${v.case}`}`;
  const name = `${title}, against ${v.value.name}`;
  return sheet({ id: "variation", width, height, title, name, words: describe(v) }, [
    ...panels,
    foot(v, across, frame, bottom),
  ]);
}

function panel(v: Variation, check: VariedCheck, frame: Frame, across: Scale, id: string): string {
  const unit = shownUnit(check);
  const by = unit === "%" ? 100 : 1;
  const measured = check.measured.map((m) => m * by);
  const bound = (b: number | undefined) => (b === undefined ? undefined : b * by);
  const limitsOf = ({ low, high }: Limit) => ({ low: bound(low), high: bound(high), label: "" });
  const limits = (check.limits ?? [check.limit]).map(limitsOf);
  const up = upScale([...measured, ...limits.flatMap(({ low, high }) => [low, high])], unit, frame);
  const out: string[] = [];
  const size = { width: frame.right - frame.left, height: frame.bottom - frame.top };
  out.push(element("rect", { x: frame.left, y: frame.top, ...size, fill: "#ffffff" }));
  out.push(check.limits ? "" : shade(limits[0], frame, across, up), gridLines(frame, across, up));
  const inside: string[] = [nominalLine(v, frame, across)];
  if (check.limits) inside.unshift(shadeMoving(limits, v.points, across, up));
  for (const stretch of stretches(v.points, measured)) inside.push(curve(stretch, across, up, line, 0));
  const dot = v.points.length > 80 ? 2 : 3.5;
  measured.forEach((m, i) => {
    const x = across.pixel(v.points[i]);
    if (Number.isFinite(m)) inside.push(spot(x, up.pixel(m), dot, check.pass[i]));
    else inside.push(cross(x, frame.bottom - 8));
  });
  out.push(
    element("clipPath", { id }, element("rect", { x: frame.left, y: frame.top, ...size })),
    element("g", { "clip-path": `url(#${id})` }, inside.join("")),
    element("rect", { x: frame.left, y: frame.top, ...size, fill: "none", stroke: "#c3cad1" }),
    headingOf(check, up, frame),
  );
  return out.join("\n");
}

// Runs of points that have a value.
function stretches(points: readonly number[], measured: readonly number[]) {
  const found: { time: number[]; value: number[] }[] = [];
  let open: { time: number[]; value: number[] } | undefined;
  measured.forEach((m, i) => {
    if (!Number.isFinite(m)) {
      open = undefined;
      return;
    }
    if (!open) {
      open = { time: [], value: [] };
      found.push(open);
    }
    open.time.push(points[i]);
    open.value.push(m);
  });
  return found.map(({ time, value }) => ({ time: Float64Array.from(time), value: Float64Array.from(value) }));
}

function upScale(levels: readonly (number | undefined)[], unit: string, frame: Frame): Scale {
  const seen = levels.filter((m): m is number => Number.isFinite(m));
  const [low, high] = seen.length > 0 ? [Math.min(...seen), Math.max(...seen)] : [0, 1];
  // Rounding error on a level line is no dependence: show at least a millionth of the level.
  const dust = 1e-6 * Math.max(Math.abs(low), Math.abs(high));
  const range = high - low > dust ? airy(low, high) : airy(Math.min(0, low), Math.max(0, high));
  const room = Math.floor((frame.bottom - frame.top) / 28);
  const place = { start: frame.bottom, end: frame.top, room };
  return plainTicks(scale(range, unit, place, { far: 500, round: true }), unit);
}

function headingOf(check: VariedCheck, up: Scale, frame: Frame): string {
  const unit = shownUnit(check);
  const where = check.case === "" ? "" : ` in case "${check.case}"`;
  const from =
    up.origin === 0 ? "" : `, from ${engineering(unit === "%" ? up.origin / 100 : up.origin, unit, 9)}`;
  const limit = check.limits ? `${limitText(check)} as designed` : limitText(check);
  return heading(`${check.name}: ${check.what}${where}${from}`, [limit], frame, up);
}

function spot(x: number, y: number, r: number, pass: boolean): string {
  return element("circle", {
    cx: x,
    cy: y,
    r,
    fill: pass ? line : "#ffffff",
    stroke: pass ? line : bad,
    "stroke-width": 1.5,
  });
}

function cross(x: number, y: number): string {
  const [a, b] = [coordinate(x - 3.5), coordinate(y - 3.5)];
  return element("path", { d: `M${a} ${b}l7 7m0 -7l-7 7`, stroke: bad, "stroke-width": 1.5, fill: "none" });
}

function nominalLine(v: Variation, frame: Frame, across: Scale): string {
  const { nominal } = v.value;
  if (nominal < v.points[0] || nominal > v.points.at(-1)!) return "";
  return element("path", {
    d: `M${coordinate(across.pixel(nominal))} ${coordinate(frame.top)}V${coordinate(frame.bottom)}`,
    stroke: faint,
    "stroke-dasharray": "2 3",
    fill: "none",
  });
}

function foot(v: Variation, across: Scale, frame: { left: number; right: number }, bottom: number): string {
  const { name, unit, nominal } = v.value;
  const ticks = across.ticks.map((t) =>
    text(across.pixel(t.value), bottom + 17, t.label, { size: 12, fill: faint, anchor: "middle" }),
  );
  const shownUnit = v.value.spacing === "linear" ? across.unit : "";
  const from = across.origin === 0 ? "" : ` after ${engineering(across.origin, unit, 9)}`;
  const label = `${name}${from}${shownUnit === "" ? "" : ` (${shownUnit})`}`;
  const inRange = nominal >= v.points[0] && nominal <= v.points.at(-1)!;
  const notes = [
    ...(inRange ? [`dotted: as designed, ${engineering(nominal, unit, 6)}`] : []),
    ...(v.checks.some((c) => c.pass.includes(false)) ? ["hollow: the check fails"] : []),
    ...(v.checks.some((c) => c.measured.some(Number.isNaN)) ? ["cross: no value"] : []),
  ].join(" · ");
  return [
    ticks.join(""),
    text((frame.left + frame.right) / 2, bottom + 37, label, {
      size: 12,
      fill: faint,
      anchor: "middle",
      weight: 600,
    }),
    notes === "" ? "" : text(frame.right, bottom + 37, notes, { size: 12, fill: faint, anchor: "end" }),
  ].join("");
}

function describe(v: Variation): string {
  const { name, unit } = v.value;
  const span = `${engineering(v.points[0], unit)} to ${engineering(v.points.at(-1)!, unit)}`;
  const checks = v.checks.map((c) => {
    const passed = c.pass.filter(Boolean).length;
    return `${c.name} (${c.what}) passes at ${passed} of ${v.points.length} points`;
  });
  return `${name} from ${span}. ${checks.join(". ")}.`;
}
