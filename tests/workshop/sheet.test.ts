// The sheet for the bench: order, figures, settings and what looks wrong, each from arithmetic on the circuit.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type BenchPoint, benchSheet, compile, DesignError, symptoms } from "../../src/index.js";
import { stepUp } from "../../src/workshop/scopesetting.js";
import { folder, rampwright } from "../command/running.js";

// A ramp of 1 mA into 15 nF, from the gate's fall to its next rise: slope I/C = 66.7 kV/s (Millman & Taub 1965).
const line = `supply plus12 = 12 V
signal gate = pulse 0 V to 5 V, wide 4 us, every 64 us
current feed plus12 -> ramp 1 mA, headroom 0.9 V
capacitor hold ramp -> ground 15 nF +- 5 %
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
amplifier follow ramp -> out high plus12, low ground, minus out, gain 100000, bandwidth 100 MHz
resistor load out -> ground 10 kohm
run for 1 ms
testpoint "after the follower" at out
testpoint "clamp" at ramp
testpoint "line pulse" at gate
testpoint "rail" at plus12
`;
const design = compile(line);
const point = (points: readonly BenchPoint[], of: string) => points.find((p) => p.of === of)!;
const value = (one: BenchPoint, what: string) =>
  [...one.levels, ...one.times, ...one.checks].find((f) => f.what === what)!;

describe("the sheet for the bench", () => {
  const { points, boards, missing, whole } = benchSheet(design, { boards: 40 });

  it("has a row for each test point, in the order of the signal's way and not of the text", () => {
    expect(points.filter((p) => p.of !== "plus12").map((p) => p.of)).toEqual(["gate", "ramp", "out"]);
    expect([boards, missing, whole]).toEqual([40, 0, true]);
    expect(point(points, "out").name).toBe("after the follower");
  });

  it("states levels and times with the range of the boards", () => {
    const ramp = point(points, "ramp");
    // 60 us at I/C, from I times 5 ohm on; 64 us a period, half of which lie above the middle but for the reset.
    expect(value(ramp, "peak").value).toBeCloseTo(0.005 + 60e-6 * (1e-3 / 15e-9), 2);
    expect(value(ramp, "period").value).toBeCloseTo(64e-6, 9);
    expect(value(ramp, "above the middle").value).toBeCloseTo(30e-6, 6);
    // Capacitors of 5 % alike probable: the ends of 40 draws lie within the band, and use most of it.
    const { low, high } = value(ramp, "peak");
    expect(low).toBeGreaterThanOrEqual(0.005 + 60e-6 * (1e-3 / (15e-9 * 1.05)) - 1e-3);
    expect(high).toBeLessThanOrEqual(0.005 + 60e-6 * (1e-3 / (15e-9 * 0.95)) + 1e-3);
    expect(high! - low!).toBeGreaterThan(0.3);
    // What no tolerance moves stays.
    expect(value(point(points, "gate"), "peak")).toMatchObject({ value: 5, low: 5, high: 5 });
  });

  // Behind an ideal source nothing reaches the ramp (superposition), so a ladder there is not run for each board.
  it("shows the same on each board beside parts that no tolerance moves", () => {
    const rungs = Array.from(
      { length: 24 },
      (_, i) => `resistor r${i} ${i ? `n${i}` : "gate"} -> n${i + 1} 1 kohm`,
    );
    const more = `${line}${rungs.join("\n")}\nresistor last n24 -> ground 1 kohm\ntestpoint "ladder" at n24\n`;
    const beside = benchSheet(compile(more), { boards: 40 });
    expect(beside.missing).toBe(0);
    // Of 25 equal resistors the last bears a twenty-fifth of 5 V.
    const last = value(point(beside.points, "n24"), "peak");
    expect(last.value).toBeCloseTo(0.2, 9);
    expect([last.low, last.high]).toEqual([last.value, last.value]);
    for (const what of ["floor", "peak", "mean", "above the middle"]) {
      const [own, other] = [points, beside.points].map((all) => value(point(all, "ramp"), what));
      for (const end of ["value", "low", "high"] as const) expect(other[end]).toBeCloseTo(own[end]!, 9);
    }
  });

  it("says how to set the instrument, in steps of 1, 2 and 5", () => {
    // Of eight divisions six at most are filled by 4 V; two periods of 64 us take ten divisions at most.
    expect(point(points, "ramp").setting).toMatchObject({
      perDivision: 1,
      coupling: "DC",
      timePerDivision: 20e-6,
      trigger: { source: "ramp", slope: "rising" },
    });
    expect(point(points, "plus12").setting).toEqual({
      perDivision: 2,
      coupling: "DC",
      timePerDivision: 1e-3,
    });
    for (const [size, step] of [
      [1, 1],
      [1.1, 2],
      [2.0001, 5],
      [5.1e-6, 1e-5],
      [0.003, 0.005],
      [0, 1e-3],
    ])
      expect(stepUp(size)).toBe(step);
  });

  it("draws what the screen then shows, from a division before the trigger on", () => {
    const { shape, setting } = point(points, "ramp");
    expect(shape.time[0]).toBeCloseTo(0, 9);
    expect(shape.time.at(-1)).toBeLessThanOrEqual(10 * setting.timePerDivision * (1 + 1e-9));
    const at = shape.time.findIndex((t) => t >= setting.timePerDivision);
    expect(shape.value[at]).toBeCloseTo(setting.trigger!.level!, 1);
  });

  it("fills the screen of a slow trace, from earlier in the run where its end is too short", () => {
    const slow = compile(`signal gate = field sync of 625/50, 0 V to 5 V, edges 200 ns
current feed ground -> ramp 0.94 mA
capacitor hold ramp -> ground 4.7 uF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
check "fills" peak of ramp each gate above 3 V`);
    // Two fields of 20 ms (ITU-R BT.1700) take 5 ms a division, and so 50 ms a screen: of 60 ms, and of 110 ms.
    for (const until of ["60 ms", "110 ms"]) {
      const { shape, setting } = point(benchSheet(slow, { boards: 1, simulate: { until } }).points, "ramp");
      expect(setting.timePerDivision).toBe(5e-3);
      expect(shape.time.at(-1)).toBeGreaterThan(49e-3);
      // Straight between its points.
      const { time, value: level } = shape;
      const k = time.findIndex((t) => t >= 5e-3);
      const share = (5e-3 - time[k - 1]) / (time[k] - time[k - 1]);
      expect(level[k - 1] + share * (level[k] - level[k - 1])).toBeCloseTo(setting.trigger!.level!, 2);
    }
  });

  it("couples a ripple on a high level to alternating current", () => {
    const ripple = compile(`signal s = sine 99.9 V to 100.1 V, at 1 kHz
resistor r s -> m 1 kohm
resistor l m -> ground 1 Mohm
run for 10 ms
testpoint "m" at m
`);
    const [one] = benchSheet(ripple).points;
    expect(one.setting).toMatchObject({ coupling: "AC", perDivision: 0.05, timePerDivision: 2e-4 });
    // Behind the coupling the trace swings about nothing, and is triggered there.
    expect(one.setting.trigger!.level).toBeCloseTo(0, 3);
  });

  it("looks at the level where there is but a ripple on it", () => {
    // A divider by two of 10 V, beside which 0.1 V come in over a hundred times its 1 kohm.
    const supplied = compile(`supply p = 10 V
signal s = sine -0.1 V to 0.1 V, at 1 kHz
resistor a p -> m 1 kohm
resistor b m -> ground 1 kohm
resistor c s -> m 100 kohm
run for 10 ms
testpoint "m" at m
`);
    const [one] = benchSheet(supplied, { boards: 0, table: symptoms(supplied) }).points;
    const faults = (looks: string) => one.meanings.find((m) => m.looks === looks)?.faults ?? [];
    expect(faults("flat")).toEqual(expect.arrayContaining(["p dead", "a open", "b short"]));
    expect(faults("flat")).not.toContain("c open");
    expect(faults("high")).toEqual(expect.arrayContaining(["a short", "b open"]));
  });

  it("says what it means where one looks wrong, from the single faults where their table is given", () => {
    const table = symptoms(design);
    const { points: told, faults } = benchSheet(design, { boards: 0, table });
    expect(faults).toBe(true);
    const flat = point(told, "ramp").meanings.find((m) => m.looks === "flat")!;
    expect(flat.faults).toEqual(
      expect.arrayContaining(["hold short", "reset short", "plus12 dead", "feed open"]),
    );
    // Without reset a ramp rises until its source has no headroom left, and stays.
    expect(flat.at![flat.faults.indexOf("gate stopped")]).toBeCloseTo(12 - 0.9, 1);
    // Twice the capacitor, half the ramp: I/C.
    const half = point(told, "ramp").meanings.find((m) => m.looks === "half")!;
    expect(half.faults).toContain("hold at 2 times its value");
    // Without the table by the parts that feed the place.
    const plain = point(points, "ramp").meanings.find((m) => m.looks === "flat")!;
    expect(plain.at).toBeUndefined();
    expect(plain.faults).toEqual(
      expect.arrayContaining(["gate stopped", "plus12 dead", "feed open", "hold short"]),
    );
  });

  it("names the camera before what its way does to the picture, and no disturbance that has no size", () => {
    const way = compile(`signal camera = pulse 0 V to 1 V, wide 10 us, every 64 us
voltage hum  humming -> camera  sine -100 mV to 100 mV, at 50 Hz
voltage hiss noisy   -> humming sine 0 V to 0 V, at 1 kHz
resistor output noisy -> jack 75 ohm
resistor termination jack -> ground 75 ohm
run for 1 ms
testpoint "jack" at jack
`);
    const flat = benchSheet(way, { boards: 0 }).points[0].meanings.find((m) => m.looks === "flat")!;
    expect(flat.faults).toEqual(["camera stopped", "hum stopped", "output open", "termination short"]);
  });

  it("is refused where there is nothing to look at, and for options without sense", () => {
    const codes = (work: () => unknown) => {
      try {
        work();
      } catch (error) {
        if (error instanceof DesignError) return error.diagnostics.map((d) => d.code);
        throw error;
      }
      return [];
    };
    const bare = compile("resistor r a -> ground 1 kohm\nvoltage v a -> ground 1 V\nrun for 1 ms\n");
    expect(codes(() => benchSheet(bare))).toEqual(["bad-option"]);
    expect(codes(() => benchSheet(design, { boards: -1 }))).toEqual(["bad-option"]);
    expect(codes(() => benchSheet(design, { seed: 0.5 }))).toEqual(["bad-option"]);
  });
});

describe("rampwright sheet", () => {
  it("writes the page and the table beside it, and JSON", () => {
    const at = folder();
    const [file, out, csv] = ["d.ramp", "d.html", "d.csv"].map((name) => join(at, name));
    writeFileSync(file, line);
    const done = rampwright(["sheet", file, "--out", out, "--csv", csv, "--boards", "3", "--json"]);
    expect(done.status).toBe(0);
    const { points } = JSON.parse(done.out);
    const rows = readFileSync(csv, "utf8").trimEnd().split("\r\n");
    expect(rows).toHaveLength(
      1 +
        points.reduce(
          (n: number, p: BenchPoint) => n + p.levels.length + p.times.length + p.checks.length,
          0,
        ),
    );
    expect(new Set(rows.map((row) => row.split(",").length))).toEqual(new Set([17]));
    const page = readFileSync(out, "utf8");
    expect(page.indexOf("The earth clip of a probe on a live chassis is a short.")).toBeLessThan(
      page.indexOf("<table"),
    );
    expect(page.match(/<svg/g)).toHaveLength(points.length);
  });

  it("refuses a table of another design, and other endings", () => {
    const at = folder();
    const [file, table] = ["d.ramp", "t.json"].map((name) => join(at, name));
    writeFileSync(file, line);
    writeFileSync(table, JSON.stringify(symptoms(compile(line.replace("15 nF", "18 nF")))));
    expect(rampwright(["sheet", file, "--table", table])).toMatchObject({ status: 2, out: "" });
    expect(rampwright(["sheet", file, "--out", join(at, "d.pdf")]).status).toBe(2);
    writeFileSync(table, "{}");
    expect(rampwright(["sheet", file, "--table", table]).err).toContain("no table of symptoms");
  });
});
