// Rails that are low by shares that were not run, and the noise of an instrument on a level that stands still.
import { describe, expect, it } from "vitest";
import { compile, diagnose, readingsOf, symptoms } from "../../src/index.js";
import { Trace } from "../../src/waveforms/trace.js";
import { lehmer } from "./trying.js";

// 12 V over 1 kohm and 1 kohm: 6 V.
const table = symptoms(
  compile(
    "supply rail = 12 V +- 2 %\nresistor upper rail -> m 1 kohm +- 5 %\nresistor lower m -> ground 1 kohm +- 5 %\nrun for 1 ms",
  ),
);

describe("a rail that is low", () => {
  it.each([0.7, 0.5, 0.3])("is named by %f of it, which was not run", (share) => {
    const { candidates, explained } = diagnose(table, [
      { what: "mean of rail", value: 12 * share, resolution: 0.05 },
      { what: "mean of m", value: 6 * share, resolution: 0.05 },
    ]);
    expect(explained).toBe(true);
    const low = candidates[0].faults.find(({ kind }) => kind === "low");
    expect(low).toMatchObject({ name: "rail" });
    expect(low!.factor! / share).toBeGreaterThan(0.95);
    expect(low!.factor! / share).toBeLessThan(1.05);
  });

  it("is dead where nothing is left, and sound where all is", () => {
    const first = (share: number) =>
      diagnose(table, [
        { what: "mean of rail", value: 12 * share, resolution: 0.01 },
        { what: "mean of m", value: 6 * share, resolution: 0.01 },
      ]).candidates[0].faults.map(({ kind }) => kind);
    expect(first(0)).toContain("dead");
    expect(first(1)[0]).toBe("none");
  });
});

describe("noise below a step", () => {
  // A sum of twelve even chances is as good as normal (central limit theorem).
  it.each([0, 0.2, 0.4, 0.6])("of %f steps on a level that stands still leaves it explained", (noise) => {
    const next = lehmer(5);
    const normal = () => Array.from({ length: 12 }, next).reduce((sum, v) => sum + v, -6);
    const step = 0.078;
    const value = Float64Array.from({ length: 4000 }, () => Math.round(6 / step + noise * normal()) * step);
    const time = value.map((_, k) => k * 1e-7);
    const readings = readingsOf(new Trace({ name: "m", unit: "V", time, value }), "m", step);
    const { candidates, explained } = diagnose(table, readings);
    expect(explained).toBe(true);
    expect(candidates[0].faults[0].kind).toBe("none");
  });
});
