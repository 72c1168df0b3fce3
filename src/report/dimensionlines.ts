// Dimensions as on a drawing: thin lines with filled arrowheads between two witness lines, with the words where they cover the
// least. A dimension too narrow for arrows inside has them outside (ISO 129-1).
import { traceBounds } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";
import type { DrawnMeasure, TracePoint } from "./dimensions.js";
import { faint, ink, text, textWidth } from "./lettering.js";
import { coordinate, element } from "./markup.js";
import type { Frame, Scale } from "./scale.js";

/** Size of the words, px; length of an arrowhead; least width or height of what gets a dimension. */
const size = 11.5;
const head = 7;
const least = 14;
/** Gap between two lines of words, px. */
const leading = 2;
/** Distance of words from what they must not touch, px. */
const air = 3;
/** Columns of a box in which curves are looked for. */
const columns = 8;

const alarm = "#a3201c";

/** The box of some words in a picture, px. */
export interface WordBox {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Lines of words in a box; they start at its left edge or end at its right. */
interface WordsPlace extends WordBox {
  readonly lines: readonly string[];
  readonly anchor: "start" | "end";
}

/** A candidate place for a dimension: its lines, its arrowheads, its words and their box. */
interface Place {
  readonly lines: string;
  readonly heads: string;
  readonly words: WordsPlace;
  /** Its other boxes, which words and other dimensions keep clear of. */
  readonly lies: readonly WordBox[];
}

/** What a panel shows: its curves, the levels of its limits, its frame and its axes. */
interface Seen {
  readonly traces: readonly Trace[];
  readonly levels: readonly number[];
  readonly frame: Frame;
  readonly time: Scale;
  readonly y: Scale;
}

/** Draws the dimensions of a panel. */
export class DimensionLines {
  private readonly frame: Frame;
  private readonly time: Scale;
  private readonly y: Scale;

  /** @param taken boxes of words already placed */
  constructor(
    private readonly seen: Seen,
    private readonly taken: WordBox[],
  ) {
    ({ frame: this.frame, time: this.time, y: this.y } = seen);
  }

  draw(dimensions: readonly DrawnMeasure[]): string {
    return dimensions.map((one) => this.drawOne(one)).join("");
  }

  private drawOne(one: DrawnMeasure): string {
    const { sort, label, fails } = one;
    const [a, b] = [this.pointOf(one.first), this.pointOf(one.second)];
    const tooSmall =
      sort === "height" ? Math.abs(a.y - b.y) < least : sort === "slope" && b.x - a.x < 2 * least;
    if (tooSmall || this.room(one) < least) return "";
    const places = wordings(label).flatMap((lines) =>
      sort === "height"
        ? this.upright(a, b, lines)
        : sort === "time"
          ? this.level(a, b, lines)
          : this.steep(a, b, lines),
    );
    const inside = places.filter(({ words }) => this.within(words));
    if (inside.length === 0) return "";
    const costs = inside.map((place) => this.cost(place));
    const best = inside[costs.indexOf(Math.min(...costs))];
    this.taken.push(best.words, ...best.lies);
    const colour = fails ? alarm : ink;
    const { left, right, top, anchor } = best.words;
    const words = best.words.lines.map((line, i) =>
      text(anchor === "end" ? right : left, top + air + size * (i + 1) - 1.5 + i * leading, line, {
        size,
        fill: colour,
        anchor,
        halo: true,
      }),
    );
    return element(
      "g",
      { class: "dimension" },
      element("path", { d: best.lines, stroke: fails ? alarm : faint, fill: "none", "stroke-width": 1 }) +
        element("path", { d: best.heads, fill: colour }) +
        words.join(""),
    );
  }

  /** Width of a dimension with its arrows, px: in a whole period narrower than that, arrows would be a smear. */
  private room({ sort, first, second }: DrawnMeasure): number {
    const width = Math.abs(this.time.pixel(second.at) - this.time.pixel(first.at));
    return sort === "time" ? Math.max(width, least) : sort === "height" ? least : width;
  }

  private pointOf({ at, value }: TracePoint) {
    return { x: this.time.pixel(at), y: this.y.pixel(value) };
  }

  /** An upright arrow from one height to the other, at or beside the points where the trace has them. */
  private upright(a: Point, b: Point, label: readonly string[]): Place[] {
    const places: Place[] = [];
    const near = (x: number) => [0, 10, -10, 20, -20, 32, -32, 46, -46, 64, -64].map((by) => x + by);
    for (const x of new Set([...near(a.x), ...near(b.x)])) {
      if (x < this.frame.left + 4 || x > this.frame.right - 4) continue;
      const lines = `${witness(a, { x, y: a.y })}${witness(b, { x, y: b.y })}M${point(x, a.y)}V${coordinate(b.y)}`;
      const heads = arrow(x, b.y, 0, -1) + arrow(x, a.y, 0, 1);
      const [top, bottom] = [Math.min(a.y, b.y) + 3, Math.max(a.y, b.y) - 3];
      const lies = [{ left: x - 3, right: x + 3, top, bottom }];
      for (const share of [0.5, 0.7, 0.3, 0.85, 0.15])
        for (const side of [1, -1])
          places.push({
            lines,
            heads,
            lies,
            words: boxAt(x + side * 7, a.y + share * (b.y - a.y), label, side),
          });
    }
    return places;
  }

  /** A level arrow from one instant to the other; from outside if there is no room between them. */
  private level(a: Point, b: Point, label: readonly string[]): Place[] {
    const { top, bottom } = this.frame;
    const places: Place[] = [];
    const wide = b.x - a.x >= 3 * head;
    const tail = wide ? 0 : 2 * head;
    for (const share of [0.25, 0.2, 0.32, 0.4, 0.55, 0.7, 0.16, 0.9, 0.12, 0.8]) {
      const at = top + share * (bottom - top);
      const lines =
        witness(a, { x: a.x, y: at }) +
        witness(b, { x: b.x, y: at }) +
        (wide
          ? `M${point(a.x, at)}H${coordinate(b.x)}`
          : `M${point(a.x - tail, at)}H${coordinate(a.x)}M${point(b.x, at)}H${coordinate(b.x + tail)}`);
      const heads = wide
        ? arrow(a.x, at, -1, 0) + arrow(b.x, at, 1, 0)
        : arrow(a.x, at, 1, 0) + arrow(b.x, at, -1, 0);
      const lies = [{ left: a.x - tail, right: b.x + tail, top: at - 3, bottom: at + 3 }];
      for (const side of [1, -1])
        places.push({
          lines,
          heads,
          lies,
          words: boxAt(side > 0 ? b.x + tail + 5 : a.x - tail - 5, at, label, side),
        });
    }
    return places;
  }

  /** The two sides of a slope, time along and height up, below the curve if it rises. */
  private steep(a: Point, b: Point, label: readonly string[]): Place[] {
    const places: Place[] = [];
    for (const corner of [
      { x: b.x, y: a.y },
      { x: a.x, y: b.y },
    ]) {
      const lines = `M${point(a.x, a.y)}L${point(corner.x, corner.y)}L${point(b.x, b.y)}`;
      const atA = corner.y === a.y;
      const heads =
        ring(a) + ring(b) + (atA ? arrow(b.x, b.y, 0, Math.sign(b.y - a.y)) : arrow(b.x, b.y, 1, 0));
      const [top, bottom] = [Math.min(a.y, b.y) + 3, Math.max(a.y, b.y) - 3];
      const lies = [
        { left: Math.min(a.x, b.x), right: Math.max(a.x, b.x), top: corner.y - 2, bottom: corner.y + 2 },
        { left: corner.x - 2, right: corner.x + 2, top, bottom },
      ];
      const side = corner.x === b.x ? -1 : 1;
      for (const up of [12, 26, 40, 58])
        for (const aside of [8, 30, 60])
          places.push({
            lines,
            heads,
            lies,
            words: boxAt(
              corner.x + side * aside,
              corner.y + Math.sign(b.y - a.y) * (atA ? up : -up),
              label,
              side,
            ),
          });
    }
    return places;
  }

  private within({ left, right, top, bottom }: WordBox): boolean {
    const { frame } = this;
    return (
      left >= frame.left + 2 && right <= frame.right - 2 && top >= frame.top + 2 && bottom <= frame.bottom - 2
    );
  }

  /** How much the words and lines of a place cover: curves, limits, other words. */
  private cost({ words, lies }: Place): number {
    let sum = 5 * (words.lines.length - 1);
    for (const other of this.taken) {
      sum += 20 * overlap(words, other);
      for (const own of lies) sum += 10 * overlap(own, other);
    }
    for (const level of this.seen.levels) {
      const at = this.y.pixel(level);
      if (at > words.top && at < words.bottom) sum += 30;
    }
    // Words avoid every curve; a line may cross a curve but not run along it.
    sum += 10 * this.curveUnder(words).filter((share) => share > 0).length;
    for (const own of lies) sum += 20 * Math.max(...this.curveUnder(own));
    return sum;
  }

  /** How much of each of eight columns of a box a curve covers, as shares of the height. */
  private curveUnder({ left, right, top, bottom }: WordBox): number[] {
    const { from, to, pixel } = this.time;
    const perPixel = (to - from) / (pixel(to) - pixel(from));
    const edge = (k: number) => from + (left + ((right - left) * k) / columns - pixel(from)) * perPixel;
    return Array.from({ length: columns }, (_, k) => {
      const shares = this.seen.traces.map((trace) => {
        const [start, end] = [Math.max(edge(k), trace.from), Math.min(edge(k + 1), trace.to)];
        if (!(start <= end)) return 0;
        const { low, high } = traceBounds(trace, start, end);
        // A level curve covers one pixel.
        const taken = Math.min(this.y.pixel(low) + 1, bottom) - Math.max(this.y.pixel(high), top);
        return Math.max(0, taken) / (bottom - top);
      });
      return Math.max(0, ...shares);
    });
  }
}

interface Point {
  readonly x: number;
  readonly y: number;
}

const point = (x: number, y: number) => `${coordinate(x)} ${coordinate(y)}`;

/** A line from a point of the curve to the dimension line, and a little beyond. */
function witness(from: Point, to: Point): string {
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const far = Math.hypot(dx, dy);
  if (far < 2) return "";
  return `M${point(from.x, from.y)}L${point(to.x + (4 * dx) / far, to.y + (4 * dy) / far)}`;
}

/** A filled arrowhead with its tip at (x, y), pointing along (dx, dy). */
function arrow(x: number, y: number, dx: number, dy: number): string {
  const [bx, by] = [x - dx * head, y - dy * head];
  return `M${point(x, y)}L${point(bx - 2.6 * dy, by + 2.6 * dx)}L${point(bx + 2.6 * dy, by - 2.6 * dx)}Z`;
}

/** A small ring at a point of the curve. */
const ring = ({ x, y }: Point) => `M${point(x - 2.5, y)}a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0 -5 0Z`;

function boxAt(x: number, middle: number, lines: readonly string[], side: number): WordsPlace {
  const width = Math.max(...lines.map((line) => textWidth(line, size)));
  const half = (lines.length * size + (lines.length - 1) * leading) / 2 + air;
  const left = side > 0 ? x : x - width;
  const anchor = side > 0 ? "start" : "end";
  return { lines, anchor, left, right: left + width, top: middle - half, bottom: middle + half };
}

/** A label on one line, and on two: the measure above its value. */
function wordings(label: string): string[][] {
  const [, what, value] = /^(.*\D) (\S*\d.*)$/.exec(label) ?? [];
  return what === undefined ? [[label]] : [[label], [what, value]];
}

/** The overlap of two boxes, px: the smaller of the two directions. */
function overlap(a: WordBox, b: WordBox): number {
  const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const tall = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  return wide > 0 && tall > 0 ? Math.min(wide, tall) : 0;
}
