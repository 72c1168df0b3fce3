// Every example is written for 625 lines by the periods of its own signals, so that it holds in 525 lines as well, with
// nothing changed in its text but the system.
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { full } from "../counts.js";

const folder = new URL("../../examples/", import.meta.url);
const names = readdirSync(folder).filter((name) => name.endsWith(".ramp"));
const text = (name: string) => readFileSync(new URL(name, folder), "utf8");
const twin = (of: string) => of.replaceAll("625/50", "525/59.94");

describe.each(names)("the 525-line twin of %s", (name) => {
  test("passes every check of every case", () => {
    expect(text(name)).toContain("625/50");
    const design = compile(twin(text(name)), { name });
    const all = [design, ...design.cases];
    // At hand the first cases of a long design stand for all of it.
    const runs = (full ? all : all.slice(0, 2)).map((one) => simulate(one));
    const results = runs.flatMap((run) => verify(run));
    expect(runs.map((run) => run.status)).toEqual(runs.map(() => "complete"));
    expect(results.length).toBeGreaterThan(5);
    expect(results.filter((r) => !r.pass).map((r) => [r.case, r.name, r.measured])).toEqual([]);
  });
});

describe("periods of signals as values", () => {
  const value = (signal: string, word: string) => {
    const design = compile(`signal gate = ${signal}
given time = gate.${word}
resistor load gate -> ground 1 kohm`);
    const { value } = design.givens.get("time")!;
    return Number(value.n) / Number(value.d);
  };

  // 64 us and 20 ms: ITU-R BT.470-6; 572/9 us a line and 262.5 of them a field: SMPTE 170M-2004.
  test.each([
    ["line sync of 625/50, 0 V to 5 V", "period", 64e-6],
    ["line sync of 625/50, 0 V to 5 V", "field", 20e-3],
    ["field sync of 525/59.94, 0 V to 5 V", "period", (262.5 * 572e-6) / 9],
    ["field sync of 525/59.94, 0 V to 5 V", "line", 572e-6 / 9],
    ["composite sync of 525/59.94, 0 V to 5 V", "period", (525 * 572e-6) / 9],
    ["video of 525/59.94, black", "frame", (525 * 572e-6) / 9],
    ["pulse 0 V to 5 V, wide 4.7 us, every 60 us + 4 us", "period", 64e-6],
    ["sine -1 V to 1 V, at 50 Hz", "period", 20e-3],
    ["path 0 V at 0 s, 5 V at 1 ms, every 4 ms", "period", 4e-3],
  ])("%s: its %s", (signal, word, seconds) => {
    expect(value(signal, word) / seconds).toBeCloseTo(1, 14);
  });

  test("a case that gives the signal another wave gives it another period", () => {
    const design = compile(`signal gate = line sync of 625/50, 0 V to 5 V
given charge = 64 nC / gate.period
current feed ground -> ramp charge
capacitor hold ramp -> ground 15 nF
case "american" gate is line sync of 525/60, 0 V to 5 V`);
    const feed = design.cases[0].parts.find((p) => p.name === "feed")!;
    // 15 750 Hz: 47 CFR 73.682.
    expect(Number(feed.value!.value.n) / Number(feed.value!.value.d)).toBeCloseTo(64e-9 * 15750, 12);
  });

  test("nobody sets a period but the waveform, one that depends on itself is told, and one pulse has none", () => {
    const told = (body: string) => {
      try {
        compile(body);
      } catch (error) {
        return (error as { diagnostics: { code: string }[] }).diagnostics.map((d) => d.code);
      }
      return [];
    };
    const load = "resistor load gate -> ground 1 kohm";
    const pulse = (every: string) => `signal gate = pulse 0 V to 5 V, wide 4.7 us${every}\n${load}\n`;
    expect(told(`${pulse(", every 64 us")}case "other" gate.period is 5 us`)).toEqual(["unknown-target"]);
    expect(told(`${pulse(", every line")}given line = gate.period`)).toContain("circular-value");
    expect(told(`${pulse("")}given line = gate.period`)).toEqual(["unknown-value"]);
  });
});
