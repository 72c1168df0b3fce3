// Parts of two pins: hanging on a wire, in series with it, or upright beside it.
import { element } from "../report/markup.js";
import {
  acted,
  type Box,
  controlDrop,
  controlRoom,
  controlWires,
  dashed,
  type End,
  labelGap,
  labelWidth,
  type Net,
  type Pin,
  pinStep,
  railRoom,
  railWidth,
  sayLabel,
  snap,
  type TwoPins,
  upright,
} from "./boxes.js";
import { lineHeight, type SheetPoint } from "./canvas.js";
import { half, long, twoPins } from "./symbols.js";

/** What hangs on a net: upright parts between the net and rails. */
export interface Hanging {
  readonly net: Net;
  /** Between the net and a rail above it. */
  readonly above: readonly TwoPins[];
  readonly below: readonly TwoPins[];
  /** Whether the net's wire continues at the left and at the right edge. */
  readonly inward: boolean;
  readonly onward: boolean;
}

/** How far beyond a part below a wire one above it stands, px. */
const aside = 40;

/** An upright part along a wire: its position and where it ends, px. */
interface Slot {
  readonly pair: TwoPins;
  readonly centre: number;
  readonly end: number;
}

function slot(net: Net, pair: TwoPins, x: number, first: boolean): Slot {
  const room = first ? controlRoom(pair.controls) : 0;
  const reach = Math.max(half + 6, railWidth(outer(pair, net)) / 2 + 2);
  const centre = Math.ceil(x + room + reach + (first && pair.controls.length > 0 ? 10 : 0));
  return { pair, centre, end: centre + Math.max(half + 6 + labelWidth(pair.label), reach) + labelGap };
}

/** Upright parts in a row from `x`, none at a centre that is taken. */
function row(net: Net, pairs: readonly TwoPins[], x: number, taken: readonly number[]): Slot[] {
  const slots: Slot[] = [];
  for (const pair of pairs) {
    let start = slots.at(-1)?.end ?? x;
    let made = slot(net, pair, start, slots.length === 0);
    while (taken.some((centre) => Math.abs(centre - made.centre) < 16))
      made = slot(net, pair, ++start, slots.length === 0);
    slots.push(made);
  }
  return slots;
}

/**
 * Positions of parts above and below a wire: interleaved, so that no four wires meet.
 * @param ends where the wire ends, so that one part above and one below it may line up, as in a divider
 */
function slotsOf(
  net: Net,
  above: readonly TwoPins[],
  below: readonly TwoPins[],
  ends: "first" | "last" | "none",
): { uppers: Slot[]; lowers: Slot[] } {
  const centres = (slots: readonly Slot[]) => slots.map(({ centre }) => centre);
  if (ends === "none" || above.length === 0 || below.length === 0) {
    const lowers = row(net, below, 0, []);
    const uppers = row(net, above, 0, []);
    if (uppers.length === 0 || lowers.length === 0) return { uppers, lowers };
    // The first above stands between the first two below, or a little beyond the only one.
    const [first, second] = centres(lowers);
    const middle = second === undefined ? first + aside : (first + second) / 2;
    return {
      uppers: row(net, above, Math.max(0, Math.round(middle) - uppers[0].centre), centres(lowers)),
      lowers,
    };
  }
  if (ends === "first") {
    const own = (pairs: readonly TwoPins[]) => slot(net, pairs[0], 0, true).centre;
    const common = Math.max(own(above), own(below));
    const lowers = row(net, below, common - own(below), []);
    return { uppers: row(net, above, common - own(above), centres(lowers.slice(1))), lowers };
  }
  const lowers = row(net, below, 0, []);
  const uppers = row(net, above, 0, centres(lowers.slice(0, -1)));
  const common = Math.max(lowers.at(-1)!.centre, uppers.at(-1)!.centre);
  for (const slots of [lowers, uppers]) {
    const { pair, centre, end } = slots.at(-1)!;
    slots[slots.length - 1] = { pair, centre: common, end: end + common - centre };
  }
  return { uppers, lowers };
}

/** Upright parts along a horizontal wire, above and below it; only the first of each may be controlled. */
export function hanging({ net, above, below, inward, onward }: Hanging): Box {
  const { uppers, lowers } = slotsOf(
    net,
    above,
    below,
    inward === onward ? "none" : inward ? "last" : "first",
  );
  const slots = [...uppers, ...lowers];
  const width = Math.max(...slots.map(({ end }) => end));
  const line = above.length > 0 ? railRoom + long : 4;
  const pins: Pin[] = inward ? [{ net, side: "left", y: line }] : [];
  if (onward) pins.push({ net, side: "right", y: line });
  for (const [pairs, base] of [
    [above, line - long],
    [below, line],
  ] as const)
    for (const [i, { rail, net: control }] of (pairs[0]?.controls ?? []).entries())
      if (!rail) pins.push({ net: control, side: "left", y: base + controlDrop(i, pairs[0].controls) });
  return {
    width,
    height: line + (below.length > 0 ? long + railRoom : 4),
    pins,
    carries: inward && onward ? net : undefined,
    paint(canvas, x, y) {
      const near = Math.min(...slots.map(({ centre }) => centre));
      const last = Math.max(...slots.map(({ centre }) => centre));
      const ends = [inward ? x : x + near, x + (onward ? width : last)];
      if (ends[0] < ends[1]) canvas.wire({ x: ends[0], y: y + line }, { x: ends[1], y: y + line });
      for (const [list, up] of [
        [uppers, true],
        [lowers, false],
      ] as const)
        for (const { pair, centre } of list) {
          const top = y + (up ? line - long : line);
          const far = outer(pair, net);
          upright(canvas, pair, up ? far : inner(pair, net), x + centre, top);
          canvas.rail(far.rail!.place, { x: x + centre, y: up ? top : top + long }, up ? "up" : "down");
          if (pair === (up ? above : below)[0])
            controlWires(canvas, pair.controls, x, x + centre - half - 4, top);
        }
      const joints = new Map<number, number>();
      for (const { centre } of slots) joints.set(centre, (joints.get(centre) ?? 0) + 1);
      for (const [centre, parts] of joints)
        if (parts + (inward || centre > near ? 1 : 0) + (onward || centre < last ? 1 : 0) > 2)
          canvas.dot({ x: x + centre, y: y + line });
    },
  };
}

const outer = ({ tail, head }: TwoPins, net: Net) =>
  head.rail && !(tail.rail && head.net === net) ? head : tail;
const inner = (pair: TwoPins, net: Net) => (outer(pair, net) === pair.head ? pair.tail : pair.head);

/** A source that is upright on a rail and drives a net to its right. */
export function rising(pair: TwoPins): Box {
  const far = pair.tail.rail ? pair.tail : pair.head;
  const near = far === pair.tail ? pair.head : pair.tail;
  const up = far.rail!.side === "up";
  const top = up ? railRoom : 4;
  const joint = up ? top + long : top;
  const centre =
    Math.max(half + 6, railWidth(far) / 2 + 2) +
    controlRoom(pair.controls) +
    (pair.controls.length > 0 ? 10 : 0);
  const pins: Pin[] = [{ net: near.net, side: "right", y: joint }];
  for (const [i, { rail, net }] of pair.controls.entries())
    if (!rail) pins.push({ net, side: "left", y: top + controlDrop(i, pair.controls) });
  const width = centre + half + 6 + labelWidth(pair.label) + labelGap;
  return {
    width,
    height: up ? joint + 4 : top + long + railRoom,
    pins,
    paint(canvas, x, y) {
      upright(canvas, pair, up ? far : near, x + centre, y + top);
      canvas.rail(far.rail!.place, { x: x + centre, y: y + (up ? top : top + long) }, up ? "up" : "down");
      controlWires(canvas, pair.controls, x, x + centre - half - 4, y + top);
      canvas.wire({ x: x + centre, y: y + joint }, { x: x + width, y: y + joint });
    },
  };
}

/** A part between two nets, in series with the signal. */
export function lying(pair: TwoPins, left: End): Box {
  const { label, tail, head, controls } = pair;
  const right = left === tail ? head : tail;
  const words = labelWidth(label);
  const width = Math.max(long, words, 2 * controlRoom(controls) + 40) + labelGap;
  const line = snap(label.lines.length * lineHeight + half + 4);
  const start = Math.round((width - long) / 2);
  const pins: Pin[] = [
    { net: left.net, side: "left", y: line },
    { net: right.net, side: "right", y: line },
  ];
  for (const [i, { rail, net }] of controls.entries())
    if (!rail) pins.push({ net, side: "left", y: line + pinStep * (i + 1) });
  return {
    width,
    height: line + half + controls.length * pinStep + 2,
    pins,
    paint(canvas, x, y) {
      const forwards = left === tail;
      const a = { x: x + start, y: y + line };
      const b = { x: a.x + long, y: a.y };
      // The first control is the leftmost, so that none crosses another on its way to the left.
      const along = (i: number) => long / 2 - (controls.length - 1 - i) * 12;
      const under = (i: number): SheetPoint => ({ x: a.x + along(i), y: a.y + half });
      const turn = forwards ? "" : `translate(${long} 0) rotate(180)`;
      const links = controls.map((_, i) => {
        const at = along(i);
        return dashed(`M${at} ${forwards ? -acted(label, at) : acted(label, long - at)}V${half}`);
      });
      const inside = links.join("") + element("g", { transform: turn }, twoPins(label.look ?? label.kind));
      canvas.part(label, inside, a, [
        { role: left.role, ...a },
        { role: right.role, ...b },
        ...controls.map(({ role }, i) => ({ role, ...under(i) })),
      ]);
      canvas.wire({ x, y: a.y }, a);
      canvas.wire(b, { x: x + width, y: b.y });
      for (const [i, { rail }] of controls.entries()) {
        const at = under(i);
        const level = a.y + pinStep * (i + 1);
        canvas.wire({ x: rail ? at.x - 6 : x, y: level }, { x: at.x, y: level }, at);
        if (rail) canvas.flag(rail.place, { x: at.x - 6, y: level }, "end");
      }
      sayLabel(canvas, label, x + width / 2, y + lineHeight - 3, "middle");
    },
  };
}

/** A part between two nets that both come from the left: upright, tail above. */
export function bothLeft(pair: TwoPins): Box {
  const { tail, head, controls, label } = pair;
  const top = 8;
  const centre = half + 6 + controlRoom(controls) + (controls.length > 0 ? 10 : 0);
  const pins: Pin[] = [
    { net: tail.net, side: "left", y: top },
    { net: head.net, side: "left", y: top + long },
  ];
  for (const [i, { rail, net }] of controls.entries())
    if (!rail) pins.push({ net, side: "left", y: top + controlDrop(i, controls) });
  return {
    width: centre + half + 6 + labelWidth(label) + labelGap,
    height: top + long + 6,
    pins,
    paint(canvas, x, y) {
      upright(canvas, pair, tail, x + centre, y + top);
      for (const level of [top, top + long])
        canvas.wire({ x, y: y + level }, { x: x + centre, y: y + level });
      controlWires(canvas, controls, x, x + centre - half - 4, y + top);
    },
  };
}

/** A part between rails only. */
export function apart(pair: TwoPins): Box {
  const { tail, head, label, controls } = pair;
  const upper = head.rail!.side === "up" && tail.rail!.side === "down" ? head : tail;
  const lower = upper === tail ? head : tail;
  const centre =
    Math.max(half + 6, railWidth(upper) / 2 + 2, railWidth(lower) / 2 + 2) +
    controlRoom(controls) +
    (controls.length > 0 ? 10 : 0);
  const pins: Pin[] = [];
  for (const [i, { rail, net }] of controls.entries())
    if (!rail) pins.push({ net, side: "left", y: railRoom + controlDrop(i, controls) });
  return {
    width:
      centre + Math.max(half + 6 + labelWidth(label), railWidth(upper) / 2, railWidth(lower) / 2) + labelGap,
    height: railRoom + long + railRoom,
    pins,
    paint(canvas, x, y) {
      upright(canvas, pair, upper, x + centre, y + railRoom);
      canvas.rail(upper.rail!.place, { x: x + centre, y: y + railRoom }, "up");
      canvas.rail(lower.rail!.place, { x: x + centre, y: y + railRoom + long }, "down");
      controlWires(canvas, controls, x, x + centre - half - 4, y + railRoom);
    },
  };
}
