// A drawing against its design: it joins what the design joins, and nothing stands on anything. The drawing is read back by code of
// its own (sheet.ts).
import { expect } from "vitest";
import type { Design, PartSpec } from "../../src/design/design.js";
import { type DrawOptions, draw } from "../../src/schematic/schematic.js";
import { netsOf, overlaps, readSheet } from "./sheet.js";

/** Pins by the places that the design gives them. */
function netsOfDesign(design: Design, drawn: ReadonlySet<string>): string[][] {
  const byPlace = new Map<number, string[]>();
  const add = (place: number, pin: string) => {
    const list = byPlace.get(place) ?? [];
    byPlace.set(place, list);
    if (!list.includes(pin)) list.push(pin);
  };
  for (const part of design.parts)
    if (drawn.has(part.name)) for (const [role, place] of pinsOf(part)) add(place, `${part.name} ${role}`);
  return [...byPlace.values()].map((list) => list.sort()).sort();
}

function pinsOf(part: PartSpec): [string, number][] {
  if (part.couples) return [];
  const pins: [string, number][] = [
    ["tail", part.tail],
    ["head", part.head],
    ...[...part.places].map(([word, place]): [string, number] => [word, place]),
  ];
  if (part.control?.type === "level") pins.push(["control", part.control.place]);
  return pins;
}

/** Words at every place, some of them in red, as wide as those of a run. */
export function written(design: Design): DrawOptions {
  const places = design.places.slice(1);
  return {
    notes: new Map(places.map((place) => [place, "-999.9 mV to 999.9 mV"])),
    failing: new Map(places.filter((_, i) => i % 2 === 0).map((place) => [place, "fails: as it should be"])),
    alarmed: design.parts.filter((_, i) => i % 3 === 0).map(({ name }) => name),
  };
}

export function proven(design: Design, open: true | readonly string[] = true): void {
  for (const words of [{}, written(design)]) provenWith(design, { open, ...words });
}

export function provenWith(design: Design, options: DrawOptions): void {
  const { open } = options;
  const svg = draw(design, options);
  expect(draw(design, options)).toBe(svg);
  const sheet = readSheet(svg);
  const { nets, doubts } = netsOf(sheet);
  expect(doubts).toEqual([]);
  const drawn = new Set(sheet.pins.map(({ part }) => part));
  const closed = sheet.pins.filter(({ role }) => role.startsWith("=")).map(({ part }) => part);
  // A closed block stands for its parts: its pins are named by the places that they join.
  for (const block of closed) drawn.delete(block);
  const wanted = netsOfDesign(design, drawn);
  const shown = nets
    .map((list) => list.filter((pin) => !pin.includes(" =")))
    .filter((list) => list.length > 0);
  expect(shown.sort()).toEqual(wanted);
  for (const list of nets) {
    const places = new Set(
      list.filter((pin) => pin.includes(" =")).map((pin) => pin.slice(pin.indexOf("=") + 1)),
    );
    expect(places.size).toBeLessThanOrEqual(1);
  }
  if (open === true) expect(drawn.size).toBe(design.parts.filter((part) => !part.couples).length);
  expect(overlaps(sheet)).toEqual([]);
}
