// The positions of boxes: in columns from left to right, and in each column from top to bottom. Neighbours are ordered by the
// mean height of what they join (K. Sugiyama, S. Tagawa & M. Toda, IEEE Trans. SMC 11(2), 1981), then moved so that as many
// wires as possible run straight.
import type { Box, Net, Pin, Placed } from "./boxes.js";
import { type Facing, fewestCrossings } from "./routing.js";
import { distance, straighten, wireRuns } from "./straightening.js";

const grid = 4;
/** The widest empty band, px. */
const widest = 20;
const sweeps = 12;
/** Cost of a crossing, in px of upright wire. */
const crossing = 80;
/** Cost of an upright wire, however short, px; one shorter than `level` will be straightened. */
const bend = 40;
const level = 12;
/** Most boxes of a frame in which neighbours are exchanged, and how often all are gone through. */
const mostExchanged = 150;
const exchanges = 4;

/** Columns of boxes, in order and with heights. The same boxes always give the same result. */
export function place(columns: readonly (readonly Box[])[]): Placed[][] {
  let best = stack(columns.map((boxes, column) => boxes.map((box) => ({ box, column, y: 0 }))));
  align(best);
  let least = cost(best);
  let current = best.map((column) => column.map((p) => ({ ...p })));
  for (let sweep = 0; sweep < sweeps; sweep++) {
    current = stack(reorder(current, sweep % 2 === 0));
    align(current);
    const now = cost(current);
    if (now < least) {
      least = now;
      best = current.map((column) => column.map((p) => ({ ...p })));
    }
  }
  best = exchange(best, least);
  align(best);
  straighten(best);
  best = uncross(best);
  lift(best);
  return best;
}

function stack(columns: Placed[][]): Placed[][] {
  for (const column of columns) {
    for (const [i, p] of column.entries()) p.y = i === 0 ? 0 : column[i - 1].y + distance(column[i - 1], p);
  }
  return columns;
}

/** Heights at which each net enters a channel from one side. */
function heights(column: readonly Placed[] | undefined, side: Pin["side"]): Map<Net, number[]> {
  const found = new Map<Net, number[]>();
  for (const { box, y } of column ?? [])
    for (const pin of box.pins) {
      if (pin.side !== side) continue;
      const list = found.get(pin.net);
      if (list) list.push(y + pin.y);
      else found.set(pin.net, [y + pin.y]);
    }
  return found;
}

/** The pins that face each other between two columns. */
function facing(left: readonly Placed[] | undefined, right: readonly Placed[] | undefined): Facing[] {
  const pinsOf = (column: readonly Placed[] | undefined, of: Pin["side"], side: Pin["side"]) =>
    (column ?? []).flatMap(({ box, y: top }) =>
      box.pins.filter((pin) => pin.side === of).map(({ net, y }) => ({ net, side, y: top + y })),
    );
  return [...pinsOf(left, "right", "left"), ...pinsOf(right, "left", "right")];
}

/** Orders each column by the mean height of what its boxes join in the column before (or after) it. */
function reorder(columns: Placed[][], forwards: boolean): Placed[][] {
  const order = forwards ? columns.map((_, i) => i) : columns.map((_, i) => columns.length - 1 - i);
  for (const i of order) {
    const seen = heights(columns[forwards ? i - 1 : i + 1], forwards ? "right" : "left");
    const keyed = columns[i].map((p, at) => {
      const joined = p.box.pins
        .filter(({ side }) => side === (forwards ? "left" : "right"))
        .flatMap(({ net, y }) => (seen.get(net) ?? []).map((h) => h - y));
      const mean = joined.reduce((a, b) => a + b, 0) / joined.length;
      return { p, at, key: joined.length > 0 ? mean : p.y };
    });
    keyed.sort((a, b) => a.key - b.key || a.at - b.at);
    columns[i] = keyed.map(({ p }) => p);
    stack([columns[i]]);
  }
  return columns;
}

/** Moves boxes up and down, keeping their order, so that pins of one net line up. */
function align(columns: Placed[][]): void {
  for (let round = 0; round < 10; round++) {
    const forwards = round % 2 === 0;
    for (let k = 0; k < columns.length; k++) {
      const i = forwards ? k : columns.length - 1 - k;
      const before = heights(columns[i - 1], "right");
      const after = heights(columns[i + 1], "left");
      const wanted = columns[i].map(({ box, y }) => {
        const moves = box.pins.flatMap((pin) =>
          ((pin.side === "left" ? before : after).get(pin.net) ?? []).map((h) => h - pin.y),
        );
        if (moves.length === 0) return y;
        moves.sort((a, b) => a - b);
        return moves[(moves.length - 1) >> 1];
      });
      settle(columns[i], wanted);
    }
  }
}

/** Heights nearest the wanted ones by least squares that keep order and distance (pool adjacent violators). */
function settle(column: readonly Placed[], wanted: readonly number[]): void {
  const offset: number[] = [];
  let sum = 0;
  for (const [i, p] of column.entries()) {
    if (i > 0) sum += distance(column[i - 1], p);
    offset.push(sum);
  }
  const blocks: { total: number; count: number; from: number }[] = [];
  for (const [i, want] of wanted.entries()) {
    blocks.push({ total: want - offset[i], count: 1, from: i });
    while (blocks.length > 1) {
      const last = blocks[blocks.length - 1];
      const before = blocks[blocks.length - 2];
      if (before.total / before.count <= last.total / last.count) break;
      before.total += last.total;
      before.count += last.count;
      blocks.pop();
    }
  }
  for (const [b, { total, count, from }] of blocks.entries()) {
    const base = Math.round(total / count / grid) * grid;
    const to = blocks[b + 1]?.from ?? column.length;
    for (let i = from; i < to; i++) column[i].y = Math.round((base + offset[i]) / grid) * grid;
  }
  for (let i = 1; i < column.length; i++) {
    const least = column[i - 1].y + distance(column[i - 1], column[i]);
    if (column[i].y < least) column[i].y = Math.ceil(least / grid) * grid;
  }
}

/** Total length of the upright wires, and what their crossings cost. */
function cost(columns: readonly (readonly Placed[])[]): number {
  let sum = 0;
  for (let i = 0; i <= columns.length; i++) {
    const pins = facing(columns[i - 1], columns[i]);
    const extents = new Map<Net, [number, number]>();
    for (const { net, y } of pins) {
      const known = extents.get(net);
      if (!known) extents.set(net, [y, y]);
      else {
        known[0] = Math.min(known[0], y);
        known[1] = Math.max(known[1], y);
      }
    }
    for (const [top, foot] of extents.values()) sum += foot - top + (foot - top > level ? bend : 0);
    sum += crossing * fewestCrossings(pins);
  }
  return sum;
}

/** Exchanges neighbours in a column, and inputs of a box, and moves wires through columns to their top or foot, as long as that is better. */
function exchange(columns: Placed[][], cheapest: number): Placed[][] {
  if (columns.reduce((sum, column) => sum + column.length, 0) > mostExchanged) return columns;
  let best = columns;
  let least = cheapest;
  const attempt = (change: (tried: Placed[][]) => void) => {
    const tried = best.map((column) => column.map((p) => ({ ...p })));
    change(tried);
    align(stack(tried));
    const now = cost(tried);
    if (now >= least) return false;
    least = now;
    best = tried;
    return true;
  };
  for (let round = 0, better = true; better && round < exchanges; round++) {
    better = false;
    const runs = wireRuns(best.flat()).map((run) => run.map(({ box, column }) => ({ box, column })));
    for (const run of runs)
      for (const end of ["top", "foot"] as const)
        if (attempt((tried) => moveToEnd(tried, run, end))) better = true;
    for (const [i, column] of columns.entries())
      for (let k = 1; k < column.length; k++) {
        const swap = (tried: Placed[][]) => {
          [tried[i][k - 1], tried[i][k]] = [tried[i][k], tried[i][k - 1]];
        };
        if (attempt(swap)) better = true;
      }
    for (const [i, column] of best.entries())
      for (const [k, { box }] of column.entries())
        if (box.turned && attempt((tried) => turn(tried[i], k))) better = true;
  }
  return best;
}

/**
 * Exchanges neighbours where they stand, if fewer wires cross by it and it is better when straightened: aligned anew, as
 * `exchange` does, all heights change, which can hide what a single exchange saves.
 */
function uncross(columns: Placed[][]): Placed[][] {
  if (columns.reduce((sum, column) => sum + column.length, 0) > mostExchanged) return columns;
  let best = columns;
  let least = cost(best);
  for (let round = 0, better = true; better && round < exchanges; round++) {
    better = false;
    for (let i = 0; i < columns.length; i++)
      for (let k = 1; k < columns[i].length; k++) {
        const tried = best.map((column) => column.map((p) => ({ ...p })));
        exchangeHere(tried[i], k);
        if (crossingsBeside(tried, i) >= crossingsBeside(best, i)) continue;
        straighten(tried);
        const now = cost(tried);
        if (now >= least) continue;
        least = now;
        best = tried;
        better = true;
      }
  }
  return best;
}

/** Exchanges a box with the one above it; what is below moves down as far as it must. */
function exchangeHere(column: Placed[], at: number): void {
  const [upper, lower] = [column[at - 1], column[at]];
  column.splice(at - 1, 2, lower, upper);
  lower.y = upper.y;
  for (let k = at; k < column.length; k++)
    column[k].y = Math.max(column[k].y, column[k - 1].y + distance(column[k - 1], column[k]));
}

/** Fewest crossings of wires before and behind a column. */
function crossingsBeside(columns: readonly (readonly Placed[])[], i: number): number {
  const at = (k: number) => fewestCrossings(facing(columns[k - 1], columns[k]));
  return at(i) + at(i + 1);
}

function turn(column: Placed[], at: number): void {
  const { turned } = column[at].box;
  if (turned) column[at] = { ...column[at], box: turned };
}

function moveToEnd(
  columns: Placed[][],
  run: readonly Pick<Placed, "box" | "column">[],
  end: "top" | "foot",
): void {
  for (const { box, column } of run) {
    const at = columns[column].findIndex((p) => p.box === box);
    const [moved] = columns[column].splice(at, 1);
    if (end === "top") columns[column].unshift(moved);
    else columns[column].push(moved);
  }
}

/** Moves everything so that the highest box is at 0, and closes empty bands. */
function lift(columns: readonly (readonly Placed[])[]): void {
  const all = columns.flat().sort((a, b) => a.y - b.y);
  let foot = Number.NEGATIVE_INFINITY;
  let moved = 0;
  for (const p of all) {
    if (foot === Number.NEGATIVE_INFINITY) moved = -p.y;
    else if (p.y > foot + widest) moved -= Math.floor((p.y - foot - widest) / grid) * grid;
    foot = Math.max(foot, p.y + p.box.height);
    p.y += moved;
  }
}
