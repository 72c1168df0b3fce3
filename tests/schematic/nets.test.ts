// The schematic joins what the design joins, and nothing else: the drawing is read back by code of its own. No outside source;
// what a crossing and a dot mean is common practice (IEC 61082-1 shows both).
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { Design, PartSpec } from "../../src/design/design.js";
import { compile, inspect } from "../../src/index.js";
import { type DrawOptions, draw } from "../../src/schematic/schematic.js";
import { tries } from "../counts.js";
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
function written(design: Design): DrawOptions {
  const places = design.places.slice(1);
  return {
    notes: new Map(places.map((place) => [place, "-999.9 mV to 999.9 mV"])),
    failing: new Map(places.filter((_, i) => i % 2 === 0).map((place) => [place, "fails: as it should be"])),
    alarmed: design.parts.filter((_, i) => i % 3 === 0).map(({ name }) => name),
  };
}

function proven(design: Design, open: true | readonly string[] = true): void {
  for (const words of [{}, written(design)]) provenWith(design, { open, ...words });
}

function provenWith(design: Design, options: DrawOptions): void {
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

const folder = new URL("../../examples/", import.meta.url);
const textOf = (name: string) => readFileSync(new URL(name, folder), "utf8");

describe("examples", () => {
  for (const name of readdirSync(folder).filter((file) => file.endsWith(".ramp"))) {
    it(`${name}, its blocks closed`, () => proven(compile(textOf(name)), []));
    it(`${name}, its blocks open`, () => proven(compile(textOf(name))));
  }
});

describe("blocks that ship", () => {
  for (const name of readdirSync(new URL("blocks/", folder)).filter((file) => file.endsWith(".ramp"))) {
    const text = textOf(`blocks/${name}`);
    for (const [, block, joined] of text.matchAll(/^block (\w+) joins ([\w, ]+)/gm))
      it(`${block}, open and closed`, () => {
        const design = compile(
          `bring "shipped/${name.slice(0, -5)}"\nsupply rail = 12 V\nuse ${block} as it joins ${joined}\nresistor load ${joined.split(",")[0].trim()} -> ground 1 kohm\nrun for 1 ms\n`,
        );
        proven(design);
        proven(design, []);
      });
  }
});

describe("circuits of chance", () => {
  // A generator of D. H. Lehmer's kind (MINSTD: S. K. Park & K. W. Miller, Comm. ACM 31(10), 1988).
  const stream = (seed: number) => {
    let state = seed;
    return (below: number) => {
      state = (state * 48271) % 2147483647;
      return state % below;
    };
  };
  const kinds = [
    (a: string, b: string) => `resistor $ ${a} -> ${b} 1 kohm`,
    (a: string, b: string) => `capacitor $ ${a} -> ${b} 1 nF +- 5 %`,
    (a: string, b: string) => `inductor $ ${a} -> ${b} 1 mH`,
    (a: string, b: string) => `diode $ ${a} -> ${b} drop 0.6 V`,
    (a: string, b: string) => `current $ ${a} -> ${b} 1 mA`,
    (a: string, b: string, c: string) => `switch $ ${a} -> ${b} closed while ${c} above 2 V, on 5 ohm`,
    (a: string, b: string, c: string) =>
      `amplifier $ ${a} -> ${b} minus ${c}, high plus, low minus, output 10 ohm`,
    (a: string, b: string, c: string) => `comparator $ ${a} -> ${b} minus ${c}`,
    (a: string, b: string, c: string) => `gate $ ${a} -> ${b} and ${c}`,
    (a: string, b: string) => `oneshot $ ${a} -> ${b} lasts 4 us`,
    (a: string, b: string, c: string) => `potentiometer $ ${a} -> ${b} 10 kohm, tap ${c}`,
    (a: string, b: string, c: string) => `transistor $ ${a} -> ${b} base ${c}`,
    (a: string, b: string, c: string) => `voltage $ ${a} -> ${b} 1 V, behind 50 ohm, follows ${c}, gain 2`,
  ];
  const random = (seed: number) => {
    const next = stream(seed);
    for (let i = 0; i < 20; i++) next(7);
    const places = [
      "ground",
      "plus",
      "minus",
      "camera",
      ...Array.from({ length: 1 + next(7) }, (_, i) => `p${i}`),
    ];
    const any = () => places[next(places.length)];
    const lines = [
      "supply plus = 12 V",
      "supply minus = -5 V",
      "signal camera = line sync of 625/50, 0 V to 5 V, edges 200 ns",
    ];
    for (let i = 0; i < 2 + next(14); i++) {
      const a = any();
      let b = any();
      while (b === a) b = any();
      lines.push(kinds[next(kinds.length)](a, b, any()).replace("$", `part${i}`));
    }
    return `${lines.join("\n")}\nrun for 1 ms\n`;
  };
  const many = tries(2000, 10);
  it(`${many} of them`, () => {
    let tried = 0;
    for (let seed = 1; tried < many && seed < 3 * many; seed++) {
      const { design } = inspect(random(seed));
      if (!design) continue;
      tried++;
      try {
        provenWith(design, { open: true });
        if (seed % 8 === 0) provenWith(design, { open: true, ...written(design) });
      } catch (error) {
        throw new Error(`seed ${seed}\n${random(seed)}`, { cause: error });
      }
    }
    expect(tried).toBe(many);
  });
});
