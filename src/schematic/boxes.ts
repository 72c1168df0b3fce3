// What a sheet consists of, each item as a box: its size, its pins at the left and right edge, and how it is painted.
// A box paints only within its size, so boxes that do not overlap draw nothing over each other.
import { element } from "../report/markup.js";
import { type Canvas, type DrawnPin, lineHeight, wide } from "./canvas.js";
import { bladeAt, half, long, twoPins } from "./symbols.js";

/** A net: the index of a place. */
export type Net = number;

/** Where a wire may leave a box: at its left or right edge, `y` below its top, px. */
export interface Pin {
  readonly net: Net;
  readonly side: "left" | "right";
  readonly y: number;
}

/** Something of a fixed size with pins at its edges. */
export interface Box {
  readonly width: number;
  readonly height: number;
  readonly pins: readonly Pin[];
  /** The net that it carries from its left edge to its right, if any. */
  readonly carries?: Net | undefined;
  /** True if words stand at its top, which need less distance from what is above them than a symbol does. */
  readonly headed?: boolean | undefined;
  /** The same with its two inputs in the other order, if either order will do. */
  readonly turned?: Box | undefined;
  paint(canvas: Canvas, x: number, y: number): void;
}

/** A box in its column. */
export interface Placed {
  readonly box: Box;
  readonly column: number;
  /** Top, px. */
  y: number;
}

/** The words of a part in a drawing. */
export interface PartLabel {
  /** Full name. */
  readonly name: string;
  /** Name within its frame, then its value, then anything else. */
  readonly lines: readonly string[];
  /** The kind's word. */
  readonly kind: string;
  /** Its symbol, if it is not its kind's. */
  readonly look?: string | undefined;
  readonly words: ReadonlySet<string>;
}

/** An end of a part: the part's word for it, its net, and its rail if it is one. */
export interface End {
  readonly role: string;
  readonly net: Net;
  /** Set for ground and supplies, which are drawn again at each pin. */
  readonly rail?: { readonly place: string; readonly side: "up" | "down" };
}

/** A part of two pins, with its controls. */
export interface TwoPins {
  readonly label: PartLabel;
  readonly tail: End;
  readonly head: End;
  readonly controls: readonly End[];
}

export const pinStep = 20;
/** Distance from the upper end of an upright part down to its control: for a switch, to its blade. */
export const controlDrop = (i: number, { length }: readonly End[]) => (length === 1 ? 36 : pinStep * (i + 1));
export const pinLead = 10;
/** Room for a rail and its name beyond a pin. */
export const railRoom = 28;
/** Heights of pins are multiples of this, so that neighbours can line up. */
const grid = 4;
export const snap = (y: number) => Math.ceil(y / grid) * grid;
export const labelGap = 8;

export const labelWidth = ({ lines }: PartLabel) => Math.max(...lines.map((line, i) => wide(line, i === 0)));
export const railWidth = ({ rail }: End) =>
  !rail || rail.place === "ground" ? 18 : Math.max(18, wide(rail.place));

/** Writes the lines of a label downwards, the first in bold with its foot at the point. */
export function sayLabel(
  canvas: Canvas,
  label: PartLabel,
  x: number,
  y: number,
  anchor: "start" | "middle" = "start",
): void {
  for (const [i, line] of label.lines.entries()) {
    const look = i > 0 ? "faint" : canvas.alarmed.has(label.name) ? "alarm" : "name";
    canvas.say({ x, y: y + i * lineHeight }, line, anchor, look);
  }
}

/** A part of two pins upright at (x, y), its upper end first; the pins of its controls are to its left. */
export function upright(canvas: Canvas, pair: TwoPins, upper: End, x: number, y: number): void {
  const { label, tail, head, controls } = pair;
  const falls = upper === tail;
  const ends = [
    { role: tail.role, x, y: falls ? y : y + long },
    { role: head.role, x, y: falls ? y + long : y },
  ];
  const turn = `translate(0 ${falls ? 0 : long}) rotate(${falls ? 90 : -90})`;
  const links = controls.map((_, i) => {
    const drop = controlDrop(i, controls);
    return dashed(`M${falls ? acted(label, drop) : -acted(label, long - drop)} ${drop}H${-half - 4}`);
  });
  const inside = links.join("") + element("g", { transform: turn }, twoPins(label.look ?? label.kind));
  canvas.part(label, inside, { x, y }, [...ends, ...controlPins(controls, x - half - 4, y)]);
  sayLabel(canvas, label, x + half + 6, y + 20);
}

/** How far beside the line from pin to pin a control acts on a part, so far from its tail: on the blade of a switch. */
export const acted = ({ look, kind }: PartLabel, along: number) =>
  (look ?? kind) === "switch" ? bladeAt(along) : 0;

/** A control's action on a part: dashed, from the part on, as a link that carries no current. */
export const dashed = (d: string) => element("path", { d, class: "dash" });

/** Pins of controls at x, from one step below y. */
function controlPins(controls: readonly End[], x: number, y: number): DrawnPin[] {
  return controls.map(({ role }, i) => ({ role, x, y: y + controlDrop(i, controls) }));
}

/** Wires, or names of rails, from the left edge to the controls of an upright part. */
export function controlWires(
  canvas: Canvas,
  controls: readonly End[],
  left: number,
  x: number,
  y: number,
): void {
  for (const [i, { rail }] of controls.entries()) {
    const at = { x, y: y + controlDrop(i, controls) };
    if (rail) canvas.flag(rail.place, at, "end");
    else canvas.wire({ x: left, y: at.y }, at);
  }
}

export const controlRoom = (controls: readonly End[]) =>
  Math.max(0, ...controls.map((end) => (end.rail ? wide(end.rail.place) + 8 : 0)));

/** A wire that passes through a column. */
export function passing(net: Net): Box {
  return {
    width: 0,
    height: 8,
    carries: net,
    pins: [
      { net, side: "left", y: 4 },
      { net, side: "right", y: 4 },
    ],
    paint: () => undefined,
  };
}

/** Words at a net: its name, a note, and which checks fail there. */
export interface NetWords {
  readonly place: string;
  readonly note: string;
  readonly fails: string;
}

/** A box with the name of a net at one of its pins: above the wire, or below it if the next wire above is too close. */
export function tagged(box: Box, pin: Pin, words: NetWords): Box {
  const beside = box.pins.filter((one) => one.side === pin.side && one !== pin).map(({ y }) => y - pin.y);
  const full = linesOf(words);
  const free = (lines: number, ways: readonly number[]) => Math.min(...ways) >= lines * lineHeight + 6;
  const roomAbove = beside.filter((by) => by < 0).map((by) => -by);
  const roomBelow = beside.filter((by) => by > 0);
  const under = !free(full.length, roomAbove) && free(full.length, roomBelow);
  // Between two close wires there is room for one line.
  const lines = under || free(full.length, roomAbove) ? full : [full];
  const room = Math.max(...lines.map((line) => lineWidth(line))) + 10;
  const tall = lines.length * lineHeight;
  const drop = under ? 0 : snap(Math.max(0, tall + 2 - pin.y));
  const moved = pin.side === "left" ? room : 0;
  const failing = words.fails !== "";
  return {
    width: box.width + room,
    height: Math.max(box.height + drop, under ? pin.y + tall + 6 : 0),
    headed: box.headed === true || drop > 0,
    get turned() {
      const { turned } = box;
      const same = turned?.pins.find(({ net, side }) => net === pin.net && side === pin.side);
      return turned && same && tagged(turned, same, words);
    },
    pins: box.pins.map((one) => ({ ...one, y: one.y + drop })),
    carries: box.carries,
    paint(canvas, x, y) {
      box.paint(canvas, x + moved, y + drop);
      for (const { side, y: level } of box.pins) {
        if (side !== pin.side) continue;
        const from = side === "left" ? x : x + box.width;
        canvas.wire({ x: from, y: y + drop + level }, { x: from + room, y: y + drop + level });
      }
      const left = pin.side === "left" ? x : x + box.width;
      const level = y + drop + pin.y;
      if (failing) canvas.mark({ x: left + 3, y: level }, room - 6);
      for (const [i, line] of lines.entries()) {
        const foot = under
          ? level + (i + 1) * lineHeight - 1
          : level - 4 - (lines.length - 1 - i) * lineHeight;
        let at = left + 5;
        for (const one of [line].flat()) {
          canvas.say({ x: at, y: foot }, one.words, "start", one.look);
          at += wide(one.words) + 8;
        }
      }
    },
  };
}

interface TagLine {
  readonly words: string;
  readonly look: "plain" | "faint" | "alarm";
}

function linesOf({ place, note, fails }: NetWords): TagLine[] {
  const lines: TagLine[] = [{ words: place, look: fails === "" ? "plain" : "alarm" }];
  if (note !== "") lines.push({ words: note, look: "faint" });
  if (fails !== "") lines.push({ words: fails, look: "alarm" });
  return lines;
}

const lineWidth = (line: TagLine | readonly TagLine[]) =>
  [line].flat().reduce((sum, { words }) => sum + wide(words) + 8, -8);
