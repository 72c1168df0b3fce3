// The table of faults against what the parts' laws make of each: a ramp without its current stays down, without its reset stops
// at its guard, a divider with an open leg has all or nothing.
import { describe, expect, it } from "vitest";
import { FaultStudy } from "../../src/faults/survey.js";
import { compile, type DesignError, type Fault, faults, simulate, verify } from "../../src/index.js";
import { nestbox } from "../bad/designs.js";

const line = `${nestbox.replace("check", "run for 2 ms\ncheck")}`;
const find = (rows: readonly Fault[], kind: string, name: string) =>
  rows.find((f) => f.kind === kind && f.name === name)!;

describe("faults", () => {
  it("has a row for each part open and short, each supply dead, open and low, each signal stopped, each case", () => {
    const table = faults(compile(line));
    expect(table.faults.map((f) => `${f.name} ${f.kind}`.trim())).toEqual([
      "as drawn",
      "camera unplugged case",
      ...["feed", "hold", "reset", "guard"].map((p) => `${p} open`),
      ...["feed", "hold", "reset", "guard"].map((p) => `${p} short`),
      ...["dead", "open", "low"].flatMap((how) => [`plus12 ${how}`, `plus5 ${how}`]),
      "gate stopped",
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
    // A guard that is missing does nothing until it is needed: without pulses the ramp then runs on to the 12 V rail.
    const guard = find(table.faults, "open", "guard");
    expect([guard.failing, guard.shows]).toEqual([[], "in a case"]);
    expect(guard.cases).toMatchObject([
      { case: "camera unplugged", failing: ["guard holds"], already: [], mended: [] },
    ]);
    // A rail at 9.6 V still leaves the source more than its headroom above 5.6 V, with or without pulses.
    const low = find(table.faults, "low", "plus12");
    expect([low.failing, low.shows, low.cases.map((c) => c.status)]).toEqual([[], "never", ["complete"]]);
    // A case is asked the checks of the design as drawn, and its own.
    expect(find(table.faults, "case", "camera unplugged").checks.map((c) => c.name)).toEqual([
      "fills the tube",
      "starts from nothing",
      "straight enough",
      "guard holds",
    ]);
    expect(failing("case", "camera unplugged")).toEqual([]);
  });

  it("says nothing of a fault beside a case that cannot run without it", () => {
    // In the case the ideal switch ties the supply to ground at 10 us: Kirchhoff's voltage law has no solution there. Open, it
    // does not; and nothing tells what its failing would have changed.
    const text = `supply p = 12 V\nresistor a p -> m 1 kohm\nresistor b m -> ground 1 kohm\nsignal g = path 0 V at 0 s
switch tie p -> ground closed while g above 2.5 V\nrun for 50 us\ncheck "half" value of p.current at 20 us is -6 mA +- 1 %
case "tied" g is path 0 V at 0 s, 0 V at 10 us, 5 V at 10 us\ncheck "still half" value of p.current at 20 us is -6 mA +- 1 %`;
    const { faults: rows } = faults(compile(text), { parts: ["tie"] });
    expect(find(rows, "case", "tied").status).toBe("stopped");
    const open = find(rows, "open", "tie");
    expect([open.status, open.cases[0].status, open.cases[0].mended]).toEqual([
      "complete",
      "complete",
      ["still half"],
    ]);
    expect(open.shows).toBe("unknown");
  });

  it("blames on a fault nothing that fails without it, and tells what it mends", () => {
    // A divider of 1 kohm and 1 kohm on 10 V: 5 V; with either leg short 0 V or 10 V; of 12 V it is 6 V.
    const divider = `supply p = 10 V\nresistor a p -> m 1 kohm\nresistor b m -> ground 1 kohm\nresistor c p -> q 1 kohm
resistor d q -> ground 1 kohm\nrun for 1 ms\ncheck "nearly all" value of m at 0.5 ms above 9 V\ncheck "half" value of q at 0.5 ms is 5 V +- 1 %
case "new battery" p is 12 V\ncheck "six" value of m at 0.5 ms is 6 V +- 1 %`;
    const { faults: rows, pass } = faults(compile(divider));
    expect(find(rows, "as drawn", "").failing).toEqual(["nearly all"]);
    expect(pass).toBe(false);
    const [up, down] = [find(rows, "short", "a"), find(rows, "short", "b")];
    expect(up).toMatchObject({ failing: [], already: [], mended: ["nearly all"], shows: "in a case" });
    expect(up.checks[0]).toMatchObject({ pass: true, unfaulted: { measured: 5, pass: false } });
    expect(down).toMatchObject({ failing: [], already: ["nearly all"], mended: [], shows: "in a case" });
    expect(up.cases[0].failing).toEqual(["six"]);
    // In that case nothing that it checks hangs on the other divider, which is behind an ideal supply.
    expect(find(rows, "open", "c")).toMatchObject({ failing: ["half"], cases: [], shows: "as drawn" });
  });

  it("each fault looked at by influence measures what it measures when all is run", () => {
    // A low-pass on a signal, a divider on a firm rail, and one on a rail with a resistance that a load leans on as well.
    const text = `supply rail = 12 V, output 10 ohm\nsupply firm = 5 V\nsignal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
resistor a gate -> x 1 kohm\ncapacitor b x -> ground 1 nF\nresistor c firm -> y 1 kohm\nresistor d y -> ground 2 kohm
resistor e rail -> z 1 kohm\nresistor f z -> ground 1 kohm\nresistor g rail -> ground 1 kohm\nrun for 300 us
check "x" peak of x above 4 V\ncheck "y" value of y at 200 us is 3.333 V +- 1 %\ncheck "z" value of z at 200 us above 5.5 V
case "again" firm is 6 V\ncheck "y again" value of y at 200 us is 4 V +- 1 %\ncheck "z again" value of z at 200 us above 5.5 V`;
    const design = compile(text);
    const table = faults(design).faults;
    const rows = table.filter((f) => f.kind === "open" || f.kind === "short");
    let spared = 0;
    for (const row of rows)
      for (const one of [design, ...design.cases]) {
        // By hand: the fault laid on the design, all of it run, every check measured.
        const fault = row.kind as "open" | "short";
        const parts = one.parts.map((p) => (p.name === row.name ? { ...p, fault } : p));
        const run = simulate({ ...one, cases: [], parts }, { until: "300 us" });
        const found = [row, ...row.cases].find((r) => r.case === one.caseName);
        const before = table.find((f) => f.case === one.caseName && f.shows === undefined)!;
        if (!found) spared++;
        if (run.status === "complete" && found?.status !== "refused")
          for (const { name, measured } of verify(run)) {
            const told = (found ?? before).checks.find((c) => c.name === name)!.measured;
            expect([row.name, row.kind, name, told]).toEqual([
              row.name,
              row.kind,
              name,
              expect.closeTo(measured, 9),
            ]);
          }
      }
    expect(spared).toBeGreaterThan(0);
    const touched = (name: string, kind: string) => find(table, kind, name).cases.length;
    expect(["c", "d", "firm"].map((name) => touched(name, name === "firm" ? "dead" : "open"))).toEqual([
      1, 1, 1,
    ]);
    // The load leans on the rail's resistance, so it moves "z"; nothing of the gate's is asked for again.
    expect([touched("g", "open"), touched("a", "open"), touched("b", "short")]).toEqual([1, 0, 0]);
    expect(find(table, "open", "g").checks[2].measured).toBeCloseTo((12 * 1000) / 2010, 6);
  });

  it("tells of rows in their order, and those of a run in slices are the same", () => {
    const design = compile(line);
    const told: string[] = [];
    const counts: number[] = [];
    const table = faults(design, {
      row: (f) => told.push(`${f.name} ${f.kind}`),
      progress: (done, of) => counts.push(done / of),
    });
    expect(told).toEqual(table.faults.map((f) => `${f.name} ${f.kind}`));
    expect([counts[0] > 0, counts.at(-1), table.missing]).toEqual([true, 1, 0]);
    const study = new FaultStudy(design, {});
    // Backwards, as threads might: the rows wait for what they are compared with.
    for (let id = study.runs - 1; id >= 0; id--) study.take(id, study.perform(id));
    expect(study.table()).toEqual(table);
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
