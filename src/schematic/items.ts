// A design as the items of a sheet: which places are rails, which parts belong to which block, and each part's role in the
// signal path: a source, a part that drives, a part in series, a part that hangs on a net.

import { toNumber } from "../base/fraction.js";
import type { Design, PartSpec } from "../design/design.js";
import { inventory, statedOf } from "../report/inventory.js";
import type { End, Net, PartLabel, TwoPins } from "./boxes.js";
import type { Many } from "./manypins.js";
import { hasSymbol } from "./symbols.js";

/** A block on the sheet, or the sheet itself: its parts and the blocks within it. */
export interface BlockTree {
  /** Full name; empty for the sheet. */
  readonly name: string;
  readonly parts: PartSpec[];
  readonly frames: BlockTree[];
}

/** One part, or one block, by its role in the signal path. */
export type Item =
  | { readonly type: "pair"; readonly part: PartSpec; readonly pair: TwoPins; readonly source: boolean }
  | {
      readonly type: "tapped";
      readonly part: PartSpec;
      readonly pair: TwoPins;
      readonly third: End;
      readonly side: "left" | "right";
    }
  | { readonly type: "many"; readonly part: PartSpec; readonly many: Many }
  | { readonly type: "note"; readonly part: PartSpec; readonly label: PartLabel }
  | {
      readonly type: "frame";
      readonly frame: BlockTree;
      readonly ports: readonly Port[];
      readonly rails: readonly NonNullable<End["rail"]>[];
    };

/** A place that a block shares with its surroundings. */
export interface Port {
  readonly net: Net;
  readonly place: string;
  /** True if something inside drives it, false if everything inside only watches it or hangs from it, else undefined. */
  readonly driven: boolean | undefined;
}

/** How a design is drawn: its rails, and the words of its parts. */
export class DrawnDesign {
  private readonly rails = new Map<Net, NonNullable<End["rail"]>>();
  private readonly labels: PartLabel[];
  private readonly frameOf = new Map<string, BlockTree>();
  readonly root: BlockTree = { name: "", parts: [], frames: [] };

  constructor(readonly design: Design) {
    this.rails.set(0, { place: "ground", side: "down" });
    for (const { kind, tail, head, value, wave, places } of design.parts) {
      // A place held against ground by a constant voltage is a rail; the first source that does so gives its direction.
      const between = tail === 0 || head === 0;
      const steady =
        kind.word === "supply" ||
        (kind.word === "voltage" && value !== undefined && wave === undefined && places.size === 0);
      const place = tail === 0 ? head : tail;
      if (!between || !steady || place === 0 || this.rails.has(place)) continue;
      const sign = Number(value?.value.s ?? 1n) * (tail === 0 ? -1 : 1);
      this.rails.set(place, { place: design.places[place], side: sign < 0 ? "down" : "up" });
    }
    for (const [place, side] of powered(design))
      if (!this.rails.has(place)) this.rails.set(place, { place: design.places[place], side });
    const rows = inventory(design);
    const coupled = new Set(design.parts.flatMap(({ couples }) => couples ?? []));
    this.labels = design.parts.map((part, i) => {
      const local = part.name.slice(part.name.lastIndexOf(".") + 1);
      const kind = isPlainBox(part) ? part.kind.word : "";
      const lines = [local, kind, ...wordsOf(part, rows[i]), part.fault ?? ""].filter((line) => line !== "");
      const words = new Set([...(part.flags ?? []), ...part.places.keys()]);
      return {
        name: part.name,
        lines,
        kind: part.kind.word,
        look: coupled.has(part.name) ? "winding" : lookOf(part),
        words,
      };
    });
    this.frameOf.set("", this.root);
    for (const part of design.parts)
      this.frameAt(part.name.slice(0, Math.max(0, part.name.lastIndexOf(".")))).parts.push(part);
  }

  private frameAt(name: string): BlockTree {
    const known = this.frameOf.get(name);
    if (known) return known;
    const frame: BlockTree = { name, parts: [], frames: [] };
    this.frameOf.set(name, frame);
    this.frameAt(name.slice(0, Math.max(0, name.lastIndexOf(".")))).frames.push(frame);
    return frame;
  }

  /** An end of a part at a place. */
  end(role: string, net: Net): End {
    return { role, net, rail: this.rails.get(net) };
  }

  /** The contents of a frame, in the order of the text. */
  elementsOf(frame: BlockTree): Item[] {
    const parts = frame.parts.map((part) => this.elementOf(part));
    return [...parts, ...frame.frames.map((inner) => this.framed(inner))];
  }

  private elementOf(part: PartSpec): Item {
    const { kind, tail, head, places, control, wave } = part;
    const label = this.labels[this.design.parts.indexOf(part)];
    if (part.couples) return { type: "note", part, label };
    const sides: End[] = [];
    if (control?.type === "level") sides.push(this.end("control", control.place));
    for (const [word, place] of places) sides.push(this.end(word, place));
    const pair: TwoPins = {
      label,
      tail: this.end("tail", tail),
      head: this.end("head", head),
      controls: sides,
    };
    const third = places.get("base") ?? places.get("tap");
    if (third !== undefined && sides.length === 1)
      return { type: "tapped", part, pair, third: sides[0], side: places.has("base") ? "left" : "right" };
    // A tube only watches what is between its tail and its head.
    if (!kind.drives && places.has("across")) {
      const looks = [pair.tail, ...(pair.head.net === 0 ? [] : [pair.head]), ...sides];
      const many: Many = {
        label,
        inputs: looks,
        outputs: [],
        upper: [],
        lower: pair.head.net === 0 ? [pair.head] : [],
      };
      return { type: "many", part, many };
    }
    if (!kind.drives)
      return { type: "pair", part, pair, source: wave !== undefined || kind.delivers === true };
    const power = sides.filter(({ role, rail }) => rail && isPower(role) && rail.place !== "ground");
    const ground = sides.filter(({ role, rail }) => rail?.place === "ground" && role === "low");
    const rails = new Set([...power, ...ground]);
    const upper = power.filter(({ rail }) => rail!.side === "up");
    const lower = [...power.filter(({ rail }) => rail!.side === "down"), ...ground];
    const inputs = [pair.tail, ...sides.filter((side) => !rails.has(side))];
    return { type: "many", part, many: { label, inputs, outputs: [pair.head], upper, lower } };
  }

  private framed(frame: BlockTree): Item {
    const within = (name: string) => name.startsWith(`${frame.name}.`);
    const inside = this.design.parts.filter(({ name }) => within(name));
    const ports = new Map<Net, Port>();
    const rails = new Map<Net, NonNullable<End["rail"]>>();
    for (const part of inside)
      for (const { net, drives, looks } of endsOf(part)) {
        // Places inside the block are not pins of it.
        if (within(this.design.places[net])) continue;
        const rail = this.rails.get(net);
        if (rail) rails.set(net, rail);
        else {
          const before = ports.get(net);
          const now = drives ? true : looks ? false : undefined;
          const driven = !before
            ? now
            : before.driven === true || now === true
              ? true
              : before.driven === false && now === false
                ? false
                : undefined;
          ports.set(net, { net, place: this.design.places[net], driven });
        }
      }
    const found = [...ports.values()];
    // What has but one wire and nothing to feed it, neither by itself nor from coils outside, ends there, whichever way it could be passed.
    const fed =
      [...rails.keys()].some((net) => net !== 0) ||
      inside.some(({ kind, wave }) => kind.delivers || wave) ||
      this.design.parts.some(({ couples }) => couples?.some(within) && !couples.every(within));
    const ends = found.length === 1 && found[0].driven === undefined && !fed;
    return {
      type: "frame",
      frame,
      ports: ends ? [{ ...found[0], driven: false }] : found,
      rails: [...rails.values()],
    };
  }
}

/** The places that a part joins, and whether it drives them or only watches them. */
export function endsOf(
  part: PartSpec,
): { readonly net: Net; readonly drives: boolean; readonly looks: boolean }[] {
  if (part.couples) return [];
  const { kind, tail, head, places, control } = part;
  const tube = !kind.drives && places.has("across");
  const ends = [
    { net: tail, drives: false, looks: kind.drives === true || tube },
    { net: head, drives: kind.drives === true, looks: tube },
  ];
  for (const [word, net] of places) {
    const carries = word === "base" || word === "tap" || isPower(word);
    ends.push({ net, drives: false, looks: !carries });
  }
  if (control?.type === "level") ends.push({ net: control.place, drives: false, looks: true });
  return ends;
}

/** Places that power parts and do nothing else to them: rails, whatever holds them. */
function powered({ parts }: Design): Map<Net, "up" | "down"> {
  const found = new Map<Net, "up" | "down">();
  const signals = new Set<Net>([0]);
  for (const part of parts) {
    for (const { net, looks, drives } of endsOf(part)) if (looks || drives) signals.add(net);
    if (part.kind.drives)
      for (const [word, net] of part.places)
        if (isPower(word) && !found.has(net)) found.set(net, word === "low" ? "down" : "up");
  }
  return new Map([...found].filter(([net]) => !signals.has(net)));
}

const isPower = (word: string) => word === "high" || word === "low" || word === "rail";

/** A supply that holds its rail below ground is drawn with its plus at ground. */
function belowGround({ kind, value, wave }: PartSpec): boolean {
  return kind.word === "supply" && value !== undefined && !wave && toNumber(value.value) < 0;
}

/** The symbol of a part that is not that of its kind: which way a supply stands, and what a signal makes. */
function lookOf(part: PartSpec): string | undefined {
  if (belowGround(part)) return "minus";
  const shape = part.kind.word === "signal" ? part.wave?.shape : undefined;
  if (shape?.kind === "sine") return "sine";
  if (shape?.kind !== "segments") return undefined;
  // What nowhere rests is no pulse: it slopes from corner to corner.
  const rests = shape.corners.some(({ value }, k) => k > 0 && value.equals(shape.corners[k - 1].value));
  return rests ? undefined : "sawtooth";
}

/** Whether nothing but its words tells what a part is: a kind of two pins that has no symbol. */
const isPlainBox = ({ kind, couples, places }: PartSpec) =>
  !kind.drives && !couples && !hasSymbol(kind.word) && !places.has("base") && !places.has("across");

/** The words below a part's name: its value, or else what it does, in at most two lines. */
function wordsOf(part: PartSpec, row: ReturnType<typeof inventory>[number]): string[] {
  const value = row.tolerance === "" ? row.value : `${row.value} ${row.tolerance.replace("± ", "±")}`;
  const { control, couples, places, wave } = part;
  if (couples) {
    const block = part.name.slice(0, part.name.lastIndexOf(".") + 1);
    const [one, other] = couples.map((coil) => (coil.startsWith(block) ? coil.slice(block.length) : coil));
    return [`${value} between ${one} and ${other}`];
  }
  if (control?.type === "level") return [value, /(?:above|below) [^,]*/.exec(row.more)?.[0] ?? ""];
  if (control) return [value, row.more.split(", ")[0]];
  // A part that follows a place shows its value only if that is not zero.
  if (places.has("follows") && !wave) {
    const gain = statedOf(part).find((words) => words.startsWith("gain ")) ?? "gain 1";
    return part.value && toNumber(part.value.value) !== 0 ? [value, gain] : [gain];
  }
  if (value === "" && !places.has("across")) return statedOf(part).slice(0, 2);
  if (belowGround(part)) return [value.replace(/^-/, "")];
  return value.split(", ");
}
