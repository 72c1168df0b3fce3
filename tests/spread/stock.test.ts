// Measured parts in the place of a tolerance. Expected shares are those of drawing without putting back (hypergeometric: W. Feller,
// An Introduction to Probability Theory, vol. 1, II.6), quantiles those of the measured values themselves.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it, test } from "vitest";
import {
  compile,
  corners,
  DesignError,
  type MeasuredStock,
  merge,
  readMeasured,
  readStock,
  summarise,
  trials,
} from "../../src/index.js";
import { file, folder, rampwright } from "../command/running.js";
import { sum } from "./summing.js";

const count = process.env.CI ? 4000 : 1000;
const two = sum(["+- 0.5 V", "+- 0.5 V"], "between 0 V and 9 V");
const refused = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    if (error instanceof DesignError) return error.diagnostics.map((d) => d.code).join();
    throw error;
  }
  return "";
};
/** Share of trials, within 4.9 deviations of the binomial: one run in a million is beyond. */
const near = (found: number, share: number) =>
  expect(Math.abs(found - share)).toBeLessThan(4.9 * Math.sqrt((share * (1 - share)) / count));

describe("a bag", () => {
  it("one value is any of its parts, each as often, and nothing between them", () => {
    const parts = [0.9, 1.1, 1.4, 0.7, 1.2];
    const one = sum(["+- 0.5 V"], "between 0 V and 9 V");
    const { measured } = trials(one, { trials: count, measured: [{ values: ["v0"], parts }] });
    for (const part of parts) near(measured[0].filter((v) => Math.abs(v - part) < 1e-9).length / count, 0.2);
    expect(new Set(measured[0].map((v) => v.toFixed(9))).size).toBe(parts.length);
  });

  it("two values of one board never take the same part: shares of drawing without putting back", () => {
    // Three of ten are 1.5 V: both with 3/10 · 2/9, neither with 7/10 · 6/9.
    const parts = [1.5, 1, 1, 1, 1.5, 1, 1, 1, 1.5, 1];
    const { measured } = trials(two, { trials: count, measured: [{ values: ["v0", "v1"], parts }] });
    const share = (total: number) => measured[0].filter((v) => Math.abs(v - total) < 1e-9).length / count;
    near(share(3), 6 / 90);
    near(share(2), 42 / 90);
    near(share(2.5), 42 / 90);
    // As many parts as values: every board gets all of them.
    const all = trials(two, { trials: 50, measured: [{ values: ["v0", "v1"], parts: [0.25, 1.5] }] });
    for (const v of all.measured[0]) expect(v).toBeCloseTo(1.75, 9);
  });

  it("the quantiles are those of the measured values", () => {
    const parts = Array.from({ length: 101 }, (_, k) => 0.5 + k / 100);
    const one = sum(["+- 0.5 V"], "between 0 V and 9 V");
    const spread = summarise(trials(one, { trials: count, measured: [{ values: ["v0"], parts }] }));
    for (const { share, value } of spread.checks[0].quantiles) {
      // A quantile of n trials is off by sqrt(p (1 - p) / n) of the range of 1 V, and by a step of 10 mV.
      const off = 4.9 * Math.sqrt((share * (1 - share)) / count) + 0.01;
      expect(Math.abs(value - (0.5 + share))).toBeLessThan(off);
    }
    expect(spread.axes[0]).toMatchObject({ low: 0.5, high: 1.5, nominal: 1 });
  });

  it("whole sets are drawn together, whatever order they stand in", () => {
    const sets = [
      [0.6, 1.4],
      [1.4, 0.6],
      [1.1, 0.9],
    ];
    const { measured } = trials(two, { trials: 60, measured: [{ values: ["v0", "v1"], sets }] });
    for (const v of measured[0]) expect(v).toBeCloseTo(2, 9);
  });

  it("trials hang on seed and number alone, and slices merge into the whole", () => {
    const measured: MeasuredStock[] = [{ values: ["v0", "v1"], parts: [0.8, 0.9, 1, 1.1] }];
    const whole = trials(two, { trials: 40, seed: 7, measured });
    const parts = [
      { from: 0, to: 15 },
      { from: 15, to: 40 },
    ].map((range) => trials(two, { trials: range, seed: 7, measured }));
    expect(merge(parts[1], parts[0])).toEqual(whole);
    // Another reel is another experiment.
    const other = trials(two, {
      trials: { from: 40, to: 50 },
      seed: 7,
      measured: [{ values: ["v0"], parts: [1] }],
    });
    expect(refused(() => merge(whole, other))).toBe("different-trials");
  });

  it("what tracks a value goes with what was measured of it; a case that sets the value has another part", () => {
    const design = compile(`given left = 1 V +- 10 %
given right = 2 V +- 10 %, tracks left
voltage a n -> ground left
voltage b top -> n right
resistor load top -> ground 1 kohm
run for 1 us
check "sum" value of top at 0.5 us between 0 V and 9 V
case "other part" left is 1.5 V +- 10 %
check "sum" value of top at 0.5 us between 0 V and 9 V
`);
    const measured = [{ values: ["left"], parts: [1.04] }];
    const [drawn] = trials(design, { trials: 3, measured }).measured;
    // 4 % up, where the tolerance is 10 %, so the other is 4 % up as well.
    for (const v of drawn) expect(v).toBeCloseTo(1.04 * 3, 9);
    const [other] = trials(design, { trials: 3, case: "other part", measured }).measured;
    for (const v of other) expect(v).toBeCloseTo(1.5 + 2 * 1.04, 9);
  });

  it("its corners are its lowest and its highest; sets have none", () => {
    const measured = [{ values: ["v0", "v1"], parts: [0.7, 1, 1.2] }];
    const [check] = corners(two, { measured }).checks;
    expect([check.lowest!.value, check.highest!.value].map((v) => v.toFixed(9))).toEqual([
      "1.400000000",
      "2.400000000",
    ]);
    expect(refused(() => corners(two, { measured: [{ values: ["v0", "v1"], sets: [[1, 1]] }] }))).toBe(
      "bad-option",
    );
  });
});

test.each<[string, MeasuredStock[]]>([
  ["a value that is not there", [{ values: ["v9"], parts: [1] }]],
  ["no value", [{ values: [], parts: [1] }]],
  ["no parts", [{ values: ["v0"], parts: [] }]],
  ["parts and sets", [{ values: ["v0"], parts: [1], sets: [[1]] }]],
  ["neither", [{ values: ["v0"] }]],
  ["fewer parts than values", [{ values: ["v0", "v1"], parts: [1] }]],
  ["a part without a value", [{ values: ["v0"], parts: [1, Number.NaN] }]],
  ["a set that is too short", [{ values: ["v0", "v1"], sets: [[1, 1], [1]] }]],
  ["a value drawn twice", [{ values: ["v0", "v0"], parts: [1, 2] }]],
  ["a resistance below zero", [{ values: ["load"], parts: [1000, -1] }]],
  ["an option that is not there", [{ values: ["v0"], part: [1] } as unknown as MeasuredStock]],
  ["no list", {} as unknown as MeasuredStock[]],
])("%s is refused", (_, measured) => {
  expect(refused(() => trials(two, { trials: 1, measured }))).toBe("bad-option");
});

test("a value that another stands for, or that others make, is no value of its own", () => {
  const design = compile(`given level = 1 V +- 10 %
voltage a n -> ground level
voltage b top -> n 2 * level
resistor load top -> ground 1 kohm
run for 1 us
check "sum" value of top at 0.5 us between 0 V and 9 V
`);
  for (const name of ["a", "b"])
    expect(refused(() => trials(design, { trials: 1, measured: [{ values: [name], parts: [1] }] }))).toBe(
      "bad-option",
    );
});

describe("a file of measured parts", () => {
  it.each([
    ["the unit in the head", "line (nF)\n14.9\n15.1\n", [14.9e-9, 15.1e-9]],
    ["a unit in each cell, no head", "14.9 nF\n15.1nF\n", [14.9e-9, 15.1e-9]],
    ["decimal commas in one column", "line [nF]\n14,9\n15,1\n", [14.9e-9, 15.1e-9]],
    ["decimal commas with a unit in each cell", "14,9 nF\n15,1 nF\n", [14.9e-9, 15.1e-9]],
    ["a spreadsheet's first line", "sep=;\nline [nF]\n14,9\n15,1\n", [14.9e-9, 15.1e-9]],
    ["comments, blank lines, other units", "# a reel\n\nline (nF)\n14.9\n\n0.0151 uF\n", [14.9e-9, 15.1e-9]],
    [
      "line ends of other systems, and a mark of the bytes' order",
      "\uFEFFline (nF)\r\n14.9\r\n15.1",
      [14.9e-9, 15.1e-9],
    ],
  ])("%s", (_, text, expected) => {
    const { columns, labels } = readMeasured(text);
    expect(columns).toHaveLength(1);
    expect(columns[0].unit).toBe("F");
    columns[0].values.forEach((v, k) => {
      expect(v).toBeCloseTo(expected[k], 20);
    });
    expect(labels).toEqual(["1", "2"]);
  });

  it("columns of different lengths, and what is written on the parts", () => {
    const { columns, labels } = readMeasured("part;line (nF);field (uF)\nA7;14,9;1,02\nA8;15,1;\n");
    expect(labels).toEqual(["A7", "A8"]);
    expect(columns.map((c) => [c.name, c.unit])).toEqual([
      ["line", "F"],
      ["field", "F"],
    ]);
    expect(columns[1].values[0]).toBeCloseTo(1.02e-6, 18);
    expect(columns[1].values[1]).toBeNaN();
  });

  it.each([
    ["an empty file", "", "no-measured-parts 1:1"],
    ["comments alone", "# nothing\n", "no-measured-parts 1:1"],
    ["a head alone", "line (nF)\n", "no-measured-parts 1:1"],
    ["an overload of the instrument", "line (nF)\n14.9\nOL\n", "no-number 3:1"],
    ["no unit", "line\n14.9\n", "missing-unit 2:1"],
    ["two units in a column", "line (nF)\n14.9\n1 kohm\n", "mixed-units 3:1"],
    ["one and a bit, or a thousand and more", 'line (pF)\n999\n"1,234"\n', "no-number 3:1"],
    ["a cell too many", "line (nF),field (nF)\n1,2\n1,2,3\n", "extra-cell 3:5"],
    ["ten thousand parts and one", `line (nF)\n${"15\n".repeat(10_001)}`, "too-many-rows 10002:1"],
  ])("%s is told", (_, text, expected) => {
    try {
      readMeasured(text);
      expect.unreachable();
    } catch (error) {
      expect(
        (error as DesignError).diagnostics.map((d) => `${d.code} ${d.span.line}:${d.span.column}`),
      ).toEqual([expected]);
    }
  });
});

// The place of each cell was sought from the beginning of its row: the square of 100 000 did not end in minutes.
it("a row of 100 000 cells that say nothing is told of a hundred times, in a reel and in a list of stock", () => {
  const wide = (head: string, cells: string) => `${head},${`${cells},`.repeat(100_000)}\n`;
  const told = (read: () => unknown) => {
    try {
      return read();
    } catch (error) {
      return (error as DesignError).diagnostics.length;
    }
  };
  // The last says how many more there are.
  expect(told(() => readMeasured(wide("line", "x") + wide("1", "1")))).toBe(101);
  expect(told(() => readStock(wide("kind", "x") + wide("resistor", "1")))).toBe(101);
});

test("the command draws from a reel, from one bag for several values, and from pairs", () => {
  const path = file(
    `title "Two"
voltage a n -> ground 1 V +- 20 %
voltage b top -> n 1 V +- 20 %
resistor load top -> ground 1 kohm
run for 1 us
check "sum" value of top at 0.5 us is 2 V +- 1 %
`,
    "two.ramp",
  );
  const reel = join(folder(), "my reel.csv");
  writeFileSync(reel, "part;volts (V)\n1;0,9\n2;1,1\n");
  const spread = (...measured: string[]) =>
    rampwright([
      "spread",
      path,
      "--trials",
      "20",
      "--workers",
      "1",
      "--json",
      ...measured.flatMap((m) => ["--measured", m]),
    ]);
  expect(spread(`a, b from ${reel}`)).toMatchObject({ status: 0 });
  expect(spread(`a from ${reel}`, `b from ${reel}, column volts`)).toMatchObject({ status: 1 });
  const pairs = join(folder(), "pairs.csv");
  writeFileSync(pairs, "part,b (mV),a (mV)\nx,1200,800\ny,900,1100\nz,,1000\n");
  const found = spread(`a with b from ${pairs}`);
  expect(found.status).toBe(0);
  // By the names of the columns, not by their order.
  expect(JSON.parse(found.out).axes.map((a: { low: number }) => a.low)).toEqual([0.8, 0.9]);
  for (const [wrong, says] of [
    [`a from ${pairs}`, "2 columns"],
    [`a from ${pairs}, column c`, "unknown-column"],
    [`load from ${reel}`, "'load' is in Ω"],
    [`a ${reel}`, "write it like"],
    [`a from ${join(folder(), "none.csv")}`, "cannot be read"],
  ]) {
    const told = spread(wrong);
    expect(told.status).toBe(2);
    expect(told.err + told.out).toContain(says);
  }
});
