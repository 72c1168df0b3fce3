// What it means where a test point looks wrong: flat, too high, half. From the table of single faults where there is one: every
// fault that makes the trace look so. Else from the parts that feed the place, which says less.
import type { Design, PartSpec } from "../design/design.js";
import { type Suspect, suspectText } from "../diagnosis/suspects.js";
import type { SymptomRow, SymptomTable } from "../diagnosis/symptomtable.js";
import { Influence } from "../judging/influence.js";
import { exactLevelRange, type Wave } from "../signals/wave.js";
import type { TraceReach } from "./scopesetting.js";

/** How a trace may look wrong. */
export type WrongLook = "flat" | "high" | "half";

/** What may be at fault where a trace looks wrong. Plain data. */
export interface Meaning {
  /** How it looks. */
  readonly looks: WrongLook;
  /** What may be wrong, in words: `reset open`; failures before values that are off. */
  readonly faults: readonly string[];
  /** The peak it then has, in the unit of the trace, by fault; absent where that is not known. */
  readonly at?: readonly number[];
}

const looks: readonly WrongLook[] = ["flat", "high", "half"];
/** Shares of the swing: below the first a trace is flat, between the next two half; above by the last it is high. */
const [gone, halfFrom, halfTo, above] = [0.05, 0.3, 0.7, 0.3];
/** A trace that swings by less than this share of its level, like a supply's, is judged by its level. */
const ripple = 0.1;

/** What the table says of a trace; undefined where it does not know the trace. */
export function meaningsFrom(table: SymptomTable, of: string): Meaning[] | undefined {
  const column = (words: string) =>
    table.columns.findIndex((c) => c.case === "" && c.what === `${words} of ${of}`);
  const [floor, peak] = [column("floor"), column("peak")];
  const sound = table.rows.find((row) => row.suspect === 0 && row.case === "");
  if (floor < 0 || peak < 0 || !sound) return undefined;
  const reachIn = (row: SymptomRow): TraceReach => {
    const value = (c: number) => {
      const own = row.columns.indexOf(c);
      return own >= 0 ? row.values[own] : sound.values[sound.columns.indexOf(c)];
    };
    return { floor: value(floor), peak: value(peak) };
  };
  const usual = reachIn(sound);
  const found = new Map<WrongLook, { suspect: Suspect; at: number }[]>(looks.map((one) => [one, []]));
  for (const row of table.rows) {
    if (row.case !== "" || row.suspect === 0 || row.status !== "complete") continue;
    const reach = reachIn(row);
    const look = looked(reach, usual);
    if (look) found.get(look)!.push({ suspect: table.suspects[row.suspect], at: reach.peak });
  }
  const rank = ({ suspect }: { suspect: Suspect }) => Number(suspect.kind === "value");
  return looks.flatMap((look): Meaning[] => {
    const all = found.get(look)!.sort((a, b) => rank(a) - rank(b));
    if (all.length === 0) return [];
    return [
      { looks: look, faults: all.map(({ suspect }) => suspectText(suspect)), at: all.map((f) => f.at) },
    ];
  });
}

/** How levels look beside those of the sound design; a trace that hardly moves anyway is judged by its level. */
function looked({ floor, peak }: TraceReach, usual: TraceReach): WrongLook | undefined {
  const swing = peak - floor;
  const still = usual.peak - usual.floor < ripple * Math.abs(usual.peak);
  const size = still ? Math.abs(usual.peak) : usual.peak - usual.floor;
  const left = still ? Math.abs(peak) : swing;
  if (!(size > 0) || Number.isNaN(swing)) return undefined;
  if (left < gone * size) return "flat";
  if (peak > usual.peak + above * size) return "high";
  return left >= halfFrom * size && left <= halfTo * size ? "half" : undefined;
}

/** Whether a wave moves at all: a disturbance of zero size cannot stop. */
function moves(wave: Wave): boolean {
  const { low, high } = exactLevelRange(wave);
  return low.lt(high);
}

/** What the kinds of parts around a place tell: what is joined there, and the rails and signals that affect it. */
export function meaningsOf(design: Design, of: string): Meaning[] {
  const place = design.places.indexOf(of);
  if (place < 0) return [];
  // In the order of the text, where the camera comes before what follows it on the path of the picture.
  const movers = [...(new Influence(design).of({ target: of }) ?? design.parts.keys())]
    .sort((a, b) => a - b)
    .map((i) => design.parts[i]);
  const rails = movers.filter((p) => p.kind.rail);
  const held = new Set([0, ...rails.flatMap(({ tail, head }) => [tail, head])]);
  const joined = movers.filter((p) => (p.tail === place || p.head === place) && !p.kind.rail && !p.wave);
  // A part to ground or to a rail that delivers nothing drains the trace; one to a rail may feed it as well.
  const leads = joined.filter(
    ({ tail, head, kind }) => !kind.delivers && held.has(tail === place ? head : tail),
  );
  const feeds = joined.filter((p) => !leads.includes(p));
  const all = (parts: readonly PartSpec[], words: string) => parts.map(({ name }) => `${name} ${words}`);
  const signals = movers.filter((p) => p.wave && !p.kind.rail && moves(p.wave));
  const valued = joined.filter((p) => p.value && p.value.value.n !== 0n);
  const said: [WrongLook, string[]][] = [
    [
      "flat",
      [...all(signals, "stopped"), ...all(rails, "dead"), ...all(feeds, "open"), ...all(leads, "short")],
    ],
    ["high", [...all(leads, "open"), ...all(feeds, "short")]],
    ["half", [...all(rails, "low"), ...all(valued, "off its value")]],
  ];
  return said.flatMap(([look, faults]) => (faults.length > 0 ? [{ looks: look, faults }] : []));
}
