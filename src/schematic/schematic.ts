// The schematic of a design, from its text alone: signals from left to right, rails above and ground below, parts between a
// rail and a wire upright, blocks as frames. The same design always gives the same drawing.
import { refusal } from "../base/diagnostic.js";
import type { Design } from "../design/design.js";
import { ink, shorten, text, textWidth } from "../report/lettering.js";
import { element, safe } from "../report/markup.js";
import { Canvas, drawingStyle } from "./canvas.js";
import { compose } from "./composing.js";
import { DrawnDesign } from "./items.js";

/** What a drawing is to show. */
export interface DrawOptions {
  /** Full names of the blocks to be drawn open; `true` for all of them, none unless given. */
  readonly open?: readonly string[] | true;
  /** Words below the names of places, by place: a peak, say. */
  readonly notes?: ReadonlyMap<string, string>;
  /** Words in red at places that something is wrong with, by place: the checks that fail there, say. */
  readonly failing?: ReadonlyMap<string, string>;
  /** Full names of parts to be drawn as ones that fail. */
  readonly alarmed?: readonly string[];
  /** Start of the ids in the drawing, where several stand in one page; `schematic` unless given. */
  readonly id?: string;
}

/** The largest number of parts of a drawing: more is read by nobody, and the time grows faster than the parts do. */
export const mostDrawn = 5000;

const margin = 28;
const head = 34;

/**
 * The schematic as SVG text: self-contained, without script.
 *
 * @category Pictures
 * @example
 * ```ts
 * writeFileSync("schematic.svg", draw(design));
 * ```
 * @throws DesignError `too-large-to-draw`
 */
export function draw(design: Design, options: DrawOptions = {}): string {
  const {
    open = [],
    notes = new Map<string, string>(),
    failing = new Map<string, string>(),
    alarmed = [],
    id = "schematic",
  } = options;
  if (design.parts.length > mostDrawn)
    throw refusal(
      "too-large-to-draw",
      `a schematic holds at most ${mostDrawn} parts, and the design has ${design.parts.length}`,
      "draw a part of the design, as a text of its own",
    );
  const sheet = new DrawnDesign(design);
  const isOpen = open === true ? () => true : (block: string) => open.includes(block);
  const whole = compose(sheet, sheet.root, { left: [], right: [] }, { open: isOpen, notes, failing });
  const canvas = new Canvas(new Set(alarmed), new Set(failing.keys()));
  whole.paint(canvas, margin, margin + head);
  const title = design.caseName === "" ? design.title : `${design.title}: ${design.caseName}`;
  const width = Math.ceil(
    Math.max(whole.width + 2 * margin, Math.min(textWidth(title, 17, true) + 2 * margin, 900)),
  );
  const height = Math.ceil(whole.height + 2 * margin + head);
  const laid = [
    element("rect", { width, height, fill: "#ffffff" }),
    text(margin, margin + 10, shorten(title, 17, width - 2 * margin, true), {
      size: 17,
      fill: ink,
      weight: 600,
    }),
    ...canvas.markup,
  ];
  const words = `Schematic of ${design.parts.length} parts`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}"` +
      ` role="img" aria-labelledby="${id}-title ${id}-words" font-family="system-ui, sans-serif">`,
    element("title", { id: `${id}-title` }, safe(title)),
    element("desc", { id: `${id}-words` }, safe(words)),
    element("style", {}, drawingStyle(laid.join(""))),
    ...laid,
    "</svg>",
    "",
  ].join("\n");
}
