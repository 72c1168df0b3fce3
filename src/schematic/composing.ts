// A frame as one box: its contents in columns along the signal path, wired. The sheet is a frame; an open block is a frame within
// it, with its ports at its left and right edges.
import { type Box, type End, type Net, passing, type TwoPins, tagged } from "./boxes.js";
import { type ColumnBox, type Sides, stand } from "./columnboxes.js";
import { levelsOf, nearestLevels, type Step, type Way } from "./flow.js";
import type { BlockTree, DrawnDesign, Item, Port } from "./items.js";
import { place } from "./placing.js";
import { apart } from "./twopins.js";
import { type Loose, Wiring } from "./wiring.js";

/** What a drawing shows besides the text. */
export interface Showing {
  /** Whether the block of this full name is open. */
  readonly open: (block: string) => boolean;
  /** Words below the names of places, by place. */
  readonly notes: ReadonlyMap<string, string>;
  /** Words about checks that fail there, by place. */
  readonly failing: ReadonlyMap<string, string>;
}

const isApart = ({ tail, head, controls }: TwoPins) =>
  tail.rail !== undefined && head.rail !== undefined && controls.every(({ rail }) => rail !== undefined);
/** The contents of a frame, as one box; ports are wires to its edges. */
export function compose(
  sheet: DrawnDesign,
  frame: BlockTree,
  { left: leftPorts, right: rightPorts }: Sides,
  showing: Showing,
): Box {
  const elements = sheet.elementsOf(frame);
  const { level, passed } = levelled(elements, leftPorts, rightPorts);
  const standing = stand(elements, level, {
    passed,
    open: showing.open,
    compose: (inner, sides) => compose(sheet, inner, sides, showing),
  });
  const loose: Loose = {
    boxes: elements
      .filter((e) => e.type === "pair")
      .filter(({ pair }) => isApart(pair))
      .map(({ pair }) => apart(pair)),
    notes: elements.filter((e) => e.type === "note").map(({ label }) => label.lines.join(" ")),
  };
  const first = Math.min(0, ...standing.map(({ column }) => column));
  const last = Math.max(0, ...standing.map(({ column }) => column));
  const count = last - first + 1;
  const columnOf = (s: ColumnBox) => s.column - first;

  // The channels in which each net has pins, before passing wires are known.
  const reach = new Map<Net, { from: number; to: number }>();
  const touch = (net: Net, channel: number) => {
    const known = reach.get(net);
    if (!known) reach.set(net, { from: channel, to: channel });
    else {
      known.from = Math.min(known.from, channel);
      known.to = Math.max(known.to, channel);
    }
  };
  const touchAll = (s: ColumnBox, box: Box) => {
    for (const { net, side } of box.pins) touch(net, columnOf(s) + (side === "right" ? 1 : 0));
  };
  for (const s of standing) if (s.hung === undefined) touchAll(s, s.make(true, false));
  for (const { net } of leftPorts) touch(net, 0);
  for (const { net } of rightPorts) touch(net, count);
  const inward = new Set<ColumnBox>();
  for (const s of standing) {
    if (s.hung === undefined) continue;
    const alone = standing.filter(({ hung }) => hung === s.hung).length === 1;
    const known = reach.get(s.hung);
    if (!alone || !known || known.from <= columnOf(s)) inward.add(s);
  }
  for (const s of standing) if (s.hung !== undefined) touchAll(s, s.make(inward.has(s), !inward.has(s)));

  const columns: Box[][] = Array.from({ length: count }, () => []);
  const carried = new Set<string>();
  // Nets that leave a frame have their names outside it.
  const named = new Set<Net>([...leftPorts, ...rightPorts].map(({ net }) => net));
  for (const s of standing) {
    const column = columnOf(s);
    const onward =
      s.hung !== undefined && reach.get(s.hung)!.to > column && !carried.has(`${s.hung} ${column}`);
    const box = s.make(inward.has(s), onward);
    if (box.carries !== undefined) carried.add(`${box.carries} ${column}`);
    columns[column].push(box);
  }
  nameNets(sheet, columns, named, showing);
  for (const [net, { from, to }] of reach)
    for (let column = from; column < to; column++)
      if (!carried.has(`${net} ${column}`)) columns[column].push(passing(net));
  return new Wiring(place(columns), { left: leftPorts, right: rightPorts }, loose);
}
/** The levels of the nets, and those on which a constant source hangs as any other part does, since signals pass there. */
function levelled(
  elements: readonly Item[],
  left: readonly Port[],
  right: readonly Port[],
): { level: Map<Net, number>; passed: ReadonlySet<Net> } {
  const steps: Step[] = [];
  const sources: Net[] = left.map(({ net }) => net);
  const biases: Net[] = [];
  const held: Net[] = [];
  const hung = new Set<Net>();
  const nets = new Set<Net>([...left, ...right].map(({ net }) => net));
  const wiresOf = (ends: readonly End[]) => ends.filter(({ rail }) => !rail).map(({ net }) => net);
  const step = (from: Net[], to: Net[], way: "both" | "onward" | "acts") => {
    for (const net of [...from, ...to]) nets.add(net);
    if (from.length > 0 && to.length > 0)
      steps.push({ from, to, both: way === "both", acts: way === "acts" });
  };
  for (const e of elements) {
    if (e.type === "pair") {
      const ends = wiresOf([e.pair.tail, e.pair.head]);
      const controls = wiresOf(e.pair.controls);
      for (const net of ends) nets.add(net);
      if (ends.length === 2 && ends[0] !== ends[1]) step([ends[0]], [ends[1]], "both");
      else if (ends.length === 1 && !e.source) hung.add(ends[0]);
      else if (ends.length === 1 && e.part.wave) sources.push(ends[0]);
      else if (ends.length === 1 && controls.length === 0) held.push(ends[0]);
      if (controls.length > 0) step(controls, ends, e.source && ends.length === 1 ? "onward" : "acts");
    } else if (e.type === "tapped") {
      const ends = wiresOf([e.pair.tail, e.pair.head]);
      const third = wiresOf([e.third]);
      if (e.side === "left") step(third, ends, "both");
      else if (ends.length > 0) step(ends, third, "both");
      else for (const net of third) biases.push(net);
    } else if (e.type === "many") step(wiresOf(e.many.inputs), wiresOf(e.many.outputs), "onward");
    else if (e.type === "frame") {
      const into = e.ports.filter(({ driven }) => driven === false).map(({ net }) => net);
      const out = e.ports.filter(({ driven }) => driven === true).map(({ net }) => net);
      const passive = e.ports.filter(({ driven }) => driven === undefined).map(({ net }) => net);
      if (passive.length === 1 && e.ports.length === 1) sources.push(passive[0]);
      step(into.length > 0 ? into : passive, into.length > 0 ? [...out, ...passive] : out, "onward");
      for (const [i, net] of passive.entries())
        for (const other of passive.slice(i + 1)) step([net], [other], "both");
    }
  }
  for (const net of [...biases, ...held]) nets.add(net);
  const way: Way = {
    nets: [...nets].sort((a, b) => a - b),
    sources: [...new Set(sources)],
    sinks: right.map(({ net }) => net),
    biases,
    steps,
    hung,
  };
  const near = nearestLevels({ ...way, biases: [...biases, ...held] });
  const passed = new Set(held.filter((net) => isPassed(net, steps, near)));
  for (const net of held)
    if (passed.has(net)) hung.add(net);
    else biases.push(net);
  return { level: levelsOf(way), passed };
}

/** Whether a signal comes to a net by a part in series and goes on from it. */
function isPassed(net: Net, steps: readonly Step[], near: ReadonlyMap<Net, number>): boolean {
  const at = near.get(net)!;
  const through = steps.filter(({ from, to }) => from.includes(net) || to.includes(net));
  const comes = through.some(({ from, to, both }) => both && [...from, ...to].some((n) => near.get(n)! < at));
  return comes && through.some(({ from, to }) => [...from, ...to].some((n) => near.get(n)! > at));
}

/** Names the nets of a frame, each at the pin where it reads best: where something drives it, else anywhere. */
function nameNets(sheet: DrawnDesign, columns: Box[][], named: Set<Net>, { notes, failing }: Showing): void {
  for (const side of ["right", "left"] as const)
    for (const boxes of columns)
      for (const [i, box] of boxes.entries()) {
        let shown = box;
        for (const pin of box.pins) {
          if (pin.side !== side || named.has(pin.net)) continue;
          named.add(pin.net);
          const name = sheet.design.places[pin.net];
          const moved = shown.pins[box.pins.indexOf(pin)];
          const place = name.slice(name.lastIndexOf(".") + 1);
          shown = tagged(shown, moved, {
            place,
            note: notes.get(name) ?? "",
            fails: failing.get(name) ?? "",
          });
        }
        boxes[i] = shown;
      }
}
