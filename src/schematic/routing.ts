// Wires between two columns: each net has one upright wire, the trunk, with a horizontal wire to each of its pins.
// Trunks whose heights overlap get different tracks, in the order that makes fewest wires cross. Where pins of two nets face each
// other at one height, the trunk of the left pin must be left of the other's (vertical constraints of channel routing:
// A. Hashimoto & J. Stevens, Proc. 8th Design Automation Workshop, 1971).
import type { Net } from "./boxes.js";

/** A pin that faces the channel. */
export interface Facing {
  readonly net: Net;
  readonly side: "left" | "right";
  /** On the sheet. */
  readonly y: number;
}

/** A trunk: its net, its extent, and its track counted from the left. */
export interface Trunk {
  readonly net: Net;
  readonly top: number;
  readonly foot: number;
  readonly track: number;
}

/** A trunk without its track, and its pins. */
interface Upright {
  readonly net: Net;
  readonly top: number;
  readonly foot: number;
  readonly pins: readonly Facing[];
}

/** Least distance between two trunks on one track, px. */
const clearance = 6;
/** Most trunks of a channel whose order is sought; beyond that they stand by their tops. */
const mostSorted = 60;

/** The trunks of a channel, or the height of pins that no order of tracks can keep apart. */
export function routed(pins: readonly Facing[]): { trunks: Trunk[] } | { stuck: number } {
  const byNet = uprightsOf(pins);
  // A net that runs straight through or ends here needs no trunk.
  const uprights = new Map([...byNet].filter(([, { top, foot }]) => top < foot));
  const before = new Map<Net, Map<Net, number>>();
  const alone = (net: Net) => byNet.get(net)!.pins.length < 2;
  for (const a of pins)
    for (const b of pins) {
      if (a.side !== "left" || b.side !== "right" || a.y !== b.y || a.net === b.net) continue;
      // A wire without a trunk runs along this whole height, unless it ends at its pin.
      if (!uprights.has(a.net) || !uprights.has(b.net)) {
        if ((!uprights.has(a.net) && alone(a.net)) || (!uprights.has(b.net) && alone(b.net))) continue;
        return { stuck: a.y };
      }
      before.set(b.net, (before.get(b.net) ?? new Map<Net, number>()).set(a.net, a.y));
    }
  const ordered = legal([...uprights.values()], before);
  if ("stuck" in ordered) return ordered;
  return { trunks: packed(sorted(ordered.order, before), before) };
}

/** Trunks by their tops, as far as those that must be further left allow it. */
function legal(
  uprights: readonly Upright[],
  before: ReadonlyMap<Net, ReadonlyMap<Net, number>>,
): { order: Upright[] } | { stuck: number } {
  const order: Upright[] = [];
  const placed = new Set<Net>();
  const waiting = [...uprights].sort((a, b) => a.top - b.top || a.net - b.net);
  while (waiting.length > 0) {
    const next = waiting.findIndex(({ net }) =>
      [...(before.get(net)?.keys() ?? [])].every((other) => placed.has(other)),
    );
    if (next < 0) {
      const [, height] = [...before.get(waiting[0].net)!].find(([other]) => !placed.has(other))!;
      return { stuck: height };
    }
    const [found] = waiting.splice(next, 1);
    placed.add(found.net);
    order.push(found);
  }
  return { order };
}

/** Fewest crossings of wires that pins facing each other can have; none are counted where there are very many. */
export function fewestCrossings(pins: readonly Facing[]): number {
  const all = [...uprightsOf(pins).values()];
  if (all.length > mostSorted) return 0;
  let count = 0;
  for (const [i, a] of all.entries())
    for (const b of all.slice(i + 1))
      if (a.foot >= b.top && b.foot >= a.top) count += Math.min(crossings(a, b), crossings(b, a));
  return count;
}

/** Every net with its extent. */
function uprightsOf(pins: readonly Facing[]): Map<Net, Upright> {
  const found = new Map<Net, { net: Net; top: number; foot: number; pins: Facing[] }>();
  for (const pin of pins) {
    const known = found.get(pin.net);
    if (!known) found.set(pin.net, { net: pin.net, top: pin.y, foot: pin.y, pins: [pin] });
    else {
      known.top = Math.min(known.top, pin.y);
      known.foot = Math.max(known.foot, pin.y);
      known.pins.push(pin);
    }
  }
  return found;
}

/** How many wires cross if the first trunk stands left of the second. */
function crossings(left: Upright, right: Upright): number {
  const within = ({ top, foot }: Upright, y: number) => y >= top && y <= foot;
  let count = 0;
  for (const { side, y } of right.pins) if (side === "left" && within(left, y)) count++;
  for (const { side, y } of left.pins) if (side === "right" && within(right, y)) count++;
  return count;
}

/** The order with fewest crossings that moves of single trunks reach. */
function sorted(order: Upright[], before: ReadonlyMap<Net, ReadonlyMap<Net, number>>): Upright[] {
  if (order.length > mostSorted) return order;
  for (let better = true; better; ) {
    better = false;
    for (const moved of [...order]) {
      const at = order.indexOf(moved);
      const rest = order.filter((one) => one !== moved);
      // What changes while the trunk goes along the others, from where it stands.
      let best = at;
      let least = 0;
      const walk = (step: 1 | -1) => {
        let change = 0;
        for (let i = at; step > 0 ? i < rest.length : i > 0; i += step) {
          const passed = rest[step > 0 ? i : i - 1];
          const [first, second] = step > 0 ? [moved, passed] : [passed, moved];
          if (before.get(second.net)?.has(first.net)) return;
          change += crossings(second, first) - crossings(first, second);
          if (change < least) {
            least = change;
            best = i + step;
          }
        }
      };
      walk(1);
      walk(-1);
      if (best === at) continue;
      rest.splice(best, 0, moved);
      order = rest;
      better = true;
    }
  }
  return order;
}

/** Tracks from the left, each trunk right of whatever before it is beside it. */
function packed(order: readonly Upright[], before: ReadonlyMap<Net, ReadonlyMap<Net, number>>): Trunk[] {
  const trunks: Trunk[] = [];
  for (const { net, top, foot } of order) {
    const beside = trunks.filter(
      (o) => (o.foot + clearance >= top && o.top - clearance <= foot) || before.get(net)?.has(o.net) === true,
    );
    trunks.push({ net, top, foot, track: Math.max(-1, ...beside.map(({ track }) => track)) + 1 });
  }
  return trunks;
}
