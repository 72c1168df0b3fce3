// What can affect the reading of a check: the parts from which a path leads to its target, through the places they join. It errs
// on the safe side: a part that is left out affects nothing at the target, whatever its value, since every path from it ends at
// an ideal source or at an input that draws no current; some of the parts named may not matter either.
import { circuitOf } from "../assembly/devices.js";
import { beatOf } from "../assembly/each.js";
import { Fraction } from "../base/fraction.js";
import { reachable } from "../base/graph.js";
import type { CheckSpec, Design, PartSpec } from "../design/design.js";
import { defaultLength } from "../design/length.js";
import type { Member } from "../equations/system.js";
import type { Place, Stamp, Steer } from "../parts/contract.js";

/** What a part does to its places, over all its modes. */
interface Reach {
  /** Places through which a current of it flows, except ground. */
  readonly terminals: ReadonlySet<Place>;
  /** Places that it only reads. */
  readonly inputs: ReadonlySet<Place>;
  /** Places that it holds against ground in every mode, whatever else is joined there. */
  readonly held: ReadonlySet<Place>;
}

/** What a check reads. */
type Look = Pick<CheckSpec, "target" | "each">;

/** What can affect what in one design. */
export class Influence {
  private readonly all: Reach[];
  private readonly ends: readonly (readonly [Place, Place])[];

  constructor(private readonly design: Design) {
    const { members, places } = circuitOf(design, defaultLength(design));
    this.all = members.map(reachOf);
    this.ends = members.map(({ tail, head }) => [tail, head]);
    // The flux that coils share acts like a place that all of them touch.
    let flux = places.all;
    for (const [part, { couples }] of members.entries()) {
      if (!couples) continue;
      for (const one of [part, couples.one, couples.other]) this.all[one] = touching(this.all[one], flux);
      flux++;
    }
  }

  /**
   * The parts that can affect what a check measures, by index; undefined where that is not known of its target.
   * @param failed index of a part that may have failed in any way: its ends are then taken as joined and it holds nothing, so
   * that a part left out affects nothing with the failure or without it
   */
  of(check: Look, failed?: number): ReadonlySet<number> | undefined {
    const reaches = this.all.map((reach, part) => (part === failed ? loose(reach, this.ends[part]) : reach));
    const holder = new Map<Place, number>();
    reaches.forEach(({ held }, part) => {
      for (const place of held) holder.set(place, part);
    });
    const begin = seeds(this.design, check, reaches);
    if (!begin) return undefined;
    const parts = new Set<number>();
    reachable(begin, (place) => {
      // Nothing moves ground.
      if (place === 0) return [];
      const only = holder.get(place);
      return reaches.flatMap(({ terminals, inputs }, part) => {
        if (only === undefined ? !terminals.has(place) : part !== only) return [];
        parts.add(part);
        return [...terminals, ...inputs];
      });
    });
    const signal = check.each === undefined ? undefined : beatOf(this.design, check.each)?.signal;
    if (signal) parts.add(this.design.parts.indexOf(signal));
    return parts;
  }

  /** Whether any of some parts can affect what any of the checks measures; undefined: parts that are not known. */
  reaches(checks: readonly Look[], parts: readonly number[] | undefined): boolean {
    return checks.some((check) => {
      const moving = this.of(check);
      return !moving || !parts || parts.some((part) => moving.has(part));
    });
  }
}

function touching({ terminals, ...rest }: Reach, place: Place): Reach {
  return { ...rest, terminals: new Set([...terminals, place]) };
}

function loose({ terminals, inputs }: Reach, ends: readonly [Place, Place]): Reach {
  return { terminals: new Set([...terminals, ...ends]), inputs, held: new Set() };
}

// The places to start from: those of the target, and the one whose periods are counted.
function seeds(design: Design, { target, each }: Look, reaches: readonly Reach[]): Place[] | undefined {
  const placeOf = (name: string) => {
    const place = design.places.indexOf(name);
    return place < 0 ? [] : [place];
  };
  const counted = each === undefined || beatOf(design, each) ? [] : placeOf(each);
  const dot = target.lastIndexOf(".");
  const part = design.parts.findIndex((p) => p.name === target.slice(0, Math.max(0, dot)));
  if (part < 0) return [...placeOf(target), ...counted];
  // The current of a part that holds a place depends on everything joined there.
  const { terminals, inputs, held } = reaches[part];
  return held.size > 0 ? undefined : [...terminals, ...inputs, ...counted];
}

function reachOf({ device, fault, tail, head }: Member): Reach {
  const terminals = new Set<Place>();
  const inputs = new Set<Place>([tail, head]);
  let held: Set<Place> | undefined;
  const look = ({ a, b }: Pick<Steer, "a" | "b">) => inputs.add(a).add(b);
  const join = (a: Place, b: Place) => terminals.add(a).add(b);
  device.modes.forEach((_, mode) => {
    const here = new Set<Place>();
    let coils = 0;
    const into: Stamp = {
      resistor: join,
      capacitor: join,
      inductor(a, b) {
        join(a, b);
        return coils++;
      },
      // Both coils belong to this part, and their places affect each other anyway.
      mutual: () => undefined,
      push(a, b, _level, steer) {
        join(a, b);
        if (steer) look(steer);
      },
      hold(a, b, _level, ohms = 0, steer) {
        join(a, b);
        if (steer) look(steer);
        if (ohms === 0 && (a === 0 || b === 0)) here.add(a === 0 ? b : a);
      },
    };
    device.stamp(mode, into);
    for (const { of } of device.guards(mode)) if ("a" in of) look(of);
    held = held ? new Set([...held].filter((place) => here.has(place))) : here;
  });
  if (device.control?.type === "level") inputs.add(device.control.place);
  // A part that a case takes out or bridges holds nothing.
  if (fault) join(tail, head);
  return { terminals, inputs, held: fault ? new Set() : held! };
}

/** Indices of the parts that differ between two designs of one text; undefined where their parts do not match. */
export function changedParts(a: Design, b: Design): number[] | undefined {
  if (a.parts.length !== b.parts.length) return undefined;
  return a.parts.flatMap((part, i) => (sameValues(part, b.parts[i]) ? [] : [i]));
}

function sameValues(a: PartSpec, b: PartSpec): boolean {
  const own = ({ value, amounts, wave, control, fault }: PartSpec) => [
    value?.value,
    [...amounts].map(([word, amount]) => [word, amount.value]),
    wave,
    control,
    fault,
  ];
  return a.name === b.name && alike(own(a), own(b));
}

// Whether two pieces of plain data, which may hold exact numbers, are equal.
function alike(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || !a || !b) return false;
  if (a instanceof Fraction || b instanceof Fraction)
    return a instanceof Fraction && b instanceof Fraction && a.equals(b);
  if (a instanceof Map && b instanceof Map) return alike([...a], [...b]);
  if (ArrayBuffer.isView(a) && ArrayBuffer.isView(b))
    return alike(Array.from(a as Float64Array), Array.from(b as Float64Array));
  const [keys, others] = [Object.keys(a), Object.keys(b)];
  if (keys.length !== others.length) return false;
  return keys.every((key) => alike((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]));
}
