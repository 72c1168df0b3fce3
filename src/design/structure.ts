// Checks that need only the graph of the circuit, before any matrix: parts with no way to ground, ideal voltages in
// a loop, parts with a loose end. The work grows in proportion to the parts.

import type { Report } from "../base/diagnostic.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { DisjointSets } from "../base/graph.js";
import { engineering, enumerated } from "../base/quantity.js";
import { possible, tightest } from "../parts/coupling.js";
import { exactLevelRange } from "../signals/wave.js";
import type { PartSpec } from "./design.js";
import type { Places } from "./places.js";

/** Reports what is wrong with the graph of a circuit. */
export function checkStructure(
  places: Pick<Places, "names"> & Partial<Pick<Places, "firstAt">>,
  all: readonly PartSpec[],
  report: Report,
): void {
  checkCouplings(all, report);
  checkControls(places, all, report);
  const parts = all.filter((p) => p.fault !== "open" && !p.couples);
  // A place that commands a switch is watched there, though no current flows.
  const watched = new Set(parts.flatMap((p) => (p.control?.type === "level" ? [p.control.place] : [])));
  const pieces = new DisjointSets(places.names.length);
  for (const p of parts) {
    for (const end of endsOf(p)) pieces.join(p.tail, end);
    // An output drives its head against ground.
    if (p.kind.drives) pieces.join(p.head, 0);
  }
  const adrift = new Lists<PartSpec>();
  for (const p of parts) if (pieces.find(p.tail) !== pieces.find(0)) adrift.add(pieces.find(p.tail), p);
  for (const members of adrift.values()) {
    report.error("no-ground", `nothing joins ${list(members)} to ground`, members[0].span, {
      hint: "join one of their places to ground",
    });
  }
  if (parts.length > 0 && !parts.some((p) => p.kind.drives || endsOf(p).includes(0))) return;
  const joined = new Lists<PartSpec>();
  for (const p of parts) for (const end of endsOf(p)) joined.add(end, p);
  for (const [place, members] of joined) {
    const [only] = members;
    if (members.length > 1) unlikeGround(places, place, members, report);
    if (place === 0 || members.length > 1 || only.kind.ownPlace) continue;
    if (adrift.has(pieces.find(place)) || watched.has(place)) continue;
    const tap = [...only.places].find(([, named]) => named === place)?.[0];
    const mayHang = only.kind.properties.some((p) => p.word === tap && p.mayHang);
    // A follower watches its own output, which it drives.
    if (tap && only.kind.drives && only.head === place) continue;
    // A tap may hang free; a place that is only watched has no defined voltage.
    if (tap && !mayHang && all.length === parts.length) {
      report.warn(
        "loose-end",
        `nothing drives place '${places.names[place]}', which '${only.name}' looks at`,
        only.span,
        { hint: "join it to what it should show" },
      );
      continue;
    }
    const message = `place '${places.names[place]}' joins '${only.name}' to nothing else`;
    const ideal = only.kind.ideal?.(only);
    if (ideal === "current" || (ideal === "starving current" && all.length === parts.length))
      report.error("loose-end", message, only.span, { hint: "its current has no way to flow" });
    else if (!tap && all.length === parts.length)
      report.warn("loose-end", message, only.span, { hint: "join that end, or delete the part" });
  }
  sourceLoops(places.names.length, parts, report);
}

/** Warns of a switch that a signal alone commands without ever reaching the level at which it closes. */
function checkControls(places: Pick<Places, "names">, all: readonly PartSpec[], report: Report): void {
  const drivers = new Map(all.flatMap((p) => (p.kind.ownPlace && p.wave ? [[p.tail, p]] : [])));
  for (const { name, kind, control, places: looked, span } of all) {
    if (control?.type !== "level" || looked.has("minus")) continue;
    const wave = drivers.get(control.place)?.wave;
    // A signal that is constant, or gated, may leave the switch open on purpose.
    if (!wave || wave.shape.kind === "constant" || wave.starts || wave.stops) continue;
    const { low, high } = exactLevelRange(wave);
    const above = control.side === "above";
    if (above ? high.gte(control.close) : low.lte(control.close)) continue;
    const shown = (level: Fraction) => engineering(toNumber(level), "V", 4);
    const gate = places.names[control.place];
    report.warn(
      "never-closes",
      `${kind.word} '${name}' never closes: '${gate}' stays ${above ? "below" : "above"} ${shown(control.close)}`,
      span,
      { hint: `'${gate}' goes from ${shown(low)} to ${shown(high)}` },
    );
  }
}

/** Reports couplings by which the coils of a core cannot share flux. */
function checkCouplings(all: readonly PartSpec[], report: Report): void {
  const couplings = all.filter((p) => p.couples && !p.fault);
  if (couplings.length === 0) return;
  const coils = [...new Set(couplings.flatMap((p) => p.couples!))];
  const numbers = new Map(coils.map((name, i) => [name, i]));
  const cores = new DisjointSets(coils.length);
  const pairs = new Map<string, PartSpec>();
  const k = new Map<string, number>();
  for (const p of couplings) {
    const [one, other] = p.couples!.map((name) => numbers.get(name)!) as [number, number];
    const pair = `${Math.min(one, other)} ${Math.max(one, other)}`;
    const first = pairs.get(pair);
    if (first) {
      report.error("coupled-twice", `'${p.name}' couples what '${first.name}' couples already`, p.span, {
        hint: "delete one of them",
      });
      return;
    }
    pairs.set(pair, p);
    cores.join(one, other);
    const share = tightest(toNumber(p.value!.value));
    k.set(`${one} ${other}`, share).set(`${other} ${one}`, share);
  }
  const groups = new Lists<number>();
  for (const i of coils.keys()) groups.add(cores.find(i), i);
  for (const group of groups.values()) {
    const rows = group.map((i) => group.map((j) => (i === j ? 1 : (k.get(`${i} ${j}`) ?? 0))));
    if (possible(rows)) continue;
    const members = couplings.filter((p) => group.includes(numbers.get(p.couples![0])!));
    const message = `no coils can be coupled as ${list(members)} say: what is tightly coupled to one coil cannot be loosely coupled to another that is tightly coupled to it`;
    report.error("impossible-coupling", message, members.at(-1)!.span, {
      hint: "couple every two windings of a core, or lower some of the shares",
    });
  }
}

/** Whether two parts of one name are alike to these checks. Of values it matters only whether they are given, and zero. */
export function sameGraph(a: PartSpec, b: PartSpec): boolean {
  if (a === b) return true;
  // For couplings the values matter as well.
  if (a.couples || b.couples) return false;
  const control = ({ control: c }: PartSpec) => (c?.type === "level" ? c.place : -1);
  return (
    a.kind === b.kind &&
    a.tail === b.tail &&
    a.head === b.head &&
    a.fault === b.fault &&
    control(a) === control(b) &&
    a.places.size === b.places.size &&
    [...a.places].every(([word, place]) => b.places.get(word) === place) &&
    a.amounts.size === b.amounts.size &&
    [...a.amounts].every(([word, { value }]) => {
      const other = b.amounts.get(word);
      return other && (value.n === 0n) === (other.value.n === 0n);
    })
  );
}

/** The most links that are walked to name the parts of loops. */
const mostWalked = 500_000;

function sourceLoops(count: number, parts: readonly PartSpec[], report: Report): void {
  const ideal = parts.filter(
    (p) => p.fault === "short" || ["voltage", "steered voltage"].includes(p.kind.ideal?.(p) ?? ""),
  );
  const pieces = new DisjointSets(count);
  const links = new Lists<Link>();
  let walked = 0;
  for (const part of ideal) {
    const { tail, head } = part;
    if (pieces.find(tail) === pieces.find(head)) {
      // If loops are very many or very long, the first are named in full, the others by their last part.
      const loop = walked < mostWalked ? way(links, tail, head) : [];
      walked += links.size;
      report.error("source-loop", `ideal voltages stand in a loop: ${list([...loop, part])}`, part.span, {
        hint: `put a resistance in the loop, e.g. 'behind 1 ohm' on a voltage`,
      });
      continue;
    }
    pieces.join(tail, head);
    links.add(tail, { to: head, part });
    links.add(head, { to: tail, part });
  }
}

interface Link {
  readonly to: number;
  readonly part: PartSpec;
}

/** The parts on the shortest way from one place to another, which must exist. */
function way(links: ReadonlyMap<number, readonly Link[]>, from: number, to: number): PartSpec[] {
  const came = new Map<number, { from: number; part?: PartSpec }>([[from, { from }]]);
  // Iterating over a Map also visits what is added meanwhile, in order.
  for (const at of came.keys()) {
    if (at === to) break;
    for (const link of links.get(at) ?? [])
      if (!came.has(link.to)) came.set(link.to, { from: at, part: link.part });
  }
  const parts: PartSpec[] = [];
  for (let back = came.get(to)!; back.part; back = came.get(back.from)!) parts.push(back.part);
  return parts;
}

/** Lists, each by a number. */
class Lists<T> extends Map<number, T[]> {
  add(key: number, one: T): void {
    const known = this.get(key);
    if (known) known.push(one);
    else this.set(key, [one]);
  }
}

/** The places that a part stands on or looks at, each once. */
function endsOf({ tail, head, places }: PartSpec): number[] {
  const ends = tail === head ? [tail] : [tail, head];
  if (places.size > 0) for (const place of places.values()) if (!ends.includes(place)) ends.push(place);
  return ends;
}

function list(parts: readonly PartSpec[]): string {
  const names = [...new Set(parts.map((p) => `'${p.name}'`))].sort();
  if (names.length > 8) return `${names.slice(0, 8).join(", ")} and ${names.length - 8} more`;
  return enumerated(names, "and");
}

/** What the reference is called elsewhere, in small letters. */
const groundNames = new Set(["gnd", "ground", "earth", "0", "0v", "vss", "agnd", "dgnd", "pgnd", "chassis"]);

// Warns of `gnd` and the like, which are not ground here: parts that meet there are joined to each other only.
function unlikeGround(
  { names, firstAt }: Pick<Places, "names"> & Partial<Pick<Places, "firstAt">>,
  place: number,
  members: readonly PartSpec[],
  report: Report,
): void {
  const name = names[place];
  const last = name.slice(name.lastIndexOf(".") + 1).toLowerCase();
  const driven = members.some((p) => p.name === name);
  const span = firstAt?.[place];
  if (driven || !span || !groundNames.has(last)) return;
  report.warn("ground-name", `place '${name}' is a place like any other, not the reference`, span, {
    hint: "the reference is called 'ground'",
    fix: { span, text: "ground" },
  });
}
