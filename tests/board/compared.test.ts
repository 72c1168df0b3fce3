// The two sync separators that ship, side by side behind one filter, over level, noise, hum and average picture level: the
// table on the page examples/blocks/separators.md is made here, and what it says is held against arithmetic.
import { readFileSync } from "node:fs";
import { beforeAll, expect, it } from "vitest";
import { compile, vary } from "../../src/index.js";

const page = new URL("../../examples/blocks/separators.md", import.meta.url);

const board = (until: string) => `
  bring "shipped/link"
  bring "shipped/chroma"
  bring "shipped/separator"
  bring "shipped/tip"
  given grey = 40 %
  supply plus5 = 5 V
  signal camera = video of 625/50, flat, level grey
  use camera_link as cable joins camera, jack
  resistor end jack -> ground 75 ohm
  voltage drive clean -> ground 0 V, follows jack
  use chroma_filter as filter joins clean, smooth
  use chroma_filter as other joins clean, sleek
  use sync_separator as half joins smooth, plus5, half_line, half_field
  use tip_separator as tip joins sleek, plus5, tip_line, tip_field
  run for ${until}
  ${["half", "tip"]
    .flatMap((name) => [
      `check "${name} missing" missing pulses of ${name}_line falling through 2.5 V each camera.pulses after 10 ms below 0.5`,
      `check "${name} extra" extra pulses of ${name}_line falling through 2.5 V each camera.pulses after 10 ms below 0.5`,
      `check "${name} late" crossing of ${name}_line falling through 2.5 V each camera.lines after 10 ms before 19.5 ms below 10 us`,
      `check "${name} field" crossing of ${name}_field falling through 2.5 V from 20 ms to 20.9 ms below 1 ms`,
    ])
    .join("\n  ")}
`;

/** What is varied: the value, its range and steps, how long each run is, and how it is written. */
const sweeps = [
  ["level", "cable.level", 0.25, 2, 4, "log", "21 ms", (v: number) => `${v} V from tip to white`],
  [
    "hum",
    "cable.hum",
    "0 V",
    "450 mV",
    4,
    "linear",
    "21 ms",
    (v: number) => `hum of ${(500 * v).toFixed(0)} mV at the jack`,
  ],
  ["picture", "grey", 0, 1, 3, "linear", "21 ms", (v: number) => `picture of ${100 * v} %`],
  [
    "noise",
    "cable.hiss",
    "0 V",
    "60 mV",
    4,
    "linear",
    "12 ms",
    (v: number) => `noise of ${(500 * v).toFixed(0)} mV rms at the jack`,
  ],
] as const;

type Row = {
  readonly of: string;
  readonly value: number;
  readonly words: string;
  readonly seen: ReadonlyMap<string, number>;
};
let rows: Row[] = [];

beforeAll(() => {
  rows = sweeps.flatMap(([of, value, from, to, points, spacing, until, words]) => {
    const varied = vary(compile(board(until)), { value, from, to, points, spacing });
    expect(varied.stopped).toEqual([]);
    return varied.points.map((v, i) => ({
      of,
      value: v,
      words: words(v),
      seen: new Map(varied.checks.map(({ name, measured }) => [name, measured[i]])),
    }));
  });
});

/** Cells of one separator in one row. */
function cells({ seen }: Row, name: string): string[] {
  const of = (what: string) => seen.get(`${name} ${what}`)!;
  const sync = of("missing") > 0.5 ? "lost" : of("extra") > 0.5 ? "false ones" : "all";
  const [late, field] = [of("late"), of("field")];
  const shown = (seconds: number, per: number, digits: number) =>
    Number.isNaN(seconds) ? "–" : (seconds * per).toFixed(digits);
  return [sync, sync === "all" ? shown(late, 1e9, 0) : "–", sync === "all" ? shown(field, 1e6, 1) : "–"];
}

it("the page has the table as it is made now", async () => {
  const table = rows.map(
    (row) => `| ${[row.words, ...cells(row, "half"), ...cells(row, "tip")].join(" | ")} |`,
  );
  const text = readFileSync(page, "utf8");
  const made = text.replace(
    /(<!-- table[^\n]*-->\n(?:[^\n]*\n){3})[\s\S]*?(<!-- end of table -->)/,
    (_, head: string, end: string) => `${head}${table.join("\n")}\n\n${end}`,
  );
  // Written anew with `npx vitest run tests/board/compared -u`.
  await expect(made).toMatchFileSnapshot(page.pathname);
});

/** The rows of one sweep, by what was varied. */
const swept = (of: string) => rows.filter((row) => row.of === of);
const found = ({ seen }: Row, name: string) =>
  seen.get(`${name} missing`)! < 0.5 && seen.get(`${name} extra`)! < 0.5;
const late = ({ seen }: Row, name: string) => seen.get(`${name} late`)!;

// In the tip of a line the clamp makes good what the bleed took, 20 V/s for 59.3 us, through 1.1 kohm and 100 nF: by
// (1 − e^(−t/RC)). t is 4.7 us less what the edges take of it: 0.25 us straight, or some 330 ns · ln(600/30) through the filter.
// Where blanking is no higher than the bleed's end, at half a volt, the 52 us of picture alone count.
const sinks = (tip: number, bleeds: number) => (20 * bleeds) / (1 - Math.exp(-tip / 110e-6));
const [least, most] = [sinks(4.45e-6, 52e-6), sinks(3.4e-6, 59.3e-6)];

it("level: one slices at half of any height, the other at 70 mV and what its tip sinks", () => {
  // Sync is three tenths of the level; a straight edge of 250 ns through 330 ns passes the share y of it after
  // τ ln(τ/T (e^(T/τ) − 1)/(1 − y)) from its beginning (superposition of two ramps; Millman & Taub 1965, ch. 2).
  const [T, tau] = [250e-9, 330e-9];
  const passes = (share: number) =>
    tau * Math.log(((tau / T) * (Math.exp(T / tau) - 1)) / (1 - share)) - T / 2;
  const [quarter, ...others] = swept("level");
  // 75 mV of sync are less than 70 mV and what the tip sinks.
  expect(0.3 * quarter.value).toBeLessThan(70e-3 + least);
  expect(found(quarter, "tip")).toBe(false);
  for (const row of others) {
    expect(found(row, "tip") && found(row, "half")).toBe(true);
    const left = [least, most].map((d) => 1 - (65e-3 + d) / (0.3 * row.value));
    expect(late(row, "tip")).toBeLessThan(passes(left[0]) + 250e-9 + 2e-9);
    expect(late(row, "tip")).toBeGreaterThan(passes(left[1]) + 250e-9 - 2e-9);
    // Between 40 and 60 % of the height, and 50 ns.
    expect(late(row, "half")).toBeGreaterThan(passes(0.4) + 50e-9);
    expect(late(row, "half")).toBeLessThan(passes(0.6) + 50e-9);
  }
});

it("hum: the tip is lost where it rises further than the bleed lets it follow", () => {
  // By 2A sin θ − 2rθ/ω with cos θ = r/(Aω), r = 20 V/s, in the rise of a sine.
  for (const row of swept("hum")) {
    const size = (row.value / 2) * 100 * Math.PI;
    const angle = size > 20 ? Math.acos(20 / size) : 0;
    const rises = row.value * Math.sin(angle) - (40 * angle) / (100 * Math.PI);
    if (rises < 60e-3) expect(found(row, "tip")).toBe(true);
    else {
      expect(rises).toBeGreaterThan(75e-3 + most);
      expect(found(row, "tip")).toBe(false);
    }
    expect(found(row, "half")).toBe(true);
  }
});

it("picture: the tip is the tip, bright or dark; half a height moves by the blanking's droop at most", () => {
  const of = (name: string) => swept("picture").map((row) => late(row, name));
  expect(Math.max(...of("tip")) - Math.min(...of("tip"))).toBeLessThan(10e-9);
  expect(swept("picture").every((row) => found(row, "tip") && found(row, "half"))).toBe(true);
});

it("noise: up to 30 mV rms on a volt every pulse is found once", () => {
  expect(swept("noise").every((row) => found(row, "tip") && found(row, "half"))).toBe(true);
});

it("the field: within the first broad pulse of 27.3 us, or at its end (ITU-R BT.1700 table 3)", () => {
  const fields = rows.filter(({ of }) => of !== "noise");
  for (const row of fields.filter((row) => found(row, "tip"))) {
    expect(row.seen.get("tip field")! - 27.3e-6).toBeGreaterThan(0.25e-6);
    expect(row.seen.get("tip field")! - 27.3e-6).toBeLessThan(1e-6);
  }
  for (const row of fields.filter((row) => found(row, "half"))) {
    expect(row.seen.get("half field")!).toBeGreaterThan(14e-6);
    expect(row.seen.get("half field")!).toBeLessThan(17.5e-6);
  }
});
