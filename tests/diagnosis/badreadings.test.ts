// Readings and tables that make no sense: each a typed diagnostic or a plain answer, and none without end.
import { describe, expect, it } from "vitest";
import { logarithm } from "../../src/base/powers.js";
import { compile, DesignError, diagnose, type Reading, readSymptoms, symptoms } from "../../src/index.js";

// 12 V over 1 kohm and 1 kohm: 6 V, 6 mA.
const design = compile(
  "supply rail = 12 V\nresistor upper rail -> m 1 kohm +- 5 %\nresistor lower m -> ground 1 kohm\nrun for 1 ms",
);
const table = symptoms(design);
const plain = () => JSON.parse(JSON.stringify(table));

function codes(run: () => unknown): string[] {
  try {
    run();
  } catch (error) {
    if (error instanceof DesignError) return error.diagnostics.map((d) => d.code);
    throw error;
  }
  return [];
}

const shares = (readings: readonly Reading[], accuracy?: number) =>
  diagnose(table, readings, accuracy === undefined ? {} : { accuracy }).candidates.map((c) => c.weight);
const sum = (all: readonly number[]) => all.reduce((s, w) => s + w, 0);

describe("bad readings", () => {
  it("more than can be weighed in time are refused, and as many as that are not", () => {
    const one: Reading = { what: "mean of m", value: "6.00 V" };
    const many = (count: number) => Array.from({ length: count }, () => one);
    expect(codes(() => diagnose(table, many(201)))).toEqual(["bad-option"]);
    expect(diagnose(table, many(200)).candidates[0].faults).toContainEqual({ name: "", kind: "none" });
  });

  it.each(["1e200 V", 1e200, -1e13])("what no instrument shows is refused: %s", (value) => {
    expect(codes(() => diagnose(table, [{ what: "mean of m", value }]))).toEqual(["bad-option"]);
  });

  it("the largest that is taken is explained by nothing, in finite shares", () => {
    const told = diagnose(table, [{ what: "mean of m", value: 1e12, resolution: 0 }], { accuracy: 0 });
    expect(told.explained).toBe(false);
    expect(sum(told.candidates.map((c) => c.weight))).toBeCloseTo(1, 9);
  });

  it("read twice without any doubt they weigh as much as once", () => {
    const exact: Reading = { what: "mean of m", value: 6, resolution: 0 };
    for (const readings of [[exact], [exact, exact], [exact, exact, exact]])
      expect(sum(shares(readings, 0))).toBeCloseTo(1, 9);
    const told = diagnose(table, [exact, exact], { accuracy: 0 });
    expect(told.contradictions).toEqual([]);
    expect(told.candidates[0].faults).toContainEqual({ name: "", kind: "none" });
  });

  it("that contradict each other are named, and each other's place with them", () => {
    const said = (readings: readonly Reading[]) => diagnose(table, readings).contradictions;
    const [twice] = said([
      { what: "mean of m", value: "6.0 V" },
      { what: "peak of m", value: "6.0 V" },
      { what: "mean of m", value: "2.0 V" },
    ]);
    expect(twice.readings).toEqual([0, 2]);
    expect(said([{ what: "swing of m", value: "-1.0 V" }])[0].text).toMatch(/swing.*not below zero/);
    expect(said([{ what: "swing of m", value: "-0.0 V" }])).toEqual([]);
    // An instrument that is 1 % off each time may show these.
    expect(
      said([
        { what: "mean of m", value: "6.00 V" },
        { what: "mean of m", value: "6.10 V" },
      ]),
    ).toEqual([]);
  });
});

describe("tables that were kept", () => {
  const bad = (spoil: (one: ReturnType<typeof plain>) => void) => {
    const one = plain();
    spoil(one);
    return codes(() => diagnose(one, []));
  };

  it("are read back as they were", () => {
    expect(readSymptoms(plain())).toEqual(table);
  });

  it.each([
    ["a value beyond any", (t) => (t.rows[0].values[0] = Number.POSITIVE_INFINITY)],
    ["a value that is text", (t) => (t.rows[0].values[0] = "6 V")],
    ["a spread beyond any", (t) => (t.rows[0].spread[0][0] = 1e300)],
    ["a spread of another length", (t) => t.rows[0].spread[0].push(0)],
    ["a column that is not there", (t) => (t.rows[0].columns[0] = 1e6)],
    ["a suspect that is not there", (t) => (t.rows[1].suspect = 1e6)],
    ["a suspect by a word that every list has", (t) => (t.rows[1].suspect = "length")],
    ["a factor of one", (t) => (t.suspects.at(-1).factor = 1)],
    ["a factor of nothing", (t) => (t.suspects.at(-1).factor = 0)],
    ["a factor beyond any", (t) => (t.suspects.at(-1).factor = Number.POSITIVE_INFINITY)],
    ["one suspect twice", (t) => t.suspects.push(t.suspects.at(-1))],
    ["no sound design first", (t) => t.suspects.reverse()],
    ["no columns", (t) => (t.columns = null)],
  ] as [string, (t: ReturnType<typeof plain>) => void][])("are refused with %s", (_, spoil) => {
    expect(bad(spoil)).toEqual(["no-symptoms"]);
  });
});

describe("the logarithm", () => {
  it("ends for what has none", () => {
    expect([0, -0, -1, Number.NaN, Number.POSITIVE_INFINITY].map(logarithm)).toEqual([
      Number.NEGATIVE_INFINITY,
      Number.NEGATIVE_INFINITY,
      Number.NaN,
      Number.NaN,
      Number.POSITIVE_INFINITY,
    ]);
  });
});
