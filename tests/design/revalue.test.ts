// A design with other values against the same text written with them: the parts that come out must be equal.
import { describe, expect, it } from "vitest";
import { ratio } from "../../src/base/fraction.js";
import { revalued, settableValues } from "../../src/design/revalue.js";
import { compile, type Design, type DesignError, sensitivities } from "../../src/index.js";

const text = (v: { timing?: string; charge?: string; own?: string; room?: string; rail?: string } = {}) => `
given timing = ${v.timing ?? "15 nF"} +- 5 %
given double = 2 * timing
supply p = ${v.rail ?? "12 V"}
block sweep joins rail, ramp
  given charge = 1 mA +- 2 %
  given copy = charge
  current feed rail -> ramp copy, headroom ${v.room ?? "0.9 V"}
  capacitor hold ramp -> ground timing
  capacitor more ramp -> ground double
end
use sweep as line joins p, ramp with charge ${v.charge ?? "1 mA"} +- 2 %
resistor own ramp -> ground ${v.own ?? "1 Mohm"} +- 10 %
case "low" timing is 10 nF
check "x" peak of ramp below 2 * ${v.timing ?? "15 nF"} / 1 F * 1 V
`;
const plain = (design: Design) =>
  design.parts.map((p) => [
    p.name,
    ...[...(p.value ? [["value", p.value] as const] : []), ...p.amounts].map(
      ([word, a]) => `${word} ${a.low.toFraction()} ${a.value.toFraction()} ${a.high.toFraction()}`,
    ),
  ]);
const both = (set: Record<string, [number, number]>) =>
  revalued(compile(text()), new Map(Object.entries(set).map(([name, [n, d]]) => [name, ratio(n, d)])));

describe("revalued", () => {
  it.each<[string, Record<string, [number, number]>, Parameters<typeof text>[0]]>([
    ["a named value moves all that is made of it", { timing: [22, 1e9] }, { timing: "22 nF" }],
    ["a value inside a block", { "line.charge": [2, 1000] }, { charge: "2 mA" }],
    ["a part", { own: [33, 1] }, { own: "33 ohm" }],
    ["a property", { "line.feed.headroom": [1, 2] }, { room: "0.5 V" }],
    ["a supply", { p: [9, 1] }, { rail: "9 V" }],
    ["several at once", { timing: [22, 1e9], own: [33, 1] }, { timing: "22 nF", own: "33 ohm" }],
    ["none", {}, {}],
  ])("%s", (_, set, written) => {
    expect(plain(both(set))).toEqual(plain(compile(text(written))));
  });

  it("tolerances keep their share; the case keeps its own value and takes the others", () => {
    const made = both({ timing: [22, 1e9], own: [100, 1] });
    expect(made.givens.get("timing")!.low.toFraction()).toBe(ratio(22 * 95, 100 * 1e9).toFraction());
    const [low] = made.cases;
    const value = (name: string) => low.parts.find((p) => p.name === name)!.value!.value.toFraction();
    expect([value("line.hold"), value("line.more"), value("own")]).toEqual([
      "1/100000000",
      "1/50000000",
      "100",
    ]);
  });

  it("again and of a case: what was set before stays set, and the last value of a name counts", () => {
    const design = compile(text());
    const once = revalued(design, new Map([["timing", ratio(1, 1e9)]]));
    const twice = revalued(once, new Map([["own", ratio(5)]]));
    expect(plain(twice)).toEqual(plain(both({ timing: [1, 1e9], own: [5, 1] })));
    expect(plain(revalued(twice, new Map([["timing", ratio(2, 1e9)]])))).toEqual(
      plain(both({ timing: [2, 1e9], own: [5, 1] })),
    );
    const inCase = revalued(design.cases[0], new Map([["own", ratio(5)]]));
    expect(inCase.caseName).toBe("low");
    expect(plain(inCase)).toEqual(plain(both({ own: [5, 1] }).cases[0]));
  });

  it("puts together the cases asked for alone", () => {
    const design = compile(text());
    const names = (cases?: string[]) => revalued(design, new Map(), cases).cases.map((c) => c.caseName);
    expect([names(), names([]), names(["low", "none"])]).toEqual([["low"], [], ["low"]]);
  });

  it("knows what follows what", () => {
    const design = compile(text());
    const follows = [...settableValues(design)].flatMap(([name, { amount }]) =>
      amount.follows ? [`${name} ${amount.follows}`] : [],
    );
    expect(follows).toEqual([
      "line.copy line.charge",
      "line.feed line.charge",
      "line.hold timing",
      "line.more double",
    ]);
    expect([...settableValues(design).keys()]).toEqual([
      "timing",
      "double",
      "line.charge",
      "line.copy",
      "p",
      "line.feed",
      "line.feed.headroom",
      "line.hold",
      "line.more",
      "own",
    ]);
  });

  it("refuses names and values that make no design", () => {
    const code = (set: Record<string, [number, number]>) => {
      try {
        both(set);
        return "none";
      } catch (error) {
        return (error as DesignError).diagnostics[0].code;
      }
    };
    expect(code({ timng: [1, 1] })).toBe("unknown-value");
    expect(code({ own: [-1, 1] })).toBe("out-of-range");
    expect(code({ timing: [0, 1] })).toBe("out-of-range");
    expect(code({ "line.feed.headroom": [-1, 1] })).toBe("out-of-range");
  });
});

describe("a value that several parts share", () => {
  const text = `given timing = 10 nF
supply source = 5 V
resistor feed source -> out 1 kohm
capacitor one out -> ground timing
capacitor other out -> ground timing
run for 20 us, from rest
check "v" value of out at 20 us below 5 V
case "slower" timing is 15 nF
check "late" value of out at 20 us below 5 V`;
  // v = V (1 − e^(−t/τ)) with τ = 2 R C, so C dv/dC = −V t/τ · e^(−t/τ).
  const slope = (farads: number) => {
    const late = 20e-6 / (2 * 1e3 * farads);
    return (-5 * late * Math.exp(-late)) / farads;
  };

  it.each([
    ["as drawn", "v", 10e-9, (design: Design) => design],
    ["where a case sets it", "late", 15e-9, (design: Design) => design.cases[0]],
  ])("moves all of them: %s", (_, check, farads, of) => {
    const rows = sensitivities(of(compile(text)), check);
    expect(new Set(rows.map((r) => `${r.part}.${r.of}`))).toEqual(
      new Set(["timing.value", "source.value", "feed.value"]),
    );
    const { derivative } = rows.find((r) => r.part === "timing")!;
    expect(Math.abs(derivative / slope(farads) - 1)).toBeLessThan(1e-6);
  });

  it("has a slope to one side at an end of its range", () => {
    // Of a divider by a potentiometer v = V (1 − at), at 100 % and below.
    const tapped = `supply source = 5 V
potentiometer level source -> ground 10 kohm, tap out, at 100 %
resistor load out -> ground 1 Mohm
check "v" value of out at 1 us below 5 V
run for 1 us`;
    // v = V b/(1 + 10^-2 a b) for the lower share b = 1 − a, so dv/da at a = 1 is −V.
    const row = sensitivities(compile(tapped), "v").find((r) => r.of === "at")!;
    expect(Math.abs(row.derivative / -5 - 1)).toBeLessThan(1e-5);
  });
});
