// Columns of boxes with the wires between them, as one box.
import type { Box, Net, Pin, Placed } from "./boxes.js";
import { type Canvas, lineHeight, wide } from "./canvas.js";
import type { Sides } from "./columnboxes.js";
import { type Facing, routed, type Trunk } from "./routing.js";

/** What joins no wire: parts between rails only, and notes about what stands between parts. */
export interface Loose {
  readonly boxes: readonly Box[];
  readonly notes: readonly string[];
}

const trackWidth = 12;
/** Least distance between ports, px: room for a name. */
const portStep = 18;
/** Gap between what is wired and what is not, px. */
const below = 20;

/** A box of columns: trunks between them, ports at its edges, and at the bottom whatever joins no wire. */
export class Wiring implements Box {
  readonly width: number;
  readonly height: number;
  readonly pins: readonly Pin[];
  /** Heights of ports, by side and net. */
  private readonly ends = new Map<string, number>();
  private readonly channels: Trunk[][];
  /** Widths of the channels and of the columns, and where the columns begin. */
  private readonly rooms: readonly number[];
  private readonly widths: readonly number[];
  private readonly lefts: number[] = [];
  /** Right edge of the wired part, and its bottom. */
  private readonly edge: number;
  private readonly bottom: number;
  private readonly shelf: ReturnType<typeof shelved>;
  private readonly foot: number;

  constructor(
    private readonly columns: readonly (readonly Placed[])[],
    private readonly ports: Sides,
    private readonly loose: Loose,
  ) {
    this.setPorts();
    this.channels = this.route();
    this.widths = columns.map((column) => Math.max(0, ...column.map(({ box }) => box.width)));
    this.rooms = this.channels.map(
      (trunks) => (Math.max(-1, ...trunks.map(({ track }) => track)) + 2) * trackWidth,
    );
    let x = this.rooms[0];
    for (const [i, width] of this.widths.entries()) {
      this.lefts.push(x);
      x += width + this.rooms[i + 1];
    }
    this.edge = x;
    const heightOf = (side: Pin["side"], net: Net) => this.ends.get(`${side} ${net}`)!;
    this.pins = (["left", "right"] as const).flatMap((side) =>
      ports[side].map(({ net }) => ({ net, side, y: heightOf(side, net) })),
    );
    const feet = columns.flat().map(({ box, y }) => y + box.height);
    this.bottom = Math.max(0, ...feet, ...this.pins.map(({ y }) => y + 4));
    this.shelf = shelved(loose.boxes, Math.max(x, 560));
    this.width = Math.max(x, this.shelf.width, ...loose.notes.map((words) => wide(words)));
    this.foot = this.bottom + (this.shelf.height > 0 ? below + this.shelf.height : 0);
    this.height = this.foot + (loose.notes.length > 0 ? loose.notes.length * (lineHeight + 2) + 8 : 0);
  }

  paint(canvas: Canvas, x: number, y: number): void {
    for (const [i, column] of this.columns.entries())
      for (const placed of column) this.paintBox(canvas, placed, x + this.lefts[i], y, this.widths[i]);
    for (const [i, trunks] of this.channels.entries()) {
      const left = x + (i === 0 ? 0 : this.lefts[i - 1] + this.widths[i - 1]);
      paintChannel(canvas, { left, right: left + this.rooms[i], top: y }, this.facing(i), trunks);
    }
    if (this.width > this.edge)
      for (const pin of this.pins)
        if (pin.side === "right")
          canvas.wire({ x: x + this.edge, y: y + pin.y }, { x: x + this.width, y: y + pin.y });
    for (const one of this.shelf.placed) one.box.paint(canvas, x + one.x, y + this.bottom + below + one.y);
    for (const [i, words] of this.loose.notes.entries())
      canvas.say({ x, y: y + this.foot + 8 + lineHeight + i * (lineHeight + 2) - 3 }, words);
  }

  /** Paints a box in the middle of its column, and wires from its pins to the column's edges. */
  private paintBox(canvas: Canvas, { box, y }: Placed, left: number, top: number, width: number): void {
    const indent = Math.floor((width - box.width) / 2);
    box.paint(canvas, left + indent, top + y);
    for (const pin of box.pins) {
      const at = top + y + pin.y;
      const [a, b] = pin.side === "left" ? [left, left + indent] : [left + indent + box.width, left + width];
      if (a !== b) canvas.wire({ x: a, y: at }, { x: b, y: at });
    }
  }

  /** The pins that face channel `i`: those of the column before it at its left, those of the column after it at its right. */
  private facing(i: number): Facing[] {
    const { columns, ports, ends } = this;
    const pins: Facing[] = [];
    const pinsOf = (column: readonly Placed[] | undefined, of: Pin["side"], side: Pin["side"]) => {
      for (const { box, y } of column ?? [])
        for (const pin of box.pins) if (pin.side === of) pins.push({ net: pin.net, side, y: y + pin.y });
    };
    pinsOf(columns[i - 1], "right", "left");
    pinsOf(columns[i], "left", "right");
    if (i === 0)
      for (const { net } of ports.left) pins.push({ net, side: "left", y: ends.get(`left ${net}`)! });
    if (i === columns.length)
      for (const { net } of ports.right) pins.push({ net, side: "right", y: ends.get(`right ${net}`)! });
    return pins;
  }

  /** Tracks of every channel; where wires cannot be kept apart, whatever is right of them moves down. */
  private route(): Trunk[][] {
    for (let attempt = 0; ; attempt++) {
      const channels: Trunk[][] = [];
      for (let i = 0; i <= this.columns.length; i++) {
        const found = routed(this.facing(i));
        if ("stuck" in found) {
          this.moveDown(i, found.stuck, attempt);
          break;
        }
        channels.push(found.trunks);
      }
      if (channels.length === this.columns.length + 1) return channels;
    }
  }

  /** Places each port at the height of the first pin that it leads to, spaced apart. */
  private setPorts(): void {
    for (const side of ["left", "right"] as const) {
      const column = this.columns[side === "left" ? 0 : this.columns.length - 1] ?? [];
      const wanted = this.ports[side].map(({ net }) => {
        const pins = column.flatMap(({ box, y }) =>
          box.pins.filter((pin) => pin.net === net && pin.side === side).map((pin) => y + pin.y),
        );
        return { net, y: pins[0] ?? 0 };
      });
      wanted.sort((a, b) => a.y - b.y || a.net - b.net);
      let least = 0;
      for (const { net, y } of wanted) {
        const at = Math.max(y, least);
        this.ends.set(`${side} ${net}`, at);
        least = at + portStep;
      }
    }
  }

  /** Moves what is right of channel `i`, at height `y` and below, down a little; by a different amount in each attempt. */
  private moveDown(i: number, y: number, attempt: number): void {
    const by = 3 + (attempt % 4);
    const column = this.columns[i] ?? [];
    const at = column.findIndex((p) => p.box.pins.some((pin) => pin.side === "left" && p.y + pin.y === y));
    if (at >= 0) for (const p of column.slice(at)) p.y += by;
    else
      for (const [key, height] of this.ends)
        if (key.startsWith("right ") && height >= y) this.ends.set(key, height + by);
  }
}

/** The wires of one channel, joined where three or more meet. */
function paintChannel(
  canvas: Canvas,
  { left, right, top }: { readonly left: number; readonly right: number; readonly top: number },
  pins: readonly Facing[],
  trunks: readonly Trunk[],
): void {
  const byNet = new Map(trunks.map((trunk) => [trunk.net, trunk]));
  for (const net of new Set(pins.map((pin) => pin.net))) {
    const own = pins.filter((pin) => pin.net === net);
    const trunk = byNet.get(net);
    if (!trunk) {
      const [{ side, y }] = own;
      if (own.length > 1) canvas.wire({ x: left, y: top + y }, { x: right, y: top + y });
      else if (side === "left") canvas.terminal({ x: left, y: top + y }, "right");
      else canvas.terminal({ x: right, y: top + y }, "left");
      continue;
    }
    const x = left + (trunk.track + 1) * trackWidth;
    canvas.wire({ x, y: top + trunk.top }, { x, y: top + trunk.foot });
    for (const { side, y } of own)
      canvas.wire({ x: side === "left" ? left : right, y: top + y }, { x, y: top + y });
    for (const y of new Set(own.map((pin) => pin.y))) {
      const sides = own.filter((pin) => pin.y === y).length;
      const through = y > trunk.top && y < trunk.foot ? 2 : 1;
      if (sides + through > 2) canvas.dot({ x, y: top + y });
    }
  }
}

/** Boxes in rows no wider than `most`, unless a single box is. */
function shelved(boxes: readonly Box[], most: number) {
  const placed: { box: Box; x: number; y: number }[] = [];
  let x = 0;
  let y = 0;
  let tall = 0;
  let width = 0;
  for (const box of boxes) {
    if (x > 0 && x + box.width > most) {
      x = 0;
      y += tall + 12;
      tall = 0;
    }
    placed.push({ box, x, y });
    x += box.width + 16;
    width = Math.max(width, x - 16);
    tall = Math.max(tall, box.height);
  }
  return { placed, width, height: y + tall };
}
