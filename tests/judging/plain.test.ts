// Results are plain data: what is cloned or written as JSON and read again is what it was (but for what JSON does not know:
// numbers that are not finite become null, and typed arrays are objects by index).
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import * as core from "../../src/index.js";
import { root } from "../command/running.js";

const {
  balance,
  benchSheet,
  captured,
  clippings,
  compile,
  corners,
  coveredSpan,
  crossings,
  diagnose,
  ends,
  faults,
  film,
  fit: fitted,
  format,
  geometry,
  inspect,
  instants,
  joints,
  layOver,
  match,
  measure,
  measuredColumn,
  partsList,
  raster,
  readCapture,
  readMeasured,
  readStock,
  readSymptoms,
  readTrials,
  readingIn,
  readingsFrom,
  readingsHeld,
  readingsIn,
  readingsOf,
  sensitivities,
  shownFigures,
  simulate,
  size,
  sortPairs,
  stress,
  summarise,
  symptoms,
  traceBounds,
  trials,
  trimmers,
  vary,
  verify,
  verifyAll,
  verifyCaptured,
  wilson,
} = core;

const text = `title "Nest-box monitor, line sweep"
given timing = 15 nF +- 5 %
supply rail = 12 V
signal gate = pulse 0 V to 5 V, wide 4 us, every 64 us
current feed rail -> ramp 1 mA, rated 10 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for 256 us
check "fills" peak of ramp each gate is 4 V +- 5 %
check "never" crossing of ramp rising through 9 V below 1 s
find timing from 10 nF to 20 nF in E12 for "fills"
case "weak" feed is 0.9 mA
check "weak fills" peak of ramp each gate above 3 V
show "weak top" peak of ramp each gate in every case`;
const design = compile(text);
const run = simulate(design);

const lineText = readFileSync(join(root, "examples/line.ramp"), "utf8");
const line = compile(lineText);
const capture = readCapture(readFileSync(join(root, "examples/captures/good.csv"), "utf8"));
const held = { capture, of: "ramp" };
const inCapture = compile(
  lineText.replace(
    "find timing",
    'capture "good.csv" of ramp\ncheck "as built" peak of ramp is 3.95 V +- 5 % in capture\nfind timing',
  ),
  { captures: () => capture },
);
const table = symptoms(design, { parts: ["hold", "reset"] });
const readings = [{ what: "peak of ramp", value: "5 V" }];
// A bar 1 ms high that comes every 20 ms, between two sweeps.
const tube = compile(`
signal lines = path 0 V at 10.5 us, 4 V at 62.5 us, 0 V at 64 us, every 64 us
signal fields = path 0 V at 1 ms, 4 V at 20 ms, 0 V at 21 ms, every 21 ms
signal camera = pulse 0 V to 0.7 V, wide 1 ms, first 14 ms, every 20 ms
tube screen camera -> ground across lines, down fields, left 0 V, right 4 V, top 0 V, bottom 4 V, full 0.7 V
run for 50 ms`);
const results: readonly [string, () => unknown][] = [
  ["diagnostics, inspect", () => inspect("capacitr x a -> b 1 nF").diagnostics],
  ["verify", () => verify(run)],
  ["verifyAll", () => verifyAll(design)],
  ["measure", () => measure(run, "peak of ramp each gate")],
  ["shownFigures", () => shownFigures(run)],
  ["events", () => run.events],
  ["losses, warnings, statistics", () => [run.losses, run.warnings, run.statistics]],
  ["instants", () => instants(design, "gate", "1 ms")],
  ["balance", () => balance(run)],
  ["clippings", () => clippings(run)],
  ["stress", () => stress(run)],
  ["sensitivities", () => sensitivities(design, "fills")],
  ["vary", () => vary(design, { value: "timing", from: "10 nF", to: "20 nF", points: 3 })],
  ["size", () => size(design, design.finds[0], { points: 5 })],
  ["trials", () => trials(design, { trials: 3 })],
  ["summarise", () => summarise(trials(design, { trials: 3 }))],
  ["corners", () => corners(design)],
  ["faults", () => faults(design, { parts: ["reset"] })],
  [
    "merge",
    () =>
      core.merge(
        trials(design, { trials: { from: 0, to: 2 } }),
        trials(design, { trials: { from: 2, to: 4 } }),
      ),
  ],
  ["readTrials", () => readTrials(JSON.parse(JSON.stringify(trials(design, { trials: 3 }))))],
  ["coveredSpan", () => coveredSpan({ trace: run.trace("ramp"), from: 0, to: 1e-4 })],
  ["crossings", () => crossings(run.trace("ramp"), 0, 2e-4, 2)],
  ["ends", () => ends(run.trace("ramp"), 0, 1e-4)],
  ["traceBounds", () => traceBounds(run.trace("ramp"), 0, 1e-4)],
  ["format", () => format(text)],
  ["joints", () => joints(design)],
  ["partsList", () => partsList(design, { stresses: [stress(run)] })],
  ["benchSheet", () => benchSheet(design, { boards: 2, table })],
  ["trimmers", () => trimmers(design)],
  ["sortPairs", () => sortPairs([1, 2, 3], [1.1, 2.1, 2.9])],
  ["wilson", () => wilson(9, 10)],
  ["readCapture", () => capture],
  ["readMeasured", () => readMeasured("part,timing (nF)\n1,14.93\n2,15.21\n")],
  ["measuredColumn", () => measuredColumn(readMeasured("part,timing (nF)\n1,14.93\n"), 1)],
  ["readStock", () => readStock("kind,value,price\ncapacitor,15 nF,0.2\n")],
  ["layOver", () => layOver(simulate(line), held)],
  ["fit", () => fitted(line, { values: ["timing"], captures: [held] })],
  ["match", () => match(line, { captures: [held] })],
  ["verifyCaptured", () => verifyCaptured(simulate(inCapture))],
  ["symptoms", () => table],
  ["readSymptoms", () => readSymptoms(JSON.parse(JSON.stringify(table)))],
  ["diagnose", () => diagnose(table, readings)],
  ["readingIn", () => readingIn(design, readings[0])],
  ["readingsIn", () => readingsIn(compile(text.replace("run for", 'reading "peak of ramp" 5.6 V\nrun for')))],
  ["readingsOf", () => readingsOf(captured(capture), "ramp", 0.01)],
  ["readingsFrom", () => readingsFrom(line, held)],
  ["readingsHeld", () => readingsHeld(line)],
  [
    "geometry",
    () =>
      geometry(simulate(tube), {
        line: { each: "lines", from: "12 us", to: "60 us" },
        field: { each: "fields", from: "2 ms", to: "18 ms" },
      }),
  ],
  ["raster", () => raster(simulate(tube), { width: 8, height: 8 })],
  ["film", () => film(simulate(tube), { fields: 1, width: 8, height: 8 })],
];

/** What gives something else, and what that is. */
const others: Readonly<Record<string, readonly string[]>> = {
  "a design, which is no plain data": ["compile", "withValues"],
  "a run, of which JSON has what it came to": ["simulate", "simulateAsync"],
  "a trace, which is cloned without what it can do": ["captured"],
  "texts, bytes, numbers and rationals": [
    "amountOf",
    "animated",
    "caption",
    "combine",
    "csvLines",
    "engineering",
    "png",
    "preferred",
    "showDiagnostic",
    "strip",
    "toJson",
    "toNumber",
  ],
  "a device, for a kind of one's own": ["linear"],
};

it("speaks of every function that the package hands out", () => {
  const known = new Set([
    ...results.flatMap(([names]) => names.split(", ")),
    ...Object.values(others).flat(),
  ]);
  const classes = ["DesignError", "Run", "Trace"];
  const handed = Object.entries(core).flatMap(([name, one]) => (typeof one === "function" ? [name] : []));
  expect(handed.filter((name) => !known.has(name) && !classes.includes(name))).toEqual([]);
  expect(
    Object.values(others)
      .flat()
      .filter((name) => !handed.includes(name)),
  ).toEqual([]);
});

it("a run is written as what it came to, and a trace and a run's error are cloned", () => {
  const { status, reached, until, statistics, names } = run;
  expect(JSON.parse(JSON.stringify(run))).toMatchObject({
    title: design.title,
    case: "",
    status,
    reached,
    until,
    statistics,
    names,
  });
  const trace = run.trace("ramp");
  expect(structuredClone(trace).value).toEqual(trace.value);
});

/** What JSON makes of plain data. */
function written(value: unknown): unknown {
  if (typeof value === "number") return Number.isFinite(value) ? (Object.is(value, -0) ? 0 : value) : null;
  if (Array.isArray(value)) return value.map((one) => (one === undefined ? null : written(one)));
  if (typeof value !== "object" || value === null) return value;
  const kept = Object.entries(value).filter(([, one]) => one !== undefined);
  return Object.fromEntries(kept.map(([key, one]) => [key, written(one)]));
}

describe("plain data", () => {
  it.each(results)("%s", (_, make) => {
    const result = make();
    expect(structuredClone(result)).toEqual(result);
    expect(JSON.parse(JSON.stringify(result))).toEqual(written(result));
  });

  it("holds something in each", () => {
    for (const [name, make] of results) {
      if (["clippings", "trimmers", "readingsHeld"].includes(name)) continue;
      const words = JSON.stringify(make());
      expect(words.length, name).toBeGreaterThan(2);
    }
  });
});
