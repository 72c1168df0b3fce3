// The fuzzers in small: the first seeds of each, and every input that was once wrong. `npm run fuzz` goes on from there; how far
// it has come stands in figures.md. What must hold is in judge.ts and peer.ts.
import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { compile, inspect, simulate } from "../../src/index.js";
import { root } from "../command/running.js";
import { full, tries } from "../counts.js";
import { circuit, ordinaryCircuit } from "./circuits.js";
import { type Judged, judgeCircuit, judgeDesign, judgeText } from "./judge.js";
import { judgePeer } from "./peer.js";
import { judgeStudied } from "./studies.js";
import { beginWith, hostile } from "./texts.js";

/** At hand one in so many: `npm run fuzz` is what goes far. */
const few = 20;

const read = (folder: string) =>
  readdirSync(`${root}${folder}`)
    .filter((file) => file.endsWith(".ramp"))
    .map((file) => [file, readFileSync(`${root}${folder}/${file}`, "utf8")] as const);

const corpus = read("tests/fuzz/corpus");
beginWith([...read("examples"), ...read("examples/blocks"), ...corpus].map(([, text]) => text));

/** Judges seeds; gives what is wrong, and how many came to which end. */
function judged(count: number, judge: (seed: number) => Judged) {
  const wrong: string[] = [];
  const ends = new Map<string, number>();
  for (let seed = 1; seed <= count; seed++) {
    const { faults, end } = judge(seed);
    ends.set(end, (ends.get(end) ?? 0) + 1);
    wrong.push(...faults.map((fault) => `seed ${seed}: ${fault}`));
  }
  return { wrong, ends };
}

test.each(corpus)("%s, which was wrong once", (_, text) => {
  const { faults } = judgeText(text);
  expect(faults).toEqual([]);
  const { design } = inspect(text);
  if (design) expect(judgeDesign(design).faults).toEqual([]);
});

test("hostile texts", () => {
  const count = tries(2000, few);
  const { wrong, ends } = judged(count, (seed) => judgeText(hostile(seed)));
  expect(wrong).toEqual([]);
  // Else nothing but refusals would have been looked at.
  expect(ends.get("design")).toBeGreaterThan(count / 100);
});

test("whatever can be asked of a text that is a design", () => {
  const count = tries(300);
  const { wrong, ends } = judged(count, (seed) => judgeStudied(hostile(seed)));
  expect(wrong).toEqual([]);
  expect(ends.get("asked")).toBeGreaterThan(count / 100);
});

test("circuits of all kinds, with extreme and ideal values", () => {
  const count = tries(250, few);
  const { wrong, ends } = judged(count, (seed) => judgeCircuit(circuit(seed)));
  expect(wrong).toEqual([]);
  expect(ends.get("complete")).toBeGreaterThan(count / 10);
});

test.skipIf(!full).each([1266, 2086, 3848, 6371, 6852, 7442, 7737, 8617])(
  "beside the other solver, which needs shorter steps for seed %i",
  (seed) => {
    expect(judgePeer(seed)).toMatchObject({ faults: [], end: "compared" });
  },
);

test("circuits beside backward Euler of another make", () => {
  const count = tries(250, few);
  const { wrong, ends } = judged(count, judgePeer);
  expect(wrong).toEqual([]);
  expect(ends.get("compared")).toBeGreaterThan(count / 2);
});

test("a capacitor that passes from piece to piece in no time is not searched for another way at each: seed 22800", () => {
  // 188 at the time of writing; nearly four thousand where what lies beyond a fold was looked for at every piece.
  const { text, until, start } = circuit(22800);
  const { statistics } = simulate(compile(text), { until, start, limits: { steps: 3000 } });
  expect(statistics.combinations).toBeLessThan(400);
});

test.each([314, 1046])("a search for modes ends after some thousand of them: seed %i", (seed) => {
  // Each search has 1024 at most; there are up to three of them at a start.
  const { text, until, start } = ordinaryCircuit(seed);
  const { statistics } = simulate(compile(text), { until, start, limits: { steps: 3000 } });
  expect(statistics.combinations).toBeLessThan(3 * 1024 + 100);
});
