// Cases and checks as a design holds them: every kind of change, changes that do not fit their target, and checks whose
// limits, spans and scopes make sense or do not. Rules are those of the language reference.
import { describe, expect, it } from "vitest";
import { compile, type Design, inspect } from "../../src/index.js";
import { errors } from "../bad/designs.js";
import { mend } from "../syntax/mended.js";

const base = `
given timing = 15 nF +- 5 %
supply p = 12 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
current feed p -> ramp 1 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed while gate above 2.5 V
current hum ground -> ramp sine -1 uA to 1 uA, at 50 Hz
`;
const code = (text: string) => errors(text).map((e) => e.split(" ")[1]);
const part = (design: Design, name: string) => design.parts.find((p) => p.name === name)!;
const inCase = (change: string) => compile(`${base}case "it" ${change}`).cases[0];

describe("every kind of change", () => {
  it("is: a named value, a part, a supply, with tolerances", () => {
    expect(part(inCase("timing is 10 nF +- 1 %"), "hold").value!.high.toFraction()).toBe("101/10000000000");
    expect(part(inCase("hold is 10 nF"), "hold").value!.value.toFraction()).toBe("1/100000000");
    expect(part(inCase("p is 9 V"), "p").value!.value.valueOf()).toBe(9);
  });
  it("open, short, dead, stops, starts, scaled", () => {
    expect(part(inCase("hold open"), "hold").fault).toBe("open");
    expect(part(inCase("reset short"), "reset").fault).toBe("short");
    expect(part(inCase("p dead"), "p").value!.value.valueOf()).toBe(0);
    expect(part(inCase("p dead at 2 ms"), "p").wave!.stops!.toFraction()).toBe("1/500");
    expect(part(inCase("gate stops at 2 ms"), "gate").wave!.stops!.toFraction()).toBe("1/500");
    expect(part(inCase("gate starts at 2 ms"), "gate").wave!.starts!.toFraction()).toBe("1/500");
    expect(part(inCase("gate scaled 0.5"), "gate").wave!.scale.toFraction()).toBe("1/2");
    expect(part(inCase("hum scaled 50 %"), "hum").wave!.scale.toFraction()).toBe("1/2");
    expect(part(inCase("p scaled 1.1"), "p").value!.value.toFraction()).toBe("66/5");
  });
  it("several at once, and the design as drawn stays as it is", () => {
    const design = compile(`${base}case "it" timing is 10 nF, p is 9 V, gate stops at 1 ms`);
    expect(part(design.cases[0], "p").value!.value.valueOf()).toBe(9);
    expect(part(design, "p").value!.value.valueOf()).toBe(12);
    expect(part(design, "gate").wave!.stops).toBeUndefined();
  });
});

describe("changes that do not fit", () => {
  it.each([
    ["an unknown target", "hodl open", "unknown-target"],
    ["an unknown change", "hold vanishes", "unknown-change"],
    ["a part that stops", "hold stops at 1 ms", "change-form"],
    ["a value that is open", "timing open", "change-form"],
    ["a signal that stops at no time", "gate stops", "change-form"],
    ["a time without 'at'", "p dead 5 ms", "change-form"],
    ["a time for what is so from the start", "hold open at 5 ms", "change-form"],
    ["a value for what takes none", "hold short 1 V", "change-form"],
    ["a time for a value", "p is 3 V at 5 ms", "change-form"],
    ["a time for a factor", "gate scaled 0.5 at 5 ms", "change-form"],
    ["a value of the wrong dimension", "hold is 5 V", "wrong-dimension"],
    ["a value out of range", "hold is 0 F", "out-of-range"],
    ["a time that is none", "gate stops at 5 V", "wrong-dimension"],
    ["a factor that is none", "gate scaled 5 V", "wrong-dimension"],
    ["a supply in amperes", "p is 5 A", "wrong-dimension"],
  ])("%s", (_, change, expected) => {
    expect(code(`${base}case "it" ${change}`)).toContain(expected);
  });
  it("what a verb has no use for is told once, and a time without 'at' is mended", () => {
    const text = `${base}case "it" p dead 5 ms`;
    const { diagnostics } = inspect(text);
    expect(diagnostics.map((d) => [d.code, d.message])).toEqual([
      ["change-form", "'dead' has no use for what stands behind it"],
    ]);
    const mended = compile(mend(text, diagnostics[0].fix!));
    expect(part(mended.cases[0], "p").wave!.stops!.toFraction()).toBe("1/200");
  });
  it.each(['""', '" "'])("a case called %s: the design as drawn has no name either", (name) => {
    expect(code(`${base}case ${name} p is 3 V\ncheck "low" peak of ramp below 1 V`)).toContain("no-name");
  });
  it("a part that a case makes short across a supply closes a loop", () => {
    expect(code(`${base}resistor load p -> ground 1 kohm\ncase "it" load short`)).toEqual(["source-loop"]);
  });
  it("a mistake in one case, or in a check, hides none in another", () => {
    const two = `${base}resistor load p -> ground 1 kohm\nresistor pull gate -> ground 1 kohm\n`;
    const loop = 'case "one" load short\ncase "two" pull short\n';
    expect(code(two + loop)).toEqual(["source-loop", "source-loop"]);
    expect(code(`${two}check "height" peak of rmap below 1 V\n${loop}`).sort()).toEqual([
      "source-loop",
      "source-loop",
      "unknown-place",
    ]);
    expect(code(`${two}case "none" timing is 5 V\n${loop}`).sort()).toEqual([
      "source-loop",
      "source-loop",
      "wrong-dimension",
    ]);
  });
});

describe("checks", () => {
  const check = (words: string) => `${base}check "it" ${words}`;
  it("hold measure, target, span and limit in SI units", () => {
    const [c] = compile(check("sweep error of ramp each gate from 5 us to 60 us below 1 %")).checks;
    expect(c).toMatchObject({
      measure: { words: "sweep error", shown: "share" },
      target: "ramp",
      unit: "",
      each: "gate",
      within: { from: 5e-6, to: 60e-6 },
      limit: { high: 0.01 },
    });
    expect(compile(check("peak of reset.current after 1 ms above 1 mA")).checks[0]).toMatchObject({
      target: "reset.current",
      unit: "A",
      after: 1e-3,
      limit: { low: 1e-3 },
    });
    expect(
      compile(check("crossing of ramp rising through 2 V between 1 us and 2 us")).checks[0],
    ).toMatchObject({
      unit: "s",
      through: { level: 2, direction: "rising" },
      limit: { low: 1e-6, high: 2e-6 },
    });
    expect(compile(check("slope of ramp from 10 us to 20 us is 66.7 V/ms +- 1 %")).checks[0].unit).toBe(
      "V/s",
    );
    expect(compile(check("charge of hold from 10 us to 20 us is 10 nC +- 1 %")).checks[0]).toMatchObject({
      target: "hold.current",
      unit: "C",
    });
    expect(compile(check("energy of hold before 1 ms below 1 J")).checks[0]).toMatchObject({
      target: "hold.power",
      unit: "J",
    });
    const { limit } = compile(check("peak of ramp is 4 V -5 % / +10 %")).checks[0];
    expect([limit.low, limit.high]).toEqual([3.8, 4.4]);
  });
  it.each([
    ["a limit of another dimension", "peak of ramp below 1 mA", "wrong-dimension"],
    ["a share where volts stand", "peak of ramp below 5 %", "wrong-dimension"],
    ["volts where a share stands", "sweep error of ramp below 1 V", "wrong-dimension"],
    ["volts where seconds stand", "rise time of ramp below 1 V", "wrong-dimension"],
    ["limits the wrong way round", "peak of ramp between 2 V and 1 V", "limit-order"],
    ["an exact value", "peak of ramp is 4 V", "exact-limit"],
    ["a span that ends before it starts", "peak of ramp from 2 ms to 1 ms below 1 V", "empty-span"],
    ["a crossing of no level", "crossing of ramp below 1 ms", "missing-property"],
    ["a value at no instant", "value of ramp below 1 V", "missing-property"],
    ["a level of another dimension", "crossing of ramp through 1 mA below 1 ms", "wrong-dimension"],
    ["an instant that is none", "value of ramp at 1 V below 1 V", "wrong-dimension"],
    ["a part without saying what of it", "peak of hold below 1 V", "which-aspect"],
    ["a measure that is none", "beauty of ramp below 1 V", "unknown-measure"],
    ["periods of nothing", "peak of ramp each gaet below 1 V", "unknown-place"],
    ["a case that is none", 'peak of ramp below 1 V in case "none"', "unknown-case"],
  ])("refused: %s", (_, words, expected) => {
    expect(code(check(words))).toEqual([expected]);
  });
  it("belong to the case they stand under, to the one they name, or to every case", () => {
    const design = compile(`${base}
check "drawn" peak of ramp below 9 V
check "all" floor of ramp below 9 V in every case
check "named" peak of ramp below 8 V in case "second"
case "first" hold open, gate scaled 0.9
check "first's" peak of ramp below 7 V
case "second" gate scaled 0.5
check "second's" peak of ramp below 6 V`);
    const names = (d: Design) => d.checks.map((c) => c.name);
    expect(names(design)).toEqual(["drawn", "all"]);
    expect(design.cases.map((c) => [c.caseName, names(c)])).toEqual([
      ["first", ["all", "first's"]],
      ["second", ["all", "named", "second's"]],
    ]);
  });
  it("which-aspect has a mend that compiles", () => {
    const [d] = inspect(check("peak of hold below 1 V")).diagnostics;
    expect(d.fix!.text).toBe("hold.current");
    expect(errors(check("peak of hold.current below 1 A"))).toEqual([]);
  });
});

describe("what others call ground", () => {
  const rest = "resistor r ramp -> gnd 1 kohm\nresistor s p -> gnd 1 kohm";
  const told = (text: string) => inspect(text).diagnostics.filter((d) => d.code === "ground-name");
  it.each(["gnd", "GND", "Gnd", "earth", "Ground", "0", "0V", "vss"])(
    "two parts that meet at '%s': a word, with its mend",
    (name) => {
      const text = base + rest.replaceAll("gnd", name);
      const [warning, ...more] = told(text);
      expect(warning).toMatchObject({ severity: "warning", hint: "the reference is called 'ground'" });
      expect(more).toEqual([]);
      expect(mend(text, warning.fix!)).toContain("ramp -> ground 1 kohm");
    },
  );
  it("a block's terminal of that name, a held place, and 'ground' itself are meant", () => {
    expect(told(`${base}supply gnd = 0 V\n${rest}`)).toEqual([]);
    expect(told(base + rest.replaceAll("gnd", "ground"))).toEqual([]);
    const block = `block load joins a, gnd\n  resistor r a -> gnd 1 kohm\n  resistor s a -> gnd 1 kohm\nend\n`;
    expect(told(`${block}${base}use load as one joins ramp, ground`)).toEqual([]);
  });
});
