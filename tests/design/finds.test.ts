// What a text asks to find: what a sound statement comes to, and everything that can be wrong with one, told at its place.
import { describe, expect, it } from "vitest";
import { compile, inspect } from "../../src/index.js";

const base = `
given timing = 15 nF +- 5 %
given most = 100 nF
supply p = 12 V
block sweep joins rail, gate, ramp
  given charge = 1 mA
  current feed rail -> ramp charge, headroom 0.9 V
  capacitor hold ramp -> ground timing
  switch reset ramp -> ground closed while gate above 2.5 V
end
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
use sweep as line joins p, gate, ramp
diode guard ramp -> p
check "fills" peak of ramp each gate is 3.95 V +- 3 %
check "low" floor of ramp each gate below 20 mV
case "weak" line.charge is 0.9 mA
check "still" peak of ramp each gate between 3 V and 4 V
case "dead" p dead
check "still dead" peak of ramp each gate below 1 V
check "twice" peak of ramp each gate below 1 V in case "weak"
check "twice" peak of ramp each gate below 1 V
`;
const finds = (text: string) => compile(base + text).finds;
const told = (text: string) =>
  inspect(base + text).diagnostics.map((d) => ({ ...d, line: d.span.line - base.split("\n").length + 1 }));

describe("a find", () => {
  it("of named values, inside a block or not, of parts and of properties", () => {
    const [f] = finds(
      'find timing from 1 nF to most in E12, line.charge from 0.5 mA to 2 mA, line.hold from 1 nF to 2 nF, line.feed.headroom from 0 V to 1 V for "fills", "still"',
    );
    const plain = f.unknowns.map((u) => [u.name, u.from.valueOf(), u.to.valueOf(), u.series]);
    expect(plain).toEqual([
      ["timing", 1e-9, 1e-7, "E12"],
      ["line.charge", 5e-4, 2e-3, undefined],
      ["line.hold", 1e-9, 2e-9, undefined],
      ["line.feed.headroom", 0, 1, undefined],
    ]);
    expect(f.goals).toEqual([
      { check: "fills", case: "" },
      { check: "still", case: "weak" },
    ]);
  });

  it("keeps the order of several, wherever they stand, and belongs to no case", () => {
    const design = compile(
      `${base}find timing from 1 nF to 2 nF for "fills"\nfind timing from 3 nF to 4 nF for "low"`,
    );
    expect(design.finds.map((f) => f.goals[0].check)).toEqual(["fills", "low"]);
    for (const c of design.cases) expect(c.finds).toEqual([]);
  });

  it("knows what is aimed at", () => {
    const aims = compile(base).cases[0].checks.map((c) => c.aim);
    expect(aims).toEqual([undefined, undefined]);
    expect(compile(base).checks.map((c) => c.aim)).toEqual([3.95, undefined]);
  });
});

describe("a find that is wrong", () => {
  it.each<[string, string, string, number, string | undefined]>([
    ["an unknown value", 'find timng from 1 nF to 2 nF for "fills"', "unknown-value", 6, "timing"],
    ["a signal", 'find gate from 1 V to 2 V for "fills"', "no-number", 6, undefined],
    ["a diode itself", 'find guard from 1 V to 2 V for "fills"', "no-number", 6, undefined],
    ["a property not written", 'find guard.drop from 0 V to 1 V for "fills"', "no-number", 6, undefined],
    ["a wrong unit", 'find timing from 1 nH to 2 nF for "fills"', "wrong-dimension", 18, undefined],
    ["a range reversed", 'find timing from 3 nF to 2 nF for "fills"', "range-order", 18, undefined],
    ["a range of nothing", 'find timing from 2 nF to 2 nF for "fills"', "range-order", 18, undefined],
    ["beyond the part's own", 'find line.hold from 0 F to 2 nF for "fills"', "out-of-range", 21, undefined],
    ["preferred from zero", 'find timing from 0 F to 2 nF in E6 for "fills"', "out-of-range", 18, undefined],
    ["an unknown series", 'find timing from 1 nF to 2 nF in e12 for "fills"', "unknown-series", 34, "E12"],
    ["an unknown check", 'find timing from 1 nF to 2 nF for "filled"', "unknown-check", 35, '"fills"'],
    [
      "repeated",
      'find timing from 1 nF to 2 nF, timing from 1 nF to 3 nF for "fills"',
      "repeated-unknown",
      32,
      undefined,
    ],
    ["a goal twice", 'find timing from 1 nF to 2 nF for "fills", "fills"', "repeated-goal", 44, undefined],
    ["a check of two cases", 'find timing from 1 nF to 2 nF for "twice"', "ambiguous-goal", 35, undefined],
    ["no unknown", 'find for "fills"', "unexpected-word", 10, undefined],
  ])("%s", (_, text, code, column, fix) => {
    const found = told(text);
    expect(found.map((d) => d.code)).toEqual([code]);
    expect(found[0].line).toBe(1);
    expect(found[0].span.column).toBe(column);
    expect(found[0].message).not.toMatch(/undefined|NaN/);
    if (fix) expect(found[0].fix?.text).toBe(fix);
  });

  it("in a block", () => {
    const text = base.replace("end\n", 'find charge from 1 mA to 2 mA for "fills"\nend\n');
    expect(inspect(text).diagnostics.map((d) => d.code)).toEqual(["not-in-block"]);
  });

  it("tells everything at once", () => {
    const codes = told('find timng from 1 nF to 2 nF in E13, most from 2 F to 1 F for "filled", "low"').map(
      (d) => d.code,
    );
    expect(codes.sort()).toEqual(["range-order", "unknown-check", "unknown-series", "unknown-value"]);
  });
});
