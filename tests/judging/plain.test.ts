// Results are plain data: what is cloned or written as JSON and read again is what it was (but for what JSON does not know:
// numbers that are not finite become null, and typed arrays are objects by index).
import { describe, expect, it } from "vitest";
import {
  balance,
  clippings,
  compile,
  corners,
  faults,
  inspect,
  instants,
  measure,
  sensitivities,
  shownFigures,
  simulate,
  size,
  stress,
  summarise,
  trials,
  vary,
  verify,
  verifyAll,
} from "../../src/index.js";

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

const results: readonly [string, () => unknown][] = [
  ["diagnostics", () => inspect("capacitr x a -> b 1 nF").diagnostics],
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
];

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
      if (name === "clippings") continue;
      const words = JSON.stringify(make());
      expect(words.length, name).toBeGreaterThan(2);
    }
  });
});
