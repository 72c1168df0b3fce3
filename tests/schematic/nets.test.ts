// The schematic joins what the design joins, and nothing else: the drawing is read back by code of its own. No outside source;
// what a crossing and a dot mean is common practice (IEC 61082-1 shows both).
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { compile, inspect } from "../../src/index.js";
import { tries } from "../counts.js";
import { proven, provenWith, written } from "./proof.js";

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
