// Straight wires: once boxes have their order and approximate heights, each is moved a little, pushing its neighbours, as long as
// wires get fewer bends by it, above all fewer small ones.
import type { Net, Pin, Placed } from "./boxes.js";

/** Gap between two boxes of a column, px; a wire alone needs less. */
const apart = 14;
const apartOfWire = 10;
const apartOfWords = 4;

/** Least distance from the top of a box to that of the one below it, px. */
export function distance(above: Placed, below: Placed): number {
  const wire = above.box.width === 0 || below.box.width === 0;
  return above.box.height + (below.box.headed ? apartOfWords : wire ? apartOfWire : apart);
}

/** Cost of a bend, in px of upright wire, and of one so small that it looks like a slip. */
const bend = 60;
const slip = 120;
const small = 16;
/** Wires of two nets that end closer than this in height read as one. */
const near = 8;
const rounds = 6;
/** Most boxes in a frame for boxes to be moved in groups; beyond that, one by one. */
const together = 400;

type Columns = readonly (readonly Placed[])[];

/** Moves boxes up and down, keeping their order, so that more of their wires run straight. */
export function straighten(columns: Columns): void {
  const boxes = columns.flat();
  const runs = boxes.length <= together ? wireRuns(boxes) : [];
  const all = [...columns.keys(), columns.length];
  for (let round = 0; round < rounds; round++) {
    let better = false;
    for (const [i, column] of columns.entries())
      for (const p of column) if (settle(columns, moves(columns, p), () => [p], [i, i + 1])) better = true;
    if (boxes.length <= together)
      for (const p of boxes) {
        if (settle(columns, moves(columns, p), () => straightWith(columns, p), all)) better = true;
        const [up, down] = [(by: number) => by < 0, (by: number) => by > 0];
        const wanted = [...moves(columns, p)];
        const foot = p.y + p.box.height;
        const lower = () => [p, ...boxes.filter((other) => other.y >= foot)];
        const upper = () => [p, ...boxes.filter((other) => other.y + other.box.height <= p.y)];
        if (settle(columns, new Set(wanted.filter(down)), lower, all)) better = true;
        else if (settle(columns, new Set(wanted.filter(up)), upper, all)) better = true;
      }
    for (const run of runs) if (levelRun(columns, run, all)) better = true;
    if (!better) return;
  }
}

/** Wires that pass through several columns in a row, each as its boxes from left to right. */
export function wireRuns(boxes: readonly Placed[]): Placed[][] {
  const runs = new Map<Net, Placed[]>();
  const found: Placed[][] = [];
  for (const p of boxes) {
    if (p.box.width > 0 || p.box.carries === undefined) continue;
    const run = runs.get(p.box.carries);
    if (run && run.at(-1)!.column === p.column - 1) run.push(p);
    else {
      const next = [p];
      runs.set(p.box.carries, next);
      found.push(next);
    }
  }
  return found.filter(({ length }) => length > 1);
}

/** Moves a wire through several columns to one height, if that is better; true if it moved. */
function levelRun(columns: Columns, run: readonly Placed[], channels: readonly number[]): boolean {
  const wanted = new Set<number>();
  for (const p of run) {
    wanted.add(p.y);
    for (const by of moves(columns, p)) wanted.add(p.y + by);
  }
  const group = (y: number) => () => {
    for (const p of run) push(columns[p.column], new Set([p]), y - p.y);
  };
  const ways = [...wanted].map(group);
  return better(columns, [...ways, ...ways.map((way) => carrying(columns, run, way))], channels);
}

/** Moves a box and its company to where the wires of some channels are best; true if it moved. */
function settle(
  columns: Columns,
  wanted: ReadonlySet<number>,
  company: () => readonly Placed[],
  channels: readonly number[],
): boolean {
  if (wanted.size === 0) return false;
  const moved = company();
  const group = new Set(moved);
  const touched = columns.filter((column) => column.some((p) => group.has(p)));
  const ways = [...wanted].map((by) => () => {
    for (const column of touched) push(column, group, by);
  });
  const all = channels.length > columns.length ? ways.map((way) => carrying(columns, moved, way)) : [];
  return better(columns, [...ways, ...all], channels);
}

/** The same move, where what is pushed out of its way takes along whatever is in a straight line with it. */
function carrying(columns: Columns, moved: readonly Placed[], way: () => void): () => void {
  return () => {
    const boxes = columns.flat();
    const start = new Map(boxes.map((p) => [p, p.y]));
    way();
    const asked = new Set(moved);
    const pushed = boxes.filter((p) => !asked.has(p) && p.y !== start.get(p));
    for (const p of pushed)
      for (const mate of straightWith(columns, p, (one) => start.get(one)!))
        if (!asked.has(mate) && mate.y === start.get(mate))
          push(columns[mate.column], new Set([mate]), p.y - start.get(p)!);
  };
}

/** Takes the best of several ways to move boxes, if one is better than none. */
function better(columns: Columns, ways: readonly (() => void)[], channels: readonly number[]): boolean {
  const heights = () => columns.map((column) => column.map(({ y }) => y));
  const restore = (kept: number[][]) => {
    for (const [c, column] of columns.entries()) for (const [k, p] of column.entries()) p.y = kept[c][k];
  };
  const cost = () => channels.reduce((sum, i) => sum + channelCost(columns[i - 1], columns[i]), 0);
  const start = heights();
  let least = cost();
  let best = start;
  for (const way of ways) {
    way();
    const now = cost();
    if (now < least) {
      least = now;
      best = heights();
    }
    restore(start);
  }
  restore(best);
  return best !== start;
}

/** A box and everything in a straight line with it, wire by wire. */
function straightWith(
  columns: Columns,
  first: Placed,
  topOf: (p: Placed) => number = ({ y }) => y,
): Placed[] {
  const found = [first];
  for (const one of found)
    for (const pin of one.box.pins) {
      const { column } = one;
      const beside = columns[pin.side === "left" ? column - 1 : column + 1] ?? [];
      for (const other of beside)
        if (
          !found.includes(other) &&
          other.box.pins.some(
            (p) => p.net === pin.net && p.side !== pin.side && topOf(other) + p.y === topOf(one) + pin.y,
          )
        )
          found.push(other);
    }
  return found;
}

/** Distances by which a box would have to move for one of its wires to be straight. */
function moves(columns: Columns, { box, column, y }: Placed): Set<number> {
  const found = new Set<number>();
  for (const pin of box.pins)
    for (const other of columns[pin.side === "left" ? column - 1 : column + 1] ?? [])
      for (const { net, side, y: level } of other.box.pins)
        if (net === pin.net && side !== pin.side) found.add(other.y + level - y - pin.y);
  found.delete(0);
  return found;
}

/** Moves some boxes of a column, pushing whatever is in their way. */
function push(column: readonly Placed[], group: ReadonlySet<Placed>, by: number): void {
  for (const p of column) if (group.has(p)) p.y += by;
  const first = column.findIndex((p) => group.has(p));
  const last = column.findLastIndex((p) => group.has(p));
  // Below the uppermost box moved down, the rest is pushed down; above the lowest box moved up, the rest is pushed up.
  const [down, up] = by > 0 ? [first, first] : [last, last];
  for (let k = down + 1; k < column.length; k++)
    column[k].y = Math.max(column[k].y, column[k - 1].y + distance(column[k - 1], column[k]));
  for (let k = up - 1; k >= 0; k--)
    column[k].y = Math.min(column[k].y, column[k + 1].y - distance(column[k], column[k + 1]));
}

/** The upright wires between two columns: their lengths, their bends, and ends too close to wires of another net. */
function channelCost(left: readonly Placed[] | undefined, right: readonly Placed[] | undefined): number {
  const pins = [...facing(left, "right"), ...facing(right, "left")].sort((a, b) => a.y - b.y);
  const seen = new Map<Net, number>();
  let sum = 0;
  for (const [k, { net, side, y }] of pins.entries()) {
    const last = seen.get(net) ?? y;
    if (y > last) sum += y - last + (y - last < small ? slip : bend);
    seen.set(net, y);
    for (let j = k - 1; j >= 0 && y - pins[j].y < near; j--)
      if (pins[j].net !== net && pins[j].side !== side) sum += slip;
  }
  return sum;
}

function facing(column: readonly Placed[] | undefined, of: Pin["side"]): Pin[] {
  return (column ?? []).flatMap(({ box, y: top }) =>
    box.pins.filter(({ side }) => side === of).map(({ net, side, y }) => ({ net, side, y: top + y })),
  );
}
