// Pairs of measured parts. The best of all is found here by trying every way there is, which the library does not.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it, test } from "vitest";
import { type DesignError, type PairingAim, readMeasured, sortPairs } from "../../src/index.js";
import { evens } from "../captures/generator.js";
import { folder, rampwright } from "../command/running.js";

/** Most pairs, and of those ways the least cost; every way is tried. */
function tried(
  a: readonly number[],
  b: readonly number[] | undefined,
  cost: (x: number, y: number) => number,
) {
  let best = { count: 0, cost: 0 };
  const look = (free: readonly number[], other: readonly number[], count: number, sum: number): void => {
    if (count > best.count || (count === best.count && sum < best.cost)) best = { count, cost: sum };
    if (free.length === 0) return;
    const [one, ...rest] = free;
    look(rest, b ? other : rest, count, sum);
    (b ? other : rest).forEach((two, k) => {
      const price = cost(one, two);
      if (!Number.isFinite(price)) return;
      const left = (b ? other : rest).filter((_, i) => i !== k);
      look(b ? rest : left, left, count + 1, sum + price);
    });
  };
  look(a, b ?? a, 0, 0);
  return best;
}

const limited = (miss: number, within: number, cost: number) =>
  Math.abs(miss) <= within ? cost : Number.POSITIVE_INFINITY;
const costs: Record<string, (aim: number, within: number) => (x: number, y: number) => number> = {
  ratio: (aim, within) => (x, y) => limited(y / x / aim - 1, within, Math.log(y / x / aim) ** 2),
  sum: (aim, within) => (x, y) => limited(x + y - aim, within, (x + y - aim) ** 2),
  difference: (aim, within) => (x, y) => limited(y - x - aim, within, (y - x - aim) ** 2),
};

describe("no way to pair them is better", () => {
  const next = evens(31);
  const some = (n: number, around: number) => Array.from({ length: n }, () => around * (0.9 + 0.2 * next()));
  for (const by of ["ratio", "sum", "difference"] as const)
    it.each([Number.POSITIVE_INFINITY, 0.06, 0.02])(`by ${by}, within %s`, (within) => {
      for (let trial = 0; trial < 25; trial++) {
        const [a, b] = [some(2 + (trial % 5), 1), some(1 + (trial % 6), 3)];
        const aim = { ratio: 3, sum: 4, difference: 2 }[by];
        const cost = costs[by](aim, within);
        const { pairs, left } = sortPairs(a, b, { [by]: aim, within });
        const best = tried(a, b, cost);
        expect(pairs).toHaveLength(best.count);
        expect(pairs.reduce((sum, p) => sum + cost(a[p.first], b[p.second]), 0)).toBeCloseTo(best.cost, 12);
        const used = [pairs.map((p) => p.first).concat(left[0]), pairs.map((p) => p.second).concat(left[1])];
        expect(used.map((list) => [...list].sort())).toEqual([[...a.keys()], [...b.keys()]]);
      }
    });

  it.each([Number.POSITIVE_INFINITY, 0.02, 0.005])("in one bag, the most alike, within %s", (within) => {
    for (let trial = 0; trial < 25; trial++) {
      const a = some(1 + (trial % 8), 1);
      const cost = (x: number, y: number) =>
        limited(Math.max(x, y) / Math.min(x, y) - 1, within, Math.log(y / x) ** 2);
      const { pairs, left } = sortPairs(a, undefined, { within });
      const best = tried(a, undefined, cost);
      expect(pairs).toHaveLength(best.count);
      expect(pairs.reduce((sum, p) => sum + cost(a[p.first], a[p.second]), 0)).toBeCloseTo(best.cost, 12);
      expect(
        pairs
          .flatMap((p) => [p.first, p.second])
          .concat(left[0])
          .sort(),
      ).toEqual([...a.keys()]);
    }
  });
});

test("a reel of thousands is sorted; what has no value is left alone", () => {
  const next = evens(5);
  const a = Array.from({ length: 2000 }, (_, k) => (k === 7 ? Number.NaN : 15e-9 * (0.95 + 0.1 * next())));
  const b = Array.from({ length: 2100 }, () => 1e-6 * (0.95 + 0.1 * next()));
  const { pairs, left } = sortPairs(a, b, { ratio: 1e-6 / 15e-9 });
  expect(pairs).toHaveLength(1999);
  expect(left.map((list) => list.length)).toEqual([0, 101]);
  expect(pairs.some((p) => p.first === 7)).toBe(false);
  // Of 2000 evenly spread values neighbours are some 5e-5 apart: chance strays by 1/sqrt(n) of the band at most.
  expect(Math.max(...pairs.map((p) => Math.abs(p.miss)))).toBeLessThan(0.01);
});

test.each<[string, readonly number[], readonly number[] | undefined, PairingAim]>([
  ["two aims", [1], [2], { ratio: 2, sum: 3 }],
  ["a ratio of zero", [1], [2], { ratio: 0 }],
  ["a limit below zero", [1], [2], { within: -1 }],
  ["one bag and a ratio of two", [1, 2], undefined, { ratio: 2 }],
  ["a sum within one bag", [1, 2], undefined, { sum: 2 }],
  ["ratios of what is not above zero", [0, 1], [1, 2], {}],
  ["no finite value", [1, Number.POSITIVE_INFINITY], [1, 2], { sum: 1 }],
  ["too many", new Array(5001).fill(1), undefined, {}],
  ["no list", {} as never, undefined, {}],
  ["an aim that is not there", [1], [1], { ratios: 1 } as never],
])("%s is refused", (_, a, b, aim) => {
  try {
    sortPairs(a, b, aim);
    expect.unreachable();
  } catch (error) {
    expect((error as DesignError).diagnostics[0].code).toBe("bad-option");
  }
});

test("the command sorts, writes what 'spread' draws from, and ends with its status", () => {
  const bag = join(folder(), "bag.csv");
  writeFileSync(bag, "part;line (nF);field (uF)\na;15,2;0,98\nb;14,8;1,02\nc;15,0;1,30\n");
  const out = join(folder(), "pairs.csv");
  const done = rampwright(["pair", bag, "--ratio", "66.7", "--within", "8%", "--out", out]);
  // c has 1.30 uF, 30 % off; a third line part is left.
  expect(done.status).toBe(1);
  expect(done.out).toContain("2 pairs of line with field; ratio to be 66.7");
  expect(done.out).toMatch(/without a partner, of field: c/);
  const made = readMeasured(readFileSync(out, "utf8"));
  expect(made.labels.every((label) => /^[abc] with [ab]$/.test(label))).toBe(true);
  expect(made.columns.map((c) => [c.name, c.unit])).toEqual([
    ["line", "F"],
    ["field", "F"],
    ["off by", ""],
  ]);
  const json = JSON.parse(rampwright(["pair", bag, "--json", "--first", "line", "--second", "field"]).out);
  expect(json.pairs).toHaveLength(3);
  const alone = rampwright(["pair", bag, "--first", "line", "--second", "line"]);
  expect(alone.status).toBe(0);
  expect(alone.out).toContain("1 pair of line; ratio to be 1");
  for (const wrong of [
    ["--first", "lien"],
    ["--sum", "3 V"],
    ["--sum", "16 nF", "--difference", "1 nF"],
    ["--ratio", "x"],
    [bag, bag],
  ])
    expect(rampwright(["pair", bag, ...wrong]), wrong.join(" ")).toMatchObject({ status: 2, out: "" });
});
