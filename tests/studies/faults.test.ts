// The table of faults against what the parts' laws make of each: a ramp without its current stays down, without its reset stops
// at its guard, a divider with an open leg has all or nothing.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, type Fault, faults } from "../../src/index.js";
import { nestbox } from "../bad/designs.js";

const line = `${nestbox.replace("check", "run for 2 ms\ncheck")}`;
const find = (rows: readonly Fault[], kind: string, name: string) =>
  rows.find((f) => f.kind === kind && f.name === name)!;

describe("faults", () => {
  it("has a row for each part open and short, each supply dead, open and low, each signal stopped, each case", () => {
    const table = faults(compile(line));
    expect(table.faults.map((f) => `${f.name} ${f.kind}`.trim())).toEqual([
      "as drawn",
      ...["feed", "hold", "reset", "guard"].map((p) => `${p} open`),
      ...["feed", "hold", "reset", "guard"].map((p) => `${p} short`),
      ...["dead", "open", "low"].flatMap((how) => [`plus12 ${how}`, `plus5 ${how}`]),
      "gate stopped",
      "camera unplugged case",
    ]);
    expect(table.pass).toBe(true);
    expect(table.rated).toBe(false);
    const failing = (kind: string, name: string) => find(table.faults, kind, name).failing;
    expect(failing("as drawn", "")).toEqual([]);
    // Without its reset or its pulses the ramp stands at the guard: too high, and never down.
    for (const f of [failing("open", "reset"), failing("stopped", "gate")]) {
      expect(f).toContain("fills the tube");
      expect(f).toContain("starts from nothing");
    }
    // Without its current, or held down, it never fills the tube but does start from nothing.
    for (const [kind, name] of [
      ["open", "feed"],
      ["short", "hold"],
      ["short", "reset"],
      ["dead", "plus12"],
    ] as const) {
      expect(failing(kind, name)).toContain("fills the tube");
      expect(failing(kind, name)).not.toContain("starts from nothing");
    }
    // A guard that is missing does nothing until it is needed.
    expect(failing("open", "guard")).toEqual([]);
    // A case is asked the checks of the design as drawn, and its own.
    expect(find(table.faults, "case", "camera unplugged").checks.map((c) => c.name)).toEqual([
      "fills the tube",
      "starts from nothing",
      "straight enough",
      "guard holds",
    ]);
    expect(failing("case", "camera unplugged")).toEqual([]);
  });

  it("says which other part is then asked for more than it is rated for, and what cannot be run", () => {
    // 10 V across 1 kohm and 1 kohm: 25 mW each, 100 mW with the other one short; 10 mA through the supply then.
    const text = `supply p = 10 V, rated 8 mA\nresistor a p -> m 1 kohm, rated 50 mW\nresistor b m -> ground 1 kohm, rated 50 mW
run for 1 ms\ncheck "half" value of m at 0.5 ms is 5 V +- 1 %`;
    const table = faults(compile(text));
    const over = (kind: string, name: string) =>
      find(table.faults, kind, name).exceeded.map((e) => `${e.part} ${e.rating.value.toPrecision(3)}`);
    expect(over("as drawn", "")).toEqual([]);
    expect(over("short", "a")).toEqual(["p 0.0100", "b 0.100"]);
    expect(over("short", "b")).toEqual(["p 0.0100", "a 0.100"]);
    expect(over("open", "a")).toEqual([]);
    expect(over("dead", "p")).toEqual([]);
    expect([table.pass, table.rated]).toEqual([false, true]);
    const one = compile(
      `supply p = 10 V\nresistor r p -> ground 1 kohm\nrun for 1 ms\ncheck "x" value of p at 0.5 ms above 9 V`,
    );
    const short = find(faults(one).faults, "short", "r");
    expect([short.status, short.failing]).toEqual(["refused", ["x"]]);
    expect(short.reason).toMatch(/loop: 'p' and 'r'/);
    expect(short.checks[0]).toMatchObject({ pass: false, reason: short.reason });
  });

  it("a circuit that hangs free is a row with its reason", () => {
    const text = `supply p = 10 V\nresistor a p -> m 1 kohm\ncurrent i m -> n 1 mA\nresistor b n -> ground 1 kohm
run for 1 ms\ncheck "x" value of n at 0.5 ms above 0.5 V`;
    const row = find(faults(compile(text)).faults, "open", "b");
    expect(row.status).not.toBe("complete");
    expect(row.reason).not.toBe("");
    expect(row.failing).toEqual(["x"]);
  });

  it("only the parts that are named, without the cases; cancelled it keeps its rows", () => {
    const design = compile(line);
    const some = faults(design, { parts: ["guard", "plus5"], cases: false });
    expect(some.faults.map((f) => `${f.name} ${f.kind}`.trim())).toEqual([
      "as drawn",
      "guard open",
      "guard short",
      "plus5 dead",
      "plus5 open",
      "plus5 low",
    ]);
    const signal = { aborted: false };
    const progress = (done: number) => {
      signal.aborted = done === 2;
    };
    expect(faults(design, { signal, progress }).faults).toHaveLength(2);
    try {
      faults(design, { parts: ["gaurd"] });
      expect.unreachable();
    } catch (error) {
      expect((error as DesignError).diagnostics[0]).toMatchObject({
        code: "bad-option",
        hint: "did you mean 'guard'?",
      });
    }
  });
});
