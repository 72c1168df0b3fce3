// What a drawing consists of, in drawing order: frames, wires, symbols, dots, words. Whatever connects says what it is in data
// attributes, so that a drawing can be read back: a part its pins, a rail its place.
import { darkStyle, inTheDark, onDark } from "../report/darkness.js";
import { faint, ink, text, textWidth } from "../report/lettering.js";
import { element } from "../report/markup.js";

/** A point of the sheet, px. */
export interface SheetPoint {
  readonly x: number;
  readonly y: number;
}

/** A pin as drawn: the part's word for it, and its position. */
export interface DrawnPin extends SheetPoint {
  readonly role: string;
}

/** Size of the words, px. */
export const letterSize = 11;
/** Height of a line of words, px. */
export const lineHeight = 13;

/** Width of a word on the sheet, px. */
export function wide(words: string, bold = false): number {
  return Math.ceil(textWidth(words, letterSize, bold));
}

/** Collects the drawing. */
export class Canvas {
  private readonly frames: string[] = [];
  private readonly wires: string[] = [];
  private readonly symbols: string[] = [];
  private readonly dots: string[] = [];
  private readonly words: string[] = [];

  /** @param alarmed full names of parts drawn as failing; @param failing names of places where something is wrong */
  constructor(
    readonly alarmed: ReadonlySet<string> = new Set(),
    private readonly failing: ReadonlySet<string> = new Set(),
  ) {}

  /** Whether something within a block fails. */
  alarmedWithin(block: string): boolean {
    return [...this.alarmed, ...this.failing].some((name) => name.startsWith(`${block}.`));
  }

  /** A wire along points; neighbours share x or y. */
  wire(...points: readonly SheetPoint[]): void {
    const path = points.map(({ x, y }, i) => `${i === 0 ? "M" : "L"}${x} ${y}`).join("");
    this.wires.push(element("path", { class: "wire", d: path }));
  }

  /** Marks a stretch of wire, from a point to the right, where something is wrong. */
  mark({ x, y }: SheetPoint, length: number): void {
    this.frames.push(element("path", { class: "mark", d: `M${x} ${y}h${length}` }));
  }

  /** The open end of a wire, just beyond a point: a terminal (IEC 60617-3). */
  terminal({ x, y }: SheetPoint, way: "left" | "right"): void {
    const r = 2.5;
    this.dots.push(element("circle", { class: "terminal", cx: way === "right" ? x + r : x - r, cy: y, r }));
  }

  /** A dot where wires that meet are joined. */
  dot({ x, y }: SheetPoint): void {
    this.dots.push(element("circle", { class: "dot", cx: x, cy: y, r: 3 }));
  }

  /** A part: its symbol as markup, moved to a point, and its pins on the sheet. */
  part(
    what: { readonly name: string; readonly kind: string },
    inside: string,
    at: SheetPoint,
    pins: readonly DrawnPin[],
  ): void {
    this.symbols.push(
      element(
        "g",
        {
          class: this.alarmed.has(what.name) ? "part alarm" : "part",
          "data-part": what.name,
          "data-kind": what.kind,
          "data-pins": pins.map(({ role, x, y }) => `${role} ${x} ${y}`).join(" "),
        },
        element("g", { transform: `translate(${at.x} ${at.y})` }, inside),
      ),
    );
  }

  /** Ground, or a rail with its name, at a point; rails above ground point up. */
  rail(place: string, at: SheetPoint, side: "up" | "down"): void {
    const ground = place === "ground";
    const d = ground ? "M0 0V6M-9 6H9M-6 9.5H6M-3 13H3" : side === "up" ? "M0 0V-8M-9 -8H9" : "M0 0V8M-9 8H9";
    this.symbols.push(
      element(
        "g",
        { class: "rail", "data-place": place, "data-at": `${at.x} ${at.y}` },
        element("path", { transform: `translate(${at.x} ${at.y})`, d }),
      ),
    );
    if (!ground)
      this.say({ x: at.x, y: side === "up" ? at.y - 12 : at.y + 19 }, place, "middle", this.lookOf(place));
  }

  private lookOf(place: string): "plain" | "alarm" {
    return this.failing.has(place) ? "alarm" : "plain";
  }

  /** A place's name at the end of a wire; ground has its sign at a left end. */
  flag(place: string, at: SheetPoint, anchor: "start" | "end"): void {
    const sign = place === "ground" && anchor === "end";
    const d = "M0 0H-10V6M-19 6H-1M-16 9.5H-4M-13 13H-7";
    const inside = sign ? element("path", { transform: `translate(${at.x} ${at.y})`, d }) : "";
    const attributes = { class: "rail", "data-place": place, "data-at": `${at.x} ${at.y}` };
    this.symbols.push(element("g", attributes, inside));
    if (sign) return;
    this.say({ x: at.x + (anchor === "end" ? -4 : 4), y: at.y + 4 }, place, anchor, this.lookOf(place));
  }

  /** Words, with the point at their baseline. */
  say(
    { x, y }: SheetPoint,
    words: string,
    anchor: "start" | "middle" | "end" = "start",
    look: "plain" | "name" | "faint" | "alarm" = "plain",
  ): void {
    if (words === "") return;
    const fill = look === "faint" ? faint : look === "alarm" ? "#a3201c" : ink;
    this.words.push(
      text(x, y, words, { size: letterSize, fill, anchor, weight: look === "name" ? 600 : undefined }),
    );
  }

  /** The frame of a block: dashed if it is open, plain if it is closed. */
  frame(block: string, { x, y }: SheetPoint, width: number, height: number, open: boolean): void {
    const closed = this.alarmedWithin(block) ? "block alarmed" : "block";
    const look = open ? { class: "open", rx: 6 } : { class: closed, rx: 2 };
    this.frames.push(element("rect", { ...look, x, y, width, height, "data-block": block }));
  }

  get markup(): string[] {
    return [...this.frames, ...this.wires, ...this.symbols, ...this.dots, ...this.words];
  }
}

/** The look of a drawing. */
const lightStyle =
  `.wire,.part path,.part circle,.part rect,.rail path{fill:none;stroke:${ink};stroke-width:1.4;stroke-linejoin:round;stroke-linecap:round}` +
  `.terminal{fill:#ffffff;stroke:${ink};stroke-width:1.4}.part .solid{fill:${ink}}.part .paper{fill:#ffffff}.part .dash{stroke-dasharray:3 3}.dot{fill:${ink}}` +
  `.open{fill:none;stroke:${faint};stroke-dasharray:5 4}.block{fill:#ffffff;stroke:${ink};stroke-width:1.4}` +
  ".mark{fill:none;stroke:#e9a29f;stroke-width:4}.alarm path,.alarm circle,.alarm rect,.block.alarmed{stroke:#a3201c;stroke-width:2.2}";

/** The style of a drawing, with its colours for a dark screen. */
export function drawingStyle(drawn: string): string {
  const dark = lightStyle.replace(/#[0-9a-f]{6}/g, (colour) => inTheDark[colour] ?? "#7a2f2b");
  return lightStyle + onDark(dark) + darkStyle(drawn);
}
