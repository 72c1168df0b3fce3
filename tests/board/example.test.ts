// The whole nest-box board, examples/board.ramp: every check of it passes in every case, what it simulates agrees with
// closed forms, and small changes to it are noticed by the checks that are there for them.
import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it, test } from "vitest";
import { type CheckResult, compile, type Run, simulate, verify } from "../../src/index.js";
import { passing, reach } from "./looking.js";

const text = readFileSync(new URL("../../examples/board.ramp", import.meta.url), "utf8");
const design = compile(text);
const all = [design, ...design.cases];

describe("the board", () => {
  const runs = new Map<string, Run>();
  let results: readonly CheckResult[] = [];
  beforeAll(() => {
    const run = simulate(design);
    runs.set("", run);
    // What the run of a case is asked for here is worked out while it is there; ten runs kept are much memory.
    results = verify(run, {
      ran: (other) => {
        if (other.design.caseName.includes("unplugged")) runs.set(other.design.caseName, other);
        expect(other.status).toBe("complete");
      },
    });
  }, 300_000);

  it("has the cases that a builder would ask for", () => {
    for (const words of [
      /unplugged/,
      /double terminated/,
      /not terminated/,
      /5 V rail dead/,
      /12 V rail dead/,
      /weak/,
      /hot/,
      /black/,
      /white/,
      /hum/,
    ])
      expect(design.cases.some((c) => words.test(c.caseName))).toBe(true);
  });

  test.each(all.flatMap((d) => d.checks.map((check) => [d.caseName, check.name] as const)))(
    "%s: %s",
    (inCase, name) => {
      const result = results.find((r) => r.case === inCase && r.name === name);
      expect(result).toMatchObject({ pass: true });
    },
  );

  it("takes every field sync at the same instant after its first broad pulse, to within 50 ns", () => {
    // Like pulses of successive fields are 312.5 lines apart (ITU-R BT.1700, figures 3 to 5).
    const run = runs.get("")!;
    const rises = passing(run.trace("field_gate"), 2.5, "rising").filter((t) => t > 1e-3);
    const fields = Array.from(run.periods("camera.fields")).filter((t) => t > 1e-3 && t < run.until - 1e-3);
    expect(rises.length).toBe(fields.length);
    const late = rises.map((t, i) => t - fields[i]!);
    expect(late.length).toBeGreaterThan(1);
    expect(Math.max(...late) - Math.min(...late)).toBeLessThan(50e-9);
  });

  it("its ramps are those of a constant current: I t/C from the end of each reset", () => {
    // Q = C V = I t (any book); 1 mA into 15 nF over 48 µs of a line, 0.94 mA into 4.7 µF over 18 ms of a field. The
    // 2 Mohm across the source add 1/2 Mohm per volt that it has beyond its headroom: below 0.6 %.
    const run = runs.get("")!;
    const [line, field] = run.draw(["line_ramp", "field_ramp"]);
    const slope = (trace: typeof line, from: number, to: number) =>
      (trace!.at(to) - trace!.at(from)) / (to - from);
    const lines = slope(line, 469 * 64e-6 + 10e-6, 469 * 64e-6 + 58e-6) / (1e-3 / 15e-9);
    const fields = slope(field, 21e-3, 39e-3) / (0.94e-3 / 4.7e-6);
    for (const share of [lines, fields]) {
      expect(share).toBeGreaterThan(1);
      expect(share).toBeLessThan(1.006);
    }
  });

  it("unplugged, both ramps stop at the guard rail, a diode drop, and 10 ohm times the current", () => {
    // Common practice, no source; the figure by Kirchhoff: v = 5 V + 0.6 V + 10 ohm · i, with i the source's current
    // and what its 2 Mohm add beyond the headroom of 0.9 V below 12 V.
    const name = [...runs.keys()].find((key) => key.includes("unplugged"))!;
    const [line, field] = runs.get(name)!.draw(["line_ramp", "field_ramp"]);
    const guard = (amperes: number) => (5.6 + 10 * (amperes + 11.1 / 2e6)) / (1 + 10 / 2e6);
    expect(Math.abs(line!.at(39e-3) - guard(1e-3))).toBeLessThan(1e-7);
    expect(Math.abs(reach(line!.between(39e-3, 40e-3)).high - guard(1e-3))).toBeLessThan(1e-7);
    expect(Math.abs(field!.at(40.5e-3) - guard(0.94e-3))).toBeLessThan(1e-7);
  });
});

describe("small changes are noticed", () => {
  // Shortened, so that half a minute will do: spans that lie in the second field are moved into the first.
  const cut = (from: string | RegExp, to: string, of: string) => {
    expect(of).toMatch(from);
    return of.replaceAll(from as string, to);
  };
  const short = [
    ["after 22 ms before 38 ms", "after 2 ms before 4 ms"],
    ["from 22 ms to 38 ms", "from 2 ms to 4 ms"],
    ["cable.unplugged is 8 ms", "cable.unplugged is 1 ms"],
    ["from 20 ms to 41 ms", "from 2 ms to 4 ms"],
    ["plus5 dead at 8 ms", "plus5 dead at 1 ms"],
    ["after 9 ms below 0.7 V", "after 2 ms below 0.7 V"],
  ].reduce((of, [from, to]) => cut(from!, to!, of), text);
  const asked = new Map<string, CheckResult[]>();
  const ask = (of: string, until: string, inCase: string) => {
    const key = `${until} ${inCase} ${of}`;
    const known =
      asked.get(key) ??
      verify(simulate(compile(of), { until, ...(inCase && { case: inCase }) }), { cases: false });
    asked.set(key, known);
    return known;
  };
  const unplugged = "camera unplugged and plugged in again";
  const values = (use: string, more: string): [string, string] => [use, `${use} ${more}`];
  const separator = "joins smooth, plus5, line_low, field_low";

  test.each([
    [
      "a camera of 50 ohm",
      values("as cable joins camera, jack", "with source 50 ohm"),
      "4 ms",
      "",
      "video is one volt",
    ],
    [
      "a filter three times as slow",
      values("as filter joins clean, smooth", "with shunt 1 nF"),
      "4 ms",
      "",
      "sync is prompt",
    ],
    [
      "a filter so slow that sync does not come through",
      values("as filter joins clean, smooth", "with series 10 kohm"),
      "4 ms",
      "",
      "no sync is missing",
    ],
    [
      "a coupling that is a hundred times too small",
      ["average 76 mV", "average 76 mV, coupling 100 nF"],
      "41 ms",
      "",
      "field keeps its level",
    ],
    [
      "a filter left out, on colour",
      values("as filter joins clean, smooth", "with shunt 1 pF"),
      "4 ms",
      "colour",
      "colour makes no sync",
    ],
    [
      "a coupling that starts far from the average",
      ["average 76 mV", "average 700 mV"],
      "4 ms",
      "",
      "no sync is extra",
    ],
    ["a slow comparator", values(separator, "with delay 300 ns"), "4 ms", "", "sync is prompt"],
    ["an integrator for lines", values(separator, "with integrator 1 kohm"), "22 ms", "", "field is tall"],
    [
      "nine times instead of five",
      values("joins clean, plus5, minus5, bright", "with feedback 8 kohm"),
      "4 ms",
      "",
      "picture is not clipped",
    ],
    [
      "a line capacitor of 10 nF",
      ["line_cap     = 15 nF", "line_cap     = 10 nF"],
      "4.5 ms",
      "",
      "line is wide",
    ],
    [
      "a field capacitor of 3.3 uF",
      ["field_cap    = 4.7 uF", "field_cap    = 3.3 uF"],
      "22 ms",
      "",
      "field is tall",
    ],
    [
      "a switch that is too small",
      values("across with charge line_charge, timing line_cap", ", resistance 47 ohm"),
      "4.5 ms",
      "",
      "line starts from nothing",
    ],
    [
      "a slow buffer",
      values("across with charge line_charge, timing line_cap", ", slew 0.05 V/us"),
      "4.5 ms",
      "",
      "line is wide",
    ],
    [
      "noise of 30 mV",
      values("as cable joins camera, jack", "with hiss 30 mV"),
      "4.5 ms",
      "",
      "lines stand still",
    ],
    [
      "a guard diode that is open",
      ["cable.unplugged is 1 ms", "cable.unplugged is 1 ms, line.guard open"],
      "4.5 ms",
      unplugged,
      "line waits at its guard",
    ],
    [
      "a guard at the wrong rail",
      ["line joins plus12, plus5,", "line joins plus12, plus12,"],
      "4.5 ms",
      "5 V rail dead",
      "line stops at a diode drop",
    ],
  ] as const)(
    "%s",
    (_, [from, to], until, inCase, check) => {
      const found = (of: string) => ask(of, until, inCase).find((r) => r.name === check)!;
      expect(found(short)).toMatchObject({ pass: true });
      const changed = found(cut(from, to, short));
      expect(changed.pass).toBe(false);
      // It fails for what was measured, not because nothing was.
      expect(Number.isNaN(changed.measured)).toBe(false);
    },
    60_000,
  );
});
