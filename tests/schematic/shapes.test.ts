// Shapes that no generator of chance makes: each drawing is read back as those of the examples are. No outside source.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { compile } from "../../src/index.js";
import { draw } from "../../src/schematic/schematic.js";
import { lamp } from "../parts/added.js";
import { proven } from "./proof.js";
import { readSheet } from "./sheet.js";

const many = (count: number, line: (i: number) => string) =>
  Array.from({ length: count }, (_, i) => line(i)).join("\n");
const long = "a_place_with_a_name_that_nobody_would_write_down_on_any_sheet_of_paper";

const shapes: Readonly<Record<string, string>> = {
  "a ladder of forty sections": `signal in = pulse 0 V to 5 V, wide 1 us, every 3 us
${many(40, (i) => `resistor r${i} ${i === 0 ? "in" : `n${i - 1}`} -> n${i} 1 kohm\ncapacitor c${i} n${i} -> ground 1 nF`)}`,
  "a bridge": `voltage v a -> b sine -10 V to 10 V, at 50 Hz
diode d1 a -> plus drop 0.6 V
diode d2 b -> plus drop 0.6 V
diode d3 minus -> a drop 0.6 V
diode d4 minus -> b drop 0.6 V
capacitor c plus -> minus 100 uF
resistor load plus -> minus 1 kohm
resistor earth minus -> ground 1 ohm`,
  "coupled coils": `voltage v p -> ground sine -10 V to 10 V, at 15 kHz
inductor first p -> ground 1 mH
inductor second s -> ground 4 mH
inductor third t -> u 4 mH
coupling k1 first -> second 0.5
coupling k2 first -> third 0.5
resistor a s -> ground 1 kohm
resistor b t -> u 1 kohm
resistor c u -> ground 1 Mohm`,
  "inputs at ground": `supply plus = 12 V
signal in = sine -1 V to 1 V, at 50 Hz
resistor re in -> e 1 kohm
resistor rc plus -> c 1 kohm
transistor q c -> e base ground
potentiometer pot c -> out 10 kohm, tap ground, at 30 %
comparator upper ground -> high minus in, rail plus
comparator lower in -> low minus ground, rail plus
amplifier stage ground -> out minus low, high plus, low ground, bandwidth 1 MHz
gate both high -> g and ground, rail plus
bistable half low -> b, data ground, reset ground, rail plus
switch s out -> g closed while ground above 1 V, minus in
current m plus -> out 1 mA, follows ground, gain 1 mA/V
tube t out -> ground across ground, down in, left 0 V, right 1 V, top 0 V, bottom 1 V, full 1 V`,
  "blocks in blocks": `supply rail = 12 V
block cell joins a, b
  resistor r a -> m 1 kohm
  capacitor c m -> ground 1 nF
  resistor s m -> b 1 kohm
end
block pair joins a, b
  use cell as left joins a, mid
  use cell as right joins mid, b
end
block four joins a, b
  use pair as lower joins a, mid
  use pair as upper joins mid, b
end
use four as all joins rail, out
resistor load out -> ground 10 kohm`,
  "names and values without end": `supply ${long}_rail = 12.3456 V +- 3.25 %
resistor ${long}_1 ${long}_rail -> ${long} 1.23456 Mohm +- 12.75 %
capacitor ${long}_2 ${long} -> ground 123.456 pF +- 0.125 %
diode ${long}_3 ${long} -> ground drop 612.345 mV +- 7.25 %, on 123.456 mohm +- 3.5 %`,
  "ten parts between two places": `signal in = pulse 0 V to 5 V, wide 1 us, every 3 us
${many(10, (i) => `resistor r${i} in -> out ${i + 1} kohm`)}
${many(5, (i) => `capacitor c${i} out -> ground ${i + 1} nF`)}`,
  "one part": "resistor r a -> ground 1 kohm",
  "a part that nothing else joins": "resistor r a -> b 1 kohm\nresistor g a -> ground 1 kohm",
  "parts from rail to rail": `supply plus = 5 V
supply minus = -5 V
resistor a plus -> ground 1 kohm
resistor b plus -> minus 1 kohm
diode c minus -> plus drop 0.6 V
capacitor d minus -> ground 1 uF
switch e plus -> minus closed after 1 ms`,
  "rails alone": "supply plus = 5 V\nsupply minus = -5 V\nsupply more = 12 V",
  "two circuits that do not meet": `signal one = pulse 0 V to 5 V, wide 1 us, every 3 us
signal two = pulse 0 V to 5 V, wide 1 us, every 3 us
resistor a one -> x 1 kohm
capacitor b x -> ground 1 nF
resistor c two -> y 1 kohm
capacitor d y -> ground 1 nF`,
  "a star of twenty": many(
    20,
    (i) => `resistor r${i} hub -> p${i} 1 kohm\nresistor g${i} p${i} -> ground 1 kohm`,
  ),
  "a ring of inverters": `supply plus = 5 V\n${many(7, (i) => `inverter i${i} n${i} -> n${(i + 1) % 7} rail plus, delay 10 ns`)}`,
};

describe("shapes", () => {
  for (const [name, text] of Object.entries(shapes))
    it(name, () => {
      const design = compile(`${text}\nrun for 1 ms\n`);
      proven(design);
      proven(design, []);
    });
});

it("a title that would be markup is words", () => {
  const title = `<script>alert(1)</script> & 'it' </svg>`;
  const svg = draw(compile(`title "${title}"\nresistor r a -> ground 1 kohm\nrun for 1 ms\n`));
  expect(svg.match(/<script|<\/svg>(?=.)/g)).toBeNull();
  expect(readSheet(svg).texts.map(({ what }) => what)).toContain(title);
});

describe("what stands beside a symbol", () => {
  const words = (lines: string) =>
    readSheet(draw(compile(`supply plus = 5 V\nsupply minus = -5 V\n${lines}\nrun for 1 ms\n`))).texts.map(
      ({ what }) => what,
    );
  it.each([
    ["resistor r plus -> a 1 kohm +- 5 %", ["1 kΩ ±5 %"]],
    ["diode d a -> plus drop 0.6 V", ["drop 600 mV"]],
    ["transistor q plus -> a base b, gain 200\nresistor c b -> ground 1 kohm", ["gain 200"]],
    ["switch s a -> plus closed after 2 ms", ["closed after 2 ms"]],
    ["switch s a -> plus closed before 2 ms", ["closed before 2 ms"]],
    ["voltage v a -> ground 0 V, follows b, gain 2\nresistor c b -> plus 1 kohm", ["gain 2"]],
    ["voltage v a -> ground 3 V, follows b\nresistor c b -> plus 1 kohm", ["3 V", "gain 1"]],
    ["oneshot o b -> a lasts 4 us, rail plus\nresistor c b -> plus 1 kohm", ["lasts 4 µs"]],
    ["current m a -> plus 0 A, follows b, gain 0.2 mA/V\nresistor c b -> plus 1 kohm", ["gain 200 µA/V"]],
    [
      "inductor l plus -> b 1 mH\ninductor m ground -> a 4 mH\ncoupling k l -> m 98 %\nresistor c b -> ground 1 ohm",
      ["k 98 % between l and m"],
    ],
    ["voltage v a -> ground sine -2 V to 2 V, at 50 Hz", ["\u22122 V to 2 V", "at 50 Hz"]],
  ])("%s", (line, said) => {
    expect(words(`${line}\nresistor load a -> ground 1 kohm`)).toEqual(expect.arrayContaining(said));
  });

  it("a kind that has no symbol is told by its word, and none that has one", () => {
    const texts = (line: string) =>
      readSheet(draw(compile(`${line}\nsupply p = 5 V\nrun for 1 ms`, { kinds: [lamp] }))).texts.map(
        ({ what }) => what,
      );
    expect(texts("lamp bulb p -> ground 100 ohm, warm 1 V")).toEqual(
      expect.arrayContaining(["bulb", "lamp", "100 Ω"]),
    );
    const known = texts(
      "resistor r p -> a 1 kohm\ntransistor q a -> ground base p\ninductor l a -> ground 1 mH",
    );
    for (const word of ["supply", "resistor", "transistor", "inductor"]) expect(known).not.toContain(word);
  });

  // IEC 60617-2, from memory: a source's circle holds its waveform, drawn as on a screen, whichever way the symbol lies.
  it.each([
    ["sine -1 V to 1 V, at 1 kHz", ["curve"]],
    ["pulse 0 V to 5 V, wide 4 us, every 9 us", ["level", "upright"]],
    ["line sync of 625/50, 0 V to 5 V", ["level", "upright"]],
    ["path 0 V at 0 s, 4 V at 9 us, every 10 us", ["slope", "upright"]],
  ])("a source of %s shows its wave", (wave, strokes) => {
    const svg = draw(compile(`signal s = ${wave}\nresistor r s -> ground 1 kohm\nrun for 1 ms\n`));
    const [, outer] = /data-part="s"[\s\S]*?rotate\(([-\d]+)\)/.exec(svg)!;
    const [, inner, d] =
      /<g transform="translate\(30 0\) rotate\(([-\d]+)\)"><path d="([^"]*)"/.exec(svg) ?? [];
    expect(Number(outer) + Number(inner)).toBe(0);
    const found = { C: "curve", H: "level", L: "slope", V: "upright" } as Record<string, string>;
    expect([...new Set(d.match(/[CHLV]/g))].map((letter) => found[letter]).sort()).toEqual(strokes);
  });

  // IEC 60617-6, from memory: a dot beside an end of each coupled winding, at its tail (the language's "dotted ends").
  it("coupled coils have dots at their tails, whichever way they stand", () => {
    const svg = draw(
      compile(`supply plus = 5 V
inductor one plus -> a 1 mH
inductor two ground -> b 1 mH
inductor three b -> ground 1 mH
inductor alone a -> c 1 mH
coupling first one -> two 50 %
coupling second two -> three 50 %
resistor load c -> ground 1 ohm
run for 1 ms
`),
    );
    /** How far below the tail a coil's dot stands, or nothing. */
    const dot = (part: string) => {
      const [, inside] = svg.slice(svg.indexOf(`data-part="${part}"`)).split("data-part");
      const [, tail] = /tail [\d.]+ ([\d.]+)/.exec(inside)!;
      const [, sheet] = /translate\([\d.]+ ([\d.]+)\)/.exec(inside)!;
      const [, moved, turned] = /translate\(0 (\d+)\) rotate\((-?90)\)/.exec(inside) ?? [];
      const [, along] = /<circle[^>]*cx="([\d.]+)"/.exec(inside) ?? [];
      return (
        along && Number(sheet) + Number(moved) + Math.sign(Number(turned)) * Number(along) - Number(tail)
      );
    };
    expect([dot("one"), dot("two"), dot("three"), dot("alone")]).toEqual([10, -10, 10, undefined]);
  });

  // Common practice, no source: a cell that makes a rail negative has its plus, and its long plate, at ground.
  it("a supply below ground has its plus at ground", () => {
    const svg = draw(compile("supply minus = -5 V\nresistor r minus -> ground 1 kohm\nrun for 1 ms\n"));
    const cell = /data-part="minus"[\s\S]*?<\/g><\/g>/.exec(svg)![0];
    const plates = [...cell.matchAll(/M(\d+) -(\d+)V(\d+)/g)].map(([, x, up]) => [Number(x), Number(up)]);
    // From its tail, the rail, to its head, ground.
    expect(cell).toMatch(/data-pins="tail [^"]* head /);
    const [near, far] = plates.slice(0, 2).sort((a, b) => a[0] - b[0]);
    expect(far[1]).toBeGreaterThan(near[1]);
    expect(words("").filter((word) => word === "5 V")).toHaveLength(2);
  });
});

// What a draughtsman would do with these blocks (common practice, no source): the signal goes to the right, and wires cross seldom.
// The most crossings are what our drawings have, looked at and found fit to sign, not the fewest that there can be.
describe("as drawn by hand", () => {
  const sheetOf = (file: string, block: string, joined: string, more = "") =>
    readSheet(
      draw(
        compile(
          `bring "shipped/${file}"\nsupply rail = 12 V\n${more}\nuse ${block} as it joins ${joined}\nrun for 1 ms\n`,
        ),
        { open: true },
      ),
    );
  type Drawn = ReturnType<typeof readSheet>;
  /** Where wires of different direction cross without a dot and without an end. */
  const crossings = ({ wires, dots }: Drawn) => {
    const upright = wires.filter(({ a, b }) => a.x === b.x);
    const level = wires.filter(({ a, b }) => a.y === b.y && a.x !== b.x);
    const inside = (v: number, one: number, other: number) =>
      v > Math.min(one, other) && v < Math.max(one, other);
    return upright
      .flatMap((v) => level.map((h) => ({ v, h, x: v.a.x, y: h.a.y })))
      .filter(({ v, h, x, y }) => inside(x, h.a.x, h.b.x) && inside(y, v.a.y, v.b.y))
      .filter(({ x, y }) => !dots.some((dot) => dot.x === x && dot.y === y)).length;
  };
  /** From the left, the parts asked for by their names within the block. */
  const order = ({ pins }: Drawn, parts: readonly string[]) => {
    const left = (part: string) =>
      Math.min(...pins.filter((pin) => pin.part === `it.${part}`).map(({ at }) => at.x));
    return [...parts].sort((a, b) => left(a) - left(b));
  };

  it.each([
    ["absorption", "absorbing_capacitor", "rail, out", ["r_slow", "c_slow"], 0],
    // Fed through its winding, from outside.
    [
      "output",
      "anode_supply",
      "anode\ninductor drum plus5 -> ground 1 mH\ncoupling core drum -> it.winding 98 %",
      ["winding", "stick", "glass"],
      0,
    ],
    [
      "output",
      "line_output",
      "rail, gate, collector",
      ["chop", "retrace", "coil", "copper", "correction"],
      0,
    ],
    ["source", "current_source", "rail, out", ["sensor", "watch", "pull", "pass"], 0],
    ["gain", "follower", "in, rail, minus, out", ["stage"], 0],
    ["gain", "gain_stage", "in, rail, minus, out", ["lower", "stage"], 0],
    ["sweep", "sweep", "rail, plus5, rail, minus, gate, ramp, out", ["feed", "reset", "hold", "buffer"], 0],
    [
      "tip",
      "tip_separator",
      "video, rail, sync_low, field_low",
      ["coupler", "clamp", "slicer", "turn", "charge", "block", "wide", "serration", "timer", "field_turn"],
      0,
    ],
    [
      "separator",
      "sync_separator",
      "video, rail, sync_low, field_low",
      [
        "coupler",
        "clamp",
        "idle",
        "sample",
        "memory",
        "half_upper",
        "slicer",
        "turn",
        "wait",
        "waited",
        "after",
      ],
      4,
    ],
  ])("%s: %s", (file, block, joined, parts, most) => {
    const sheet = sheetOf(file, block, joined, "supply plus5 = 5 V\nsupply minus = -5 V");
    expect(order(sheet, parts)).toEqual(parts);
    expect(crossings(sheet)).toBeLessThanOrEqual(most);
  });

  // The gate runs level to the switch, with its voltages written above it as without.
  it("words at a wire bend none", () => {
    const design = compile(readFileSync("examples/line.ramp", "utf8"));
    const notes = new Map(["gate", "ramp"].map((place) => [place, "-999.9 mV to 999.9 mV"]));
    for (const words of [{}, { notes }]) {
      const { wires } = readSheet(draw(design, words));
      expect(wires.filter(({ a, b }) => a.x === b.x && a.y !== b.y)).toEqual([]);
    }
  });

  // A rail behind a resistor and a capacitor powers what it powers, and is no signal.
  it("what powers parts is a rail, whatever holds it", () => {
    const { rails } = readSheet(
      draw(
        compile(
          "supply plus = 12 V\nresistor r plus -> clean 10 ohm\ncapacitor c clean -> ground 10 uF\n" +
            "signal in = pulse 0 V to 5 V, wide 1 us, every 3 us\namplifier a in -> out minus out, high clean, low ground, bandwidth 1 MHz\nrun for 1 ms\n",
        ),
      ),
    );
    expect(rails.filter(({ place }) => place === "clean")).toHaveLength(3);
  });
});

// As a load is drawn by hand, behind what leads to it, and what feeds a wire before it (common practice, no source).
it.each([
  ["capacitor hold out -> ground 15 nF", true],
  ["resistor path out -> foot 1 kohm\n capacitor hold foot -> ground 15 nF", true],
  ["current feed ground -> out 1 mA", false],
  ["resistor feed plus -> out 1 kohm", false],
])("a block with one wire and '%s' stands behind the resistor at that wire: %s", (inside, behind) => {
  const text = `supply plus = 12 V
block one joins plus, out
 ${inside}
 resistor bleed out -> ground 1 Mohm
end
signal drive = pulse 0 V to 5 V, wide 10 us, every 50 us
resistor series drive -> ramp 1 kohm
use one as it joins plus, ramp
run for 1 ms
`;
  const { pins } = readSheet(draw(compile(text), { open: true }));
  const [block, series] = ["it.bleed", "series"].map((name) => pins.filter(({ part }) => part === name));
  const xs = (of: typeof pins) => of.map(({ at }) => at.x);
  expect(Math.min(...xs(block)) > Math.max(...xs(series))).toBe(behind);
  // Behind it, the resistor lies in the wire.
  if (behind) expect(new Set(series.map(({ at }) => at.y)).size).toBe(1);
});

it("the link of a control ends on the blade of its switch, however the switch stands", () => {
  const drawn = draw(
    compile(`supply v = 5 V
signal g = pulse 0 V to 5 V, wide 10 us, every 50 us
resistor r v -> a 1 kohm
switch down a -> ground closed while g above 2.5 V
switch up ground -> a closed while g above 2.5 V
switch along g -> b closed while a above 2.5 V
switch back c -> g closed while a above 2.5 V
resistor p b -> ground 1 kohm
resistor q c -> ground 1 kohm`),
  );
  const turns = new Set<string>();
  const part =
    /<path d="M([-\d.]+) ([-\d.]+)[HV][-\d.]+" class="dash"\/><g transform="([^"]*)"><path d="M0 0H([\d.]+)L([\d.]+) ([-\d.]+)M/g;
  for (const [, x, y, turn, hinge, tip, open] of drawn.matchAll(part)) {
    turns.add(turn);
    const [, dx = 0, dy = 0] = /translate\(([-\d.]+) ([-\d.]+)\)/.exec(turn)?.map(Number) ?? [];
    const angle = (Number(/rotate\(([-\d]+)\)/.exec(turn)?.[1] ?? 0) * Math.PI) / 180;
    const [across, along] = [Number(x) - dx, Number(y) - dy];
    // Back to the symbol as it lies along its own axis.
    const at = across * Math.cos(angle) + along * Math.sin(angle);
    const off = along * Math.cos(angle) - across * Math.sin(angle);
    expect(off).toBeCloseTo(
      (Number(open) * Math.max(0, at - Number(hinge))) / (Number(tip) - Number(hinge)),
      9,
    );
  }
  expect(turns.size).toBe(4);
});
