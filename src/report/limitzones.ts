// The limits of a check in a panel. The allowed side is shaded: everything between two bounds, or a narrow strip along a single
// one.
import { shorten, text, textWidth } from "./lettering.js";
import { coordinate, element } from "./markup.js";
import type { Frame, Scale } from "./scale.js";

/** A limit to show: a shaded band, or an edge if one bound is missing. */
export interface LimitZone {
  readonly low?: number;
  readonly high?: number;
  /** The span in which it holds, s; the panel's if not given. */
  readonly from?: number;
  readonly to?: number;
  readonly label: string;
}

/** Colour of the allowed band, and of its edge. */
export const zone = "#f3d9a4";
export const zoneEdge = "#a87400";

/** How far what is allowed is shaded from a single bound, px. */
const strip = 7;

/** What is allowed, shaded, and the edges of it. */
export function shade(limit: LimitZone, frame: Frame, time: Scale, y: Scale): string {
  const within = (t: number) => time.pixel(Math.min(Math.max(t, time.from), time.to));
  const left = limit.from === undefined ? frame.left : within(limit.from);
  const right = limit.to === undefined ? frame.right : within(limit.to);
  const width = right - left;
  if (!(width > 0)) return "";
  const edge = (v: number) =>
    element("path", {
      d: `M${coordinate(left)} ${coordinate(y.pixel(v))}H${coordinate(right)}`,
      stroke: zoneEdge,
      "stroke-width": 1,
      "stroke-dasharray": "5 3",
      fill: "none",
    });
  const { low, high } = bounded(limit);
  const both = low !== undefined && high !== undefined;
  if (low === undefined && high === undefined) return "";
  const top = high === undefined ? y.pixel(low!) - strip : y.pixel(high);
  const bottom = low === undefined ? top + strip : y.pixel(low);
  const height = Math.max(1.5, Math.min(bottom, frame.bottom) - Math.max(top, frame.top));
  const box = element("rect", {
    x: left,
    y: Math.max(top, frame.top),
    width,
    height,
    fill: zone,
    "fill-opacity": both ? 0.55 : 0.8,
  });
  return box + (low === undefined ? "" : edge(low)) + (high === undefined ? "" : edge(high));
}

/** The same where limits move along an axis: given at some of its values, straight between them. */
export function shadeMoving(
  limits: readonly Pick<LimitZone, "low" | "high">[],
  at: readonly number[],
  across: Scale,
  y: Scale,
): string {
  const line = (of: "low" | "high") =>
    limits.every((one) => Number.isFinite(one[of]))
      ? limits.map((one, i) => ({ x: across.pixel(at[i]), y: y.pixel(one[of]!) }))
      : undefined;
  const [low, high] = [line("low"), line("high")];
  const moved = (points: typeof low, by: number) => points?.map((one) => ({ x: one.x, y: one.y + by }));
  const top = high ?? moved(low, -strip);
  const bottom = low ?? moved(high, strip);
  if (!top || !bottom) return "";
  const path = (points: readonly { readonly x: number; readonly y: number }[]) =>
    points.map((one) => `${coordinate(one.x)} ${coordinate(one.y)}`).join("L");
  const d = `M${path(top)}L${path([...bottom].reverse())}Z`;
  const edges = [low, high].map((points) =>
    points === undefined
      ? ""
      : element("path", { d: `M${path(points)}`, stroke: zoneEdge, "stroke-dasharray": "5 3", fill: "none" }),
  );
  return element("path", { d, fill: zone, "fill-opacity": low && high ? 0.55 : 0.8 }) + edges.join("");
}

/** A limit without its non-finite bounds: an infinite bound bounds nothing. */
function bounded(limit: LimitZone): LimitZone {
  const known = (v: number | undefined) => (Number.isFinite(v) ? v : undefined);
  return { ...limit, low: known(limit.low), high: known(limit.high) };
}

/** Separator between the words of two limits. */
export const limitGap = "  ·  ";

/** Limits as `name: bounds` fitted to a width: names are shortened first, bounds last. */
function fitted(labels: readonly string[], width: number): string {
  const whole = labels.join(limitGap);
  if (textWidth(whole, 12) <= width) return whole;
  const parts = labels.map((label) => {
    const at = label.lastIndexOf(": ");
    return { name: label.slice(0, Math.max(0, at)), bounds: label.slice(at < 0 ? 0 : at + 2) };
  });
  const bare = parts.map(({ bounds }) => bounds).join(limitGap);
  const left = (width - textWidth(bare, 12)) / parts.length - textWidth("…: ", 12);
  // A letter or two of a name tells nothing, and half a number is wrong.
  if (left < 40)
    return cut(
      parts.map(({ bounds }) => bounds),
      width,
    );
  return parts
    .map(({ name, bounds }) => (name === "" ? bounds : `${shorten(name, 12, left)}: ${bounds}`))
    .join(limitGap);
}

/** As many texts as fit. */
function cut(texts: readonly string[], width: number): string {
  for (let count = texts.length; count > 0; count--) {
    const some = [...texts.slice(0, count), ...(count < texts.length ? ["…"] : [])].join(limitGap);
    if (textWidth(some, 12) <= width) return some;
  }
  return shorten(texts[0], 12, width);
}

/** The words of a panel's limits with a sample of the shading, ending at `right` on a baseline. */
export function limitLabel(words: readonly string[], right: number, baseline: number, width: number): string {
  const left = right - 16;
  return (
    element("rect", { x: left, y: baseline - 9, width: 16, height: 9, fill: zone }) +
    element("path", {
      d: `M${coordinate(left)} ${coordinate(baseline - 9)}h16m0 9h-16`,
      stroke: zoneEdge,
      "stroke-dasharray": "5 3",
      fill: "none",
    }) +
    text(left - 7, baseline, fitted(words, width), { size: 12, fill: "#6b4a00", anchor: "end" })
  );
}
