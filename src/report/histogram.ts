// How often trials measured what: one histogram per check, each on its own axis, with the limits behind it. Trials that pass are
// filled; those that fail are stacked on them, hollow; a dotted line is the value with everything as designed.
import { engineering } from "../base/quantity.js";
import { shownUnit } from "../design/heading.js";
import { judge } from "../measures/verdict.js";
import { type Trials, trialNumbers } from "../spread/trials.js";
import { faint, inks, text } from "./lettering.js";
import { zone, zoneEdge } from "./limitzones.js";
import { coordinate, element } from "./markup.js";
import { margin, sheet, titleBand } from "./mount.js";
import { gridLines, heading } from "./panel.js";
import { airy, type Frame, plainTicks, type Scale, scale } from "./scale.js";
import { limitText } from "./verdicts.js";

// Measures of the page, px.
const width = 1200;
const headBand = 34;
const panelHeight = 150;
const footBand = 44;
const tickRoom = 56;

const [good, bad] = inks;
/** Bars of a histogram: the square root of the number of trials, within these bounds. */
const fewest = 8;
const mostBars = 48;
/** A limit is shown if it is within this many widths of what was measured. */
const far = 2;

type Check = Trials["checks"][number];

/** Trials of one check by measured value, in its shown unit. */
interface Heap {
  readonly check: Check;
  readonly unit: string;
  readonly low: number;
  readonly step: number;
  readonly passed: Uint32Array;
  readonly failed: Uint32Array;
  readonly nominal: number;
  readonly missing: number;
}

/**
 * Draws what trials measured.
 * @returns SVG text, with a title and a description for those who cannot see it
 * @throws RangeError if no check was looked at
 */
export function histogramPicture(trials: Trials): string {
  if (trials.checks.length === 0) throw new RangeError("a picture needs a check at least");
  const heaps = trials.checks.map((check, k) => heapOf(check, trials.measured[k], trials.nominal[k]));
  const pitch = headBand + panelHeight + footBand;
  const height = titleBand + heaps.length * pitch;
  const count = trialNumbers(trials.slices).length;
  const title = `${trials.title}: ${count === 1 ? "1 trial" : `${count} trials`}`;
  const panels = heaps.map((heap, k) => {
    const top = titleBand + k * pitch + headBand;
    const frame = { left: margin + tickRoom, right: width - margin - 12, top, bottom: top + panelHeight };
    return panel(heap, frame);
  });
  return sheet({ id: "spread", width, height, title, words: heaps.map(describe).join(" ") }, panels);
}

function heapOf(check: Check, measured: readonly number[], nominal: number): Heap {
  const unit = shownUnit(check);
  const by = unit === "%" ? 100 : 1;
  const values = measured.filter(Number.isFinite);
  const { low, high } = values.reduce(
    (seen, v) => ({ low: Math.min(seen.low, v), high: Math.max(seen.high, v) }),
    { low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY },
  );
  const bars = Math.min(mostBars, Math.max(fewest, Math.ceil(Math.sqrt(values.length))));
  // Trials that all measure the same make one bar in the middle of the axis.
  const same = Math.max(Math.abs(low), 1e-30) * 1e-6;
  const [from, to] = high - low > same ? [low, high] : [low - same * bars, low + same * bars];
  const step = (to - from) / bars;
  const [passed, failed] = [new Uint32Array(bars), new Uint32Array(bars)];
  for (const v of values) {
    const bar = Math.min(bars - 1, Math.max(0, Math.floor((v - from) / step)));
    (judge(v, check.limit).pass ? passed : failed)[bar]++;
  }
  const missing = measured.length - values.length;
  return { check, unit, low: from * by, step: step * by, passed, failed, nominal: nominal * by, missing };
}

function panel(heap: Heap, frame: Frame): string {
  const { check, unit, low, step, passed, failed, nominal } = heap;
  const by = unit === "%" ? 100 : 1;
  const end = low + step * passed.length;
  // A limit far away would shrink the histogram to a line.
  const near = (l: number | undefined) => {
    if (l === undefined || l * by < low - far * (end - low) || l * by > end + far * (end - low)) return [];
    return [l * by];
  };
  const [lows, highs] = [near(check.limit.low), near(check.limit.high)];
  const limits = [...lows, ...highs];
  const empty = passed.every((n, i) => n + failed[i] === 0);
  const seen = [...(empty ? [] : [low, end]), ...limits];
  const range = airy(Math.min(...seen), Math.max(...seen));
  const room = Math.floor((frame.right - frame.left) / 110);
  const across = plainTicks(
    scale(range, unit, { start: frame.left, end: frame.right, room }, { far: 500, round: false }),
    unit,
  );
  const tallest = passed.reduce((most, n, i) => Math.max(most, n + failed[i]), 1);
  const up = plainTicks(
    scale({ from: 0, to: tallest * 1.08 }, "", { start: frame.bottom, end: frame.top, room: 4 }),
    "",
  );
  const size = { width: frame.right - frame.left, height: frame.bottom - frame.top };
  const upright = (v: number, look: Record<string, string | number>) =>
    element("path", {
      d: `M${coordinate(across.pixel(v))} ${coordinate(frame.top)}V${coordinate(frame.bottom)}`,
      fill: "none",
      ...look,
    });
  const inside = (l: number | undefined, otherwise: number) =>
    l === undefined ? otherwise : Math.min(Math.max(across.pixel(l * by), frame.left), frame.right);
  const allowed = { left: inside(check.limit.low, frame.left), right: inside(check.limit.high, frame.right) };
  const bars = Array.from(passed, (n, i) =>
    bar([low + i * step, low + (i + 1) * step], n, failed[i], across, up),
  );
  return [
    element("rect", { x: frame.left, y: frame.top, ...size, fill: "#ffffff" }),
    element("rect", {
      x: allowed.left,
      y: frame.top,
      width: allowed.right - allowed.left,
      height: size.height,
      fill: zone,
      "fill-opacity": 0.55,
    }),
    gridLines(frame, across, up),
    ...bars,
    ...limits.map((l) => upright(l, { stroke: zoneEdge, "stroke-dasharray": "5 3" })),
    Number.isFinite(nominal) && nominal >= across.from && nominal <= across.to
      ? upright(nominal, { stroke: faint, "stroke-dasharray": "2 3" })
      : "",
    element("rect", { x: frame.left, y: frame.top, ...size, fill: "none", stroke: "#c3cad1" }),
    heading(titleOf(check), [limitText(check)], frame, up),
    foot(heap, across, frame, limits.length),
  ].join("\n");
}

function bar(
  [from, to]: readonly [number, number],
  passed: number,
  failed: number,
  across: Scale,
  up: Scale,
): string {
  const [left, right] = [across.pixel(from), across.pixel(to)];
  const box = (from: number, to: number, look: Record<string, string | number>) =>
    to > from
      ? element("rect", {
          x: left + 0.5,
          y: up.pixel(to),
          width: Math.max(0.5, right - left - 1),
          height: up.pixel(from) - up.pixel(to),
          ...look,
        })
      : "";
  return (
    box(0, passed, { fill: good }) +
    box(passed, passed + failed, { fill: "#ffffff", stroke: bad, "stroke-width": 1.5 })
  );
}

function foot(
  { check, unit, failed, missing, nominal }: Heap,
  across: Scale,
  frame: Frame,
  limits: number,
): string {
  const ticks = across.ticks.map((t) =>
    text(across.pixel(t.value), frame.bottom + 17, t.label, { size: 12, fill: faint, anchor: "middle" }),
  );
  const by = unit === "%" ? 100 : 1;
  const from = across.origin === 0 ? "" : ` from ${engineering(across.origin / by, unit, 9)}`;
  const label = `${check.what}${from}${across.unit === "" ? "" : ` (${across.unit})`}`;
  const notes = [
    ...(Number.isFinite(nominal) ? [`dotted: as designed, ${engineering(nominal / by, unit)}`] : []),
    ...(failed.some((n) => n > 0) ? ["hollow: fails"] : []),
    ...(limits < [check.limit.low, check.limit.high].filter(Number.isFinite).length
      ? ["a limit lies beyond"]
      : []),
    ...(missing > 0 ? [`${missing} without a value`] : []),
  ].join(" · ");
  const look = { size: 12, fill: faint };
  return [
    ...ticks,
    text((frame.left + frame.right) / 2, frame.bottom + 35, label, {
      ...look,
      anchor: "middle",
      weight: 600,
    }),
    text(frame.right, frame.bottom + 35, notes, { ...look, anchor: "end" }),
  ].join("");
}

function titleOf({ name, what, case: where }: Check): string {
  return `${name}: ${what}${where === "" ? "" : ` in case "${where}"`}`;
}

function describe({ check, passed, failed, missing }: Heap): string {
  const all = (of: Uint32Array) => of.reduce((sum, n) => sum + n, 0);
  const count = all(passed) + all(failed) + missing;
  return `${check.name} (${check.what}) passes in ${all(passed)} of ${count} trials.`;
}
