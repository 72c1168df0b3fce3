// What the graph alone can tell, before any matrix: parts with no way to ground, ideal supplies in a loop,
// parts of which an end hangs free.
import type { Report } from "../base/diagnostic.js";
import type { PartSpec } from "./design.js";
import type { Places } from "./scope.js";

/** Reports what is wrong with the graph of a circuit. */
export function checkStructure(
  places: Pick<Places, "names"> & Partial<Pick<Places, "firstAt">>,
  all: readonly PartSpec[],
  report: Report,
): void {
  const parts = all.filter((p) => p.fault !== "open");
  const ends = (p: PartSpec) => [p.tail, p.head, ...p.places.values()];
  // A place that commands a switch is looked at there, though no current flows.
  const watched = new Set(parts.flatMap((p) => (p.control?.type === "level" ? [p.control.place] : [])));
  const root = places.names.map((_, i) => i);
  const find = (p: number): number => {
    let at = p;
    while (root[at] !== at) {
      root[at] = root[root[at]!]!;
      at = root[at]!;
    }
    return at;
  };
  const join = (list: readonly number[]) => {
    for (const p of list) root[Math.max(find(p), find(list[0]!))] = Math.min(find(p), find(list[0]!));
  };
  for (const p of parts) join(ends(p));
  const adrift = new Map<number, PartSpec[]>();
  for (const p of parts) {
    if (find(p.tail) === find(0)) continue;
    adrift.set(find(p.tail), [...(adrift.get(find(p.tail)) ?? []), p]);
  }
  for (const members of adrift.values()) {
    report.error("no-ground", `nothing joins ${list(members)} to ground`, members[0]!.span, {
      hint: "join one of their places to ground",
    });
  }
  if (parts.length > 0 && !parts.some((p) => ends(p).includes(0))) return;
  const joined = new Map<number, PartSpec[]>();
  for (const p of parts) for (const end of new Set(ends(p))) joined.set(end, [...(joined.get(end) ?? []), p]);
  for (const [place, members] of joined) {
    const [only] = members;
    if (members.length > 1) unlikeGround(places, place, members, report);
    if (place === 0 || members.length > 1 || only!.kind.word === "supply" || only!.kind.word === "signal")
      continue;
    if (adrift.has(find(place)) || watched.has(place)) continue;
    const tap = [...only!.places.values()].includes(place);
    // A tap may hang free; a place that is only looked at stands at nothing in particular.
    if (tap && only!.kind.word !== "potentiometer" && all.length === parts.length) {
      report.warn(
        "loose-end",
        `nothing drives place '${places.names[place]}', which '${only!.name}' looks at`,
        only!.span,
      );
      continue;
    }
    const message = `place '${places.names[place]}' joins '${only!.name}' to nothing else`;
    if (only!.kind.word === "current")
      report.error("loose-end", message, only!.span, { hint: "its current has no way to flow" });
    else if (!tap && all.length === parts.length) report.warn("loose-end", message, only!.span);
  }
  sourceLoops(parts, report);
}

function sourceLoops(parts: readonly PartSpec[], report: Report): void {
  const ideal = parts.filter(
    (p) =>
      p.fault === "short" ||
      p.kind.word === "supply" ||
      p.kind.word === "signal" ||
      (p.kind.word === "voltage" && (p.amounts.get("behind")?.value.n ?? 0n) === 0n),
  );
  const link = new Map<number, { to: number; part: PartSpec }[]>();
  const path = (from: number, to: number): PartSpec[] | undefined => {
    const came = new Map<number, { from: number; part: PartSpec }>();
    const queue = [from];
    for (let at = queue.shift(); at !== undefined; at = queue.shift()) {
      if (at === to) {
        const parts: PartSpec[] = [];
        for (let back = to; back !== from; back = came.get(back)!.from) parts.push(came.get(back)!.part);
        return parts;
      }
      for (const { to: next, part } of link.get(at) ?? []) {
        if (next === from || came.has(next)) continue;
        came.set(next, { from: at, part });
        queue.push(next);
      }
    }
    return undefined;
  };
  for (const p of ideal) {
    const loop = p.tail === p.head ? [] : path(p.tail, p.head);
    if (loop) {
      report.error("source-loop", `ideal voltages stand in a loop: ${list([...loop, p])}`, p.span, {
        hint: `put a resistance in the loop, e.g. 'behind 1 ohm' on a voltage`,
      });
      continue;
    }
    link.set(p.tail, [...(link.get(p.tail) ?? []), { to: p.head, part: p }]);
    link.set(p.head, [...(link.get(p.head) ?? []), { to: p.tail, part: p }]);
  }
}

function list(parts: readonly PartSpec[]): string {
  const names = [...new Set(parts.map((p) => `'${p.name}'`))].sort();
  if (names.length > 8) return `${names.slice(0, 8).join(", ")} and ${names.length - 8} more`;
  return names.length === 1 ? names[0]! : `${names.slice(0, -1).join(", ")} and ${names[names.length - 1]}`;
}

// What others call ground is a place of its own here, and two parts that meet there are joined to each other alone.
function unlikeGround(
  { names, firstAt }: Pick<Places, "names"> & Partial<Pick<Places, "firstAt">>,
  place: number,
  members: readonly PartSpec[],
  report: Report,
): void {
  const name = names[place]!;
  const last = name.slice(name.lastIndexOf(".") + 1).toLowerCase();
  const driven = members.some((p) => p.name === name);
  const span = firstAt?.get(place);
  if (driven || !span || !["gnd", "ground", "earth"].includes(last)) return;
  report.warn("ground-name", `place '${name}' is a place like any other, not the reference`, span, {
    hint: "the reference is called 'ground'",
    fix: { span, text: "ground" },
  });
}
