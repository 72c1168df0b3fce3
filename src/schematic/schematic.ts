// The schematic of a design, from its text alone: signals from left to right, rails above and ground below, parts between a
// rail and a wire upright, blocks as frames. The same design always gives the same drawing.
import { asked, refuseOption } from "../base/asked.js";
import { refusal } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import { didYouMean } from "../base/nearest.js";
import type { Design } from "../design/design.js";
import { ink, shorten, text, textWidth } from "../report/lettering.js";
import { element, safe } from "../report/markup.js";
import type { Contents } from "../report/page.js";
import { Canvas, drawingStyle } from "./canvas.js";
import { compose } from "./composing.js";
import { DrawnDesign } from "./items.js";

/** What a drawing shows. */
export interface DrawOptions {
  /** Full names of the blocks drawn open, or `true` for all; none unless given. */
  readonly open?: readonly string[] | true;
  /** Words below the names of places, by place: a peak, for example. */
  readonly notes?: ReadonlyMap<string, string>;
  /** Words in red where something is wrong, by place: the checks that fail there, for example. */
  readonly failing?: ReadonlyMap<string, string>;
  /** Full names of parts drawn as failing. */
  readonly alarmed?: readonly string[];
  /** Prefix of the ids in the drawing, if several share one page; `schematic` unless given. */
  readonly id?: string;
}

/** Most parts in a drawing: nobody reads more, and the time grows faster than the number of parts. */
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
 * @throws DesignError `too-large-to-draw`, or `bad-option` for an unknown block
 */
export function draw(design: Design, options: DrawOptions = {}): string {
  handed("design", design);
  asked(options, { open: "any", notes: "any", failing: "any", alarmed: "texts", id: "text" });
  const { open = [], alarmed = [], id = "schematic" } = options;
  const notes = wordsByPlace(options.notes, "notes");
  const failing = wordsByPlace(options.failing, "failing");
  if (design.parts.length > mostDrawn)
    throw refusal(
      "too-large-to-draw",
      `a schematic holds at most ${mostDrawn} parts, and the design has ${design.parts.length}`,
      "draw a part of the design, as a text of its own",
    );
  const sheet = new DrawnDesign(design);
  const opened = open === true ? [] : openedOf(design, open);
  const isOpen = (block: string) => open === true || opened.includes(block);
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

/** The schematic for the page, with blocks closed and open; none for a design too large for one. */
export function schematicOf(design: Design): Contents["schematic"] {
  if (design.parts.length > mostDrawn) return undefined;
  const closed = draw(design);
  return {
    closed,
    open: blockNames(design).size > 0 ? draw(design, { open: true, id: "schematic-open" }) : closed,
  };
}

export function blockNames(design: Design): ReadonlySet<string> {
  const blocks = new Set<string>();
  for (const part of design.parts)
    for (let at = part.name.indexOf("."); at >= 0; at = part.name.indexOf(".", at + 1))
      blocks.add(part.name.slice(0, at));
  return blocks;
}

/** The blocks asked to be open. @throws DesignError `bad-option` */
function openedOf(design: Design, open: readonly string[]): readonly string[] {
  asked({ open }, { open: "texts" });
  const blocks = blockNames(design);
  for (const name of open)
    if (!blocks.has(name))
      refuseOption("open", `no block is called '${name}'`, didYouMean(name, [...blocks]));
  return open;
}

/** Words by place, none unless given. @throws DesignError `bad-option` */
function wordsByPlace(
  given: ReadonlyMap<string, string> = new Map(),
  option: string,
): ReadonlyMap<string, string> {
  if (!(given instanceof Map)) refuseOption(option, "expected a map of texts by place");
  return given;
}
