// The table of symptoms against what the laws of a divider make of each fault; its rows in any order; what it refuses.
import { describe, expect, it } from "vitest";
import { SymptomStudy } from "../../src/diagnosis/symptomstudy.js";
import {
  captured,
  compile,
  DesignError,
  diagnose,
  inspect,
  readCapture,
  readingIn,
  readingsIn,
  readingsOf,
  readSymptoms,
  type SymptomTable,
  symptoms,
} from "../../src/index.js";

// 12 V over 1 kohm and 1 kohm: 6 V. The rail falls to four fifths when low.
const divider = `supply rail = 12 V
resistor upper rail -> m 1 kohm +- 5 %
resistor lower m -> ground 1 kohm
run for 1 ms
check "half" mean of m between 5 V and 7 V
case "battery" rail is 9 V
case "bridged" upper short
`;
const design = compile(divider);
const table = symptoms(design);

function shown(
  of: SymptomTable,
  name: string,
  kind: string,
  what: string,
  factor?: number,
  where = "",
): number {
  const suspect = of.suspects.findIndex((s) => s.name === name && s.kind === kind && s.factor === factor);
  const column = of.columns.findIndex((c) => c.what === what && c.case === where);
  const row = of.rows.find((r) => r.suspect === suspect && r.case === where)!;
  return row.values[row.columns.indexOf(column)];
}
const codes = (action: () => unknown): string[] => {
  try {
    action();
  } catch (error) {
    if (error instanceof DesignError) return error.diagnostics.map((d) => d.code);
    throw error;
  }
  return [];
};

describe("the table of symptoms", () => {
  it("shows of each fault what the law of the divider says, as drawn and in a case", () => {
    const m = (name: string, kind: string, factor?: number, where?: string) =>
      shown(table, name, kind, "mean of m", factor, where);
    expect(m("", "none")).toBeCloseTo(6, 6);
    expect(m("upper", "open")).toBeCloseTo(0, 6);
    expect(m("upper", "short")).toBeCloseTo(12, 6);
    expect(m("lower", "open")).toBeCloseTo(12, 6);
    expect(m("lower", "short")).toBeCloseTo(0, 6);
    expect(m("rail", "dead")).toBeCloseTo(0, 6);
    expect(m("rail", "low")).toBeCloseTo(4.8, 6);
    for (const r of [0.1, 0.5, 2, 10]) {
      expect(m("lower", "value", r)).toBeCloseTo((12 * r) / (1 + r), 5);
      expect(m("upper", "value", r)).toBeCloseTo(12 / (1 + r), 5);
      expect(m("upper", "value", r, "battery")).toBeCloseTo(9 / (1 + r), 5);
    }
    // A case that lays a fault itself stays out.
    expect(table.left).toEqual(["bridged"]);
    expect(table.missing).toBe(0);
  });

  it("holds what a tolerance does by a standard deviation: 5 % over √3 of an even spread", () => {
    const row = table.rows.find((r) => r.suspect === 0 && r.case === "")!;
    const column = table.columns.findIndex((c) => c.what === "mean of m");
    const deviation = 0.05 / Math.sqrt(3);
    const wanted = 12 / (2 + deviation) - 6;
    expect(table.tolerances).toEqual(["upper"]);
    expect(row.spread![row.columns.indexOf(column)][0] / wanted).toBeCloseTo(1, 2);
  });

  it("has the same rows in any order, and comes back from JSON", () => {
    const study = new SymptomStudy(design);
    for (let id = study.runs - 1; id >= 0; id--) study.take(id, study.perform(id));
    expect(study.table()).toEqual(table);
    expect(readSymptoms(JSON.parse(JSON.stringify(table)))).toEqual(table);
    const half = new SymptomStudy(design);
    half.take(0, half.perform(0));
    expect(half.table().missing).toBe(half.runs - 1);
    const stopped = symptoms(design, { signal: { aborted: true } });
    expect(stopped.missing).toBe(study.runs);
  });

  it("is the same where the design is, and another where anything counts", () => {
    const print = (text: string, options = {}) => new SymptomStudy(compile(text), options).fingerprint;
    expect(print(divider)).toBe(table.fingerprint);
    // Words that change nothing about the circuit, readings among them.
    expect(print(`# a note\n${divider.replace("mean of m between", "mean of m  between")}`)).toBe(
      table.fingerprint,
    );
    expect(print(`${divider}reading "mean of m" 6.0 V in case "battery"\n`)).toBe(table.fingerprint);
    for (const [text, options] of [
      [divider.replace("12 V", "13 V"), {}],
      [divider.replace("5 %", "6 %"), {}],
      [divider, { factors: [3] }],
      [divider, { cases: [] }],
      [divider, { parts: ["upper"] }],
      [divider, { measures: ["rms of m"] }],
      [divider, { simulate: { until: "2 ms" } }],
    ] as const)
      expect(print(text, options)).not.toBe(table.fingerprint);
    // The shape of a signal counts, in a case as well.
    const gated = (width: string, other: string) =>
      print(`${divider}signal gate = pulse 0 V to 5 V, wide ${width}, every 1 ms
case "other" gate is pulse 0 V to 5 V, wide ${other}, every 1 ms
`);
    const known = gated("100 us", "200 us");
    expect(gated("100 us", "200 us")).toBe(known);
    expect(gated("110 us", "200 us")).not.toBe(known);
    expect(gated("100 us", "210 us")).not.toBe(known);
  });

  it("refuses what makes no sense, each with a code", () => {
    expect(codes(() => symptoms(design, { most: 5 }))).toEqual(["table-too-large"]);
    expect(codes(() => symptoms(design, { cases: ["battery", "bridged"], most: 20 }))).toEqual([
      "table-too-large",
    ]);
    for (const options of [
      { parts: ["uper"] },
      { cases: ["batery"] },
      { factors: [1] },
      { factors: "2" },
      { factors: [Number.NaN] },
      { most: 0 },
      { most: Number.NaN },
      { nothing: 1 },
      { simulate: { until: "0 s" } },
    ])
      expect(codes(() => symptoms(design, options as never))).toEqual(["bad-option"]);
    expect(codes(() => symptoms(design, { measures: ["pek of m"] }))).toEqual(["unknown-measure"]);
    for (const what of [
      null,
      1,
      [],
      {},
      { ...table, rows: [{}] },
      { ...table, suspects: [] },
      { ...table, columns: 1 },
    ])
      expect(codes(() => readSymptoms(what))).toEqual(["no-symptoms"]);
    const [row, ...rest] = table.rows;
    for (const one of [
      { columns: [99] },
      { values: ["1"] },
      { suspect: 99 },
      { case: "battery" },
      { spread: [[1, 2]] },
    ])
      expect(codes(() => readSymptoms({ ...table, rows: [{ ...row, ...one }, ...rest] }))).toEqual([
        "no-symptoms",
      ]);
  });

  it("refuses readings that it has nothing for, or that are in another unit", () => {
    const read = (reading: unknown, options = {}) =>
      codes(() => diagnose(table, [reading] as never, options));
    expect(read({ what: "mean of m", value: "6 V" })).toEqual([]);
    expect(read({ what: "  mean   of m ", value: 6 })).toEqual([]);
    expect(read({ what: "mean of n", value: "6 V" })).toEqual(["unknown-reading"]);
    expect(read({ what: "mean of m", value: "6 V", case: "bridged" })).toEqual(["unknown-reading"]);
    expect(read({ what: "mean of m", value: "6 V", case: "none such" })).toEqual(["unknown-reading"]);
    // A current against a voltage, and the other way round.
    expect(read({ what: "mean of m", value: "6 mA" })).toEqual(["wrong-dimension"]);
    expect(read({ what: "mean of rail.current", value: "6 V" })).toEqual(["wrong-dimension"]);
    expect(read({ what: "mean of m", value: "6 V", resolution: "1 mA" })).toEqual(["wrong-dimension"]);
    for (const bad of [
      { what: "mean of m", value: Number.NaN },
      { what: "mean of m", value: "six" },
      { what: "mean of m" },
      { value: "6 V" },
      { what: "mean of m", value: "6 V", resolution: -1 },
      null,
    ])
      expect(read(bad)).toEqual(["bad-option"]);
    expect(read({ what: "mean of m", value: "6 V" }, { accuracy: -1 })).toEqual(["bad-option"]);
    expect(codes(() => diagnose(table, "6 V" as never))).toEqual(["bad-option"]);
    expect(codes(() => diagnose({} as never, []))).toEqual(["no-symptoms"]);
    expect(readingIn(design, { what: "mean of  m", value: 6 }).what).toBe("mean of m");
    expect(codes(() => readingIn(design, { what: "mean of", value: 6 }))).toEqual(["unexpected-end"]);
    expect(codes(() => readingIn(design, { what: "mean of m", value: 6, case: "no" }))).toEqual([
      "bad-option",
    ]);
  });

  it("names the fault of a divider by one reading, and what cannot be simulated", () => {
    const told = diagnose(table, [{ what: "mean of m", value: "12.0 V" }]);
    expect(told.candidates[0].faults.map((f) => `${f.name} ${f.kind}`).sort()).toEqual([
      "lower open",
      "upper short",
    ]);
    // The rail's current tells them apart: none, or 12 mA.
    const more = diagnose(table, [
      { what: "mean of m", value: "12.0 V" },
      { what: "mean of rail.current", value: "-12.0 mA" },
    ]);
    const [first] = told.next;
    expect([first.what, more.candidates[0].faults]).toEqual(
      ["mean of rail.current", [{ name: "upper", kind: "short" }]].map((one) =>
        typeof one === "string" ? expect.stringMatching(/ of rail.current$/) : one,
      ),
    );
    const loop = compile(
      "supply p = 5 V\npotentiometer w ground -> p 1 kohm, tap m, at 50 %\nresistor r m -> ground 1 kohm\nrun for 1 ms",
    );
    expect(diagnose(symptoms(loop), []).unknown).toContainEqual({ name: "w", kind: "short" });
  });
});

describe("what tolerances do under a fault", () => {
  // 1 mA into 1 uF is 1 V/ms. Without the gate the ramp begins to rise at 0 s, is at 4 V where the window begins (the later half
  // of 8 ms) and stops at 5.6 V. The gate empties the capacitor each millisecond.
  const sweep = `supply p = 12 V
supply five = 5 V
signal gate = pulse 0 V to 5 V, wide 100 us, every 1 ms
current feed p -> ramp 1 mA
capacitor hold ramp -> ground 1 uF +- 5 %
switch reset ramp -> ground closed while gate above 2.5 V, on 1 ohm
diode guard ramp -> five drop 0.6 V, on 1 ohm
run for 8 ms, from rest
`;
  const made = symptoms(compile(sweep));
  const of = (name: string, kind: string, what: string) => {
    const suspect = made.suspects.findIndex((s) => s.name === name && s.kind === kind);
    const row = made.rows.find((r) => r.suspect === suspect)!;
    const at = row.columns.indexOf(made.columns.findIndex((c) => c.what === what));
    return { value: row.values[at], spread: row.spread?.[at]?.[0] ?? Number.NaN };
  };

  it("is found anew where it shows something else: a ramp on its way moves at its floor, not at its guard", () => {
    const [floor, peak, swing] = ["floor", "peak", "swing"].map((w) => of("reset", "open", `${w} of ramp`));
    expect(floor.value).toBeCloseTo(4, 2);
    expect(peak.value).toBeCloseTo(5.6, 2);
    // Both go by 1/C: as shares the floor's here and the peak's of the sound design are the same.
    const sound = of("", "none", "peak of ramp");
    expect(floor.spread / floor.value / (sound.spread / sound.value)).toBeCloseTo(1, 2);
    expect(Math.abs(peak.spread)).toBeLessThan(1e-3 * Math.abs(floor.spread));
    expect(swing.spread / floor.spread).toBeCloseTo(-1, 2);
  });

  it("is told apart where one run has several values: each moves its own ramp, by 1/C", () => {
    // Two ramps by one gate: without it 4 V and 2 V where the window begins.
    const two = `${sweep}current feed2 p -> other 1 mA
capacitor hold2 other -> ground 2 uF +- 5 %
switch reset2 other -> ground closed while gate above 2.5 V, on 1 ohm
`;
    const { rows, columns, suspects, tolerances } = symptoms(compile(two));
    expect(tolerances).toEqual(["hold", "hold2"]);
    const seen = (suspect: number, what: string) => {
      const row = rows.find((r) => r.suspect === suspect)!;
      const at = row.columns.indexOf(columns.findIndex((c) => c.what === what));
      return { value: row.values[at], spread: row.spread![at] };
    };
    const stopped = suspects.findIndex((s) => s.name === "gate");
    const sound = seen(0, "peak of ramp");
    const share = sound.spread[0] / sound.value;
    for (const [what, value, own] of [
      ["floor of ramp", 4, 0],
      ["floor of other", 2, 1],
    ] as const) {
      const found = seen(stopped, what);
      expect(found.value).toBeCloseTo(value, 2);
      expect(found.spread[own] / (share * value)).toBeCloseTo(1, 2);
      expect(found.spread[1 - own]).toBe(0);
    }
  });

  it("is nothing where the part with the tolerance is open", () => {
    const suspect = made.suspects.findIndex((s) => s.name === "hold" && s.kind === "open");
    const { spread } = made.rows.find((r) => r.suspect === suspect)!;
    expect(spread!.flat()).not.toHaveLength(0);
    expect(spread!.flat().every((s) => s === 0)).toBe(true);
  });

  it("is found beside the sound rows that were taken, which then are not made anew", () => {
    const study = new SymptomStudy(compile(sweep));
    expect(study.first).toEqual([0]);
    const guard = made.suspects.findIndex((s) => s.name === "guard" && s.kind === "open");
    expect(study.perform(guard).spread).toBeUndefined();
    // Beside rows that show twice as much everything is other than sound.
    const other = new SymptomStudy(compile(sweep));
    const [sound] = made.rows;
    other.take(0, { ...sound, values: sound.values.map((v) => 2 * v) });
    expect(other.perform(guard).spread).toBeDefined();
  });

  it("is the sound design's where the fault moves nothing that a tolerance does", () => {
    const suspect = made.suspects.findIndex((s) => s.name === "guard" && s.kind === "open");
    expect(suspect).toBeGreaterThan(0);
    expect(made.rows.find((r) => r.suspect === suspect)!.spread).toBeUndefined();
  });
});

describe("readings", () => {
  it("stand in the text, in the case that they stand under or name, each as finely as it is written", () => {
    const text = `${divider.replace('case "battery"', 'reading "mean of m" 6.0 V\ncase "battery"')}reading "peak of m" 4.50 V +- 20 mV in case "battery"
case "again" rail is 8 V
reading "mean of rail.current" -4 mA`;
    const read = compile(text);
    expect(read.readings).toMatchObject([
      { phrase: "mean of m", case: "", value: 6, resolution: 0.1 },
      { phrase: "peak of m", case: "battery", value: 4.5 },
      { phrase: "mean of rail.current", case: "again", value: -0.004, resolution: 0.001 },
    ]);
    expect(read.readings[1].resolution).toBeCloseTo(0.04, 12);
    expect(readingsIn(read).map((r) => r.what)).toEqual(["mean of m", "peak of m", "mean of rail.current"]);
    expect(diagnose(symptoms(read), readingsIn(read)).explained).toBe(true);
  });

  it("are told of with their place inside the quotes where they make no sense", () => {
    const found = (line: string) =>
      inspect(`${divider}${line}`).diagnostics.map((d) => `${d.span.line}:${d.span.column} ${d.code}`);
    expect(found('reading "mean of m" 6 V')).toEqual([]);
    expect(found('reading "mean of n" 6 V')).toEqual(["8:18 unknown-place"]);
    expect(found('reading "meen of m" 6 V')).toEqual(["8:10 unknown-measure"]);
    expect(found('reading "mean of" 6 V')[0]).toMatch(/^8:1\d unexpected-end$/);
    expect(found('reading "mean of m" 6 mA')).toEqual(["8:21 wrong-dimension"]);
    expect(found('reading "mean of m" 6 V in every case')).toEqual(["8:1 one-case"]);
    expect(found('reading "mean of m" 6 V in case "batery"')).toEqual(["8:33 unknown-case"]);
    expect(found('reading "mean of m"')).toEqual(["8:20 unexpected-end"]);
    expect(found("reading mean of m 6 V")[0]).toMatch(/^8:9 /);
    expect(found('reading "" 6 V')[0]).toMatch(/^8:\d+ unexpected-end$/);
  });

  it("are taken from a capture: floor, peak, mean and swing, to its step", () => {
    // A triangle from 0 V to 4 V and back: mean 2 V.
    const rows = Array.from({ length: 9 }, (_, k) => `${k * 1e-3},${4 - Math.abs(4 - k)}`);
    const capture = readCapture(`Time (s),CH1 (V)\n${rows.join("\n")}\n`);
    const found = readingsOf(captured(capture), "m", capture.channels[0].resolution, "battery");
    expect(found).toEqual([
      { what: "floor of m", value: 0, resolution: 1, case: "battery" },
      { what: "peak of m", value: 4, resolution: 1, case: "battery" },
      { what: "mean of m", value: expect.closeTo(2, 12), resolution: 1, case: "battery" },
      { what: "swing of m", value: 4, resolution: 1, case: "battery" },
    ]);
  });
});
