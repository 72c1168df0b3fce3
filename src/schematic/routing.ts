// Wires between two columns: each net has one upright wire, the trunk, with a horizontal wire to each of its pins.
// Trunks whose heights overlap get different tracks. Where pins of two nets face each other at one height, the trunk of
// the left pin must be left of the other's (vertical constraints of channel routing: A. Hashimoto & J. Stevens, Proc. 8th
// Design Automation Workshop, 1971).
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

/** The trunks of a channel, or the height of pins that no order of tracks can keep apart. */
export function routed(pins: readonly Facing[]): { trunks: Trunk[] } | { stuck: number } {
  const nets = new Map<Net, { top: number; foot: number; mean: number }>();
  for (const net of new Set(pins.map((pin) => pin.net))) {
    const own = pins.filter((pin) => pin.net === net);
    const ys = own.map(({ y }) => y);
    const top = Math.min(...ys);
    const foot = Math.max(...ys);
    // A net that runs straight through or ends here needs no trunk.
    if (top < foot) nets.set(net, { top, foot, mean: (top + foot) / 2 });
  }
  const before = new Map<Net, Set<Net>>();
  const heightOf = new Map<string, number>();
  for (const a of pins)
    for (const b of pins) {
      if (a.side !== "left" || b.side !== "right" || a.y !== b.y || a.net === b.net) continue;
      // A wire without a trunk runs along this whole height.
      if (!nets.has(a.net) || !nets.has(b.net)) {
        if (pins.filter((p) => p.net === a.net).length < 2 && pins.filter((p) => p.net === b.net).length < 2)
          continue;
        if (!nets.has(a.net) && pins.filter((p) => p.net === a.net).length < 2) continue;
        if (!nets.has(b.net) && pins.filter((p) => p.net === b.net).length < 2) continue;
        return { stuck: a.y };
      }
      const set = before.get(b.net) ?? new Set();
      set.add(a.net);
      before.set(b.net, set);
      heightOf.set(`${a.net} ${b.net}`, a.y);
    }
  const placed = new Map<Net, Trunk>();
  const waiting = [...nets.keys()].sort((a, b) => nets.get(a)!.top - nets.get(b)!.top || a - b);
  while (waiting.length > 0) {
    const next = waiting.findIndex((net) => [...(before.get(net) ?? [])].every((other) => placed.has(other)));
    if (next < 0) {
      const net = waiting[0];
      const blocking = [...(before.get(net) ?? [])].find((other) => !placed.has(other))!;
      return { stuck: heightOf.get(`${blocking} ${net}`)! };
    }
    const [net] = waiting.splice(next, 1);
    const { top, foot } = nets.get(net)!;
    let track = Math.max(-1, ...[...(before.get(net) ?? [])].map((other) => placed.get(other)!.track)) + 1;
    const clear = (t: number) =>
      [...placed.values()].every((o) => o.track !== t || o.foot + 6 < top || o.top - 6 > foot);
    while (!clear(track)) track++;
    placed.set(net, { net, top, foot, track });
  }
  return { trunks: [...placed.values()] };
}
