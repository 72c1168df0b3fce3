// The contents of a frame as boxes, each with its column.
import type { Box, End, Net, TwoPins } from "./boxes.js";
import { lineHeight, wide } from "./canvas.js";
import { closed } from "./closedblock.js";
import type { BlockTree, Item, Port } from "./items.js";
import { many, tapped } from "./manypins.js";
import { apart, bothLeft, type Hanging, hanging, lying, rising } from "./twopins.js";

/** The ports of a frame by the edge at which they leave it. */
export interface Sides {
  readonly left: readonly Port[];
  readonly right: readonly Port[];
}

/** How a frame's contents are drawn. */
export interface FrameDrawing {
  /** Nets on which a constant source hangs as any other part does. */
  readonly passed: ReadonlySet<Net>;
  /** Whether the block of this full name is open. */
  readonly open: (block: string) => boolean;
  /** The contents of an open block, as one box. */
  readonly compose: (frame: BlockTree, sides: Sides) => Box;
}

/** A box that waits for its column; if parts hang on a net, the net's wire continues at the edges where the net does. */
export interface ColumnBox {
  readonly column: number;
  /** The net on which parts hang. */
  readonly hung?: Net;
  readonly make: (inward: boolean, onward: boolean) => Box;
}
const inset = 14;
const mostHung = 4;

/** Every element as a box in a column. */
export function stand(
  elements: readonly Item[],
  level: ReadonlyMap<Net, number>,
  showing: FrameDrawing,
): ColumnBox[] {
  const found: ColumnBox[] = [];
  const hangings = new Map<Net, { above: TwoPins[]; below: TwoPins[] }>();
  const at = (end: End) => level.get(end.net)!;
  for (const e of elements) {
    if (e.type === "pair") {
      const { tail, head, controls } = e.pair;
      const wires = [tail, head].filter(({ rail }) => !rail);
      if (wires.length === 0) {
        const control = controls.find(({ rail }) => !rail);
        if (control) found.push({ column: at(control), make: () => apart(e.pair) });
      } else if (wires.length === 2) {
        const [near, far] = at(tail) <= at(head) ? [tail, head] : [head, tail];
        if (at(near) === at(far)) found.push({ column: at(near), make: () => bothLeft(e.pair) });
        else found.push({ column: at(far) - 1, make: () => lying(e.pair, near) });
      } else if (e.source && !showing.passed.has(wires[0].net))
        found.push({ column: at(wires[0]) - 1, make: () => rising(e.pair) });
      else {
        const list = hangings.get(wires[0].net) ?? { above: [], below: [] };
        hangings.set(wires[0].net, list);
        const rail = (tail.rail ?? head.rail)!;
        (rail.side === "up" ? list.above : list.below).push(e.pair);
      }
    } else if (e.type === "tapped") {
      const { pair, third, side } = e;
      const ends = [pair.tail, pair.head].filter(({ rail }) => !rail).map(at);
      const middle = third.rail ? undefined : at(third);
      // A transistor stands just before the first of its ends that its base leads to; ends before it leave at the left.
      const onward = ends.filter((l) => l > (middle ?? Number.NEGATIVE_INFINITY));
      const column =
        side === "left"
          ? onward.length > 0
            ? Math.min(...onward) - 1
            : (middle ?? 0)
          : (middle ?? Math.max(0, ...ends) + 1) - 1;
      const pnp = e.part.flags?.has("pnp") === true;
      const back = (end: End) => (side === "left" ? at(end) <= column && at(end) < (middle ?? column) : true);
      found.push({ column, make: () => tapped(pair, third, { side, pnp, back }) });
    } else if (e.type === "many") {
      const out = e.many.outputs.filter(({ rail }) => !rail).map(at);
      const into = e.many.inputs.filter(({ rail }) => !rail).map(at);
      const column = out.length > 0 ? Math.min(...out) - 1 : Math.max(-1, ...into);
      found.push({ column, make: () => many(e.many) });
    } else if (e.type === "frame") found.push(framed(e, level, showing));
  }
  for (const [net, { above, below }] of hangings)
    for (const part of portions(above, below))
      found.push({
        column: level.get(net)!,
        hung: net,
        make: (inward, onward) => hanging({ net, ...part, inward, onward }),
      });
  return found;
}

/** Groups that can hang on one wire: a few parts each way, of which only the first may be controlled. */
function portions(above: readonly TwoPins[], below: readonly TwoPins[]): Pick<Hanging, "above" | "below">[] {
  const split = (pairs: readonly TwoPins[]) => {
    const lists: TwoPins[][] = [];
    const controlled = pairs.filter(({ controls }) => controls.length > 0);
    const plain = pairs.filter(({ controls }) => controls.length === 0);
    for (const pair of controlled) lists.push([pair]);
    for (const pair of plain) {
      const room = lists.find((list) => list.length < mostHung);
      if (room) room.push(pair);
      else lists.push([pair]);
    }
    return lists;
  };
  const uppers = split(above);
  const lowers = split(below);
  return Array.from({ length: Math.max(uppers.length, lowers.length) }, (_, i) => ({
    above: uppers[i] ?? [],
    below: lowers[i] ?? [],
  }));
}

/** A block, open or closed. */
function framed(
  { frame, ports, rails }: Item & { type: "frame" },
  level: ReadonlyMap<Net, number>,
  showing: FrameDrawing,
): ColumnBox {
  const levels = ports.map(({ net }) => level.get(net)!);
  const outs = ports.filter(({ driven }) => driven === true).map(({ net }) => level.get(net)!);
  const highest = Math.max(...levels);
  const passive = ports.some(({ driven }) => driven === undefined);
  const column = outs.length > 0 ? Math.min(...outs) - 1 : passive ? highest - 1 : (levels[0] ?? 0);
  const title = frame.name.slice(frame.name.lastIndexOf(".") + 1);
  const looks = ports.filter(({ driven }) => driven === false).map(({ net }) => level.get(net)!);
  // A port that is neither driven nor only watched leaves at the right if it lies beyond the inputs.
  const behind = looks.length > 0 ? Math.max(...looks) : column;
  const right = ports.filter(
    ({ net, driven }) => driven === true || (driven === undefined && level.get(net)! > behind),
  );
  const left = ports.filter((port) => !right.includes(port));
  if (showing.open(frame.name)) {
    const inner = showing.compose(frame, { left, right });
    return { column, make: () => opened(inner, frame.name, title) };
  }
  const names = (side: "up" | "down") => rails.filter((rail) => rail.side === side).map((rail) => rail.place);
  return {
    column,
    make: () => closed({ name: frame.name, title, left, right, upper: names("up"), lower: names("down") }),
  };
}

/** A frame around its contents. */
function opened(inner: Box, name: string, title: string): Box {
  const head = lineHeight + 12;
  return {
    width: Math.max(inner.width, wide(title, true) + 8) + 2 * inset,
    height: inner.height + head + inset,
    pins: inner.pins.map((pin) => ({ ...pin, y: pin.y + head })),
    paint(canvas, x, y) {
      const width = Math.max(inner.width, wide(title, true) + 8) + 2 * inset;
      canvas.frame(name, { x: x + 4, y: y + 2 }, width - 8, inner.height + head + inset - 4, true);
      canvas.say({ x: x + 12, y: y + lineHeight + 4 }, title, "start", "name");
      inner.paint(canvas, x + inset, y + head);
      for (const { side, y: level } of inner.pins) {
        const [from, to] = side === "left" ? [x, x + inset] : [x + inset + inner.width, x + width];
        canvas.wire({ x: from, y: y + head + level }, { x: to, y: y + head + level });
      }
    },
  };
}
