// Blocks: circuits with places and values of their own, used as often as wanted. What a block sees, how its parts are
// named, and what is refused, after the language reference.
import { describe, expect, it } from "vitest";
import { compile, inspect, simulate } from "../../src/index.js";
import { errors } from "../bad/designs.js";

const sweep = `
block sweep joins rail, gate, ramp
  given timing = 15 nF
  given charge = 1 mA
  current   feed  rail -> ramp charge
  capacitor hold  ramp -> inner timing
  resistor  sense inner -> ground 1 ohm
  switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
end`;
const around = `
supply plus12 = 12 V
signal ls = pulse 0 V to 5 V, wide 4.7 us, every 64 us
${sweep}`;
const code = (text: string) => errors(text).map((e) => e.split(" ")[1]);

describe("a block", () => {
  const design = compile(`${around}
use sweep as line  joins plus12, ls, line_ramp
use sweep as other joins plus12, ls, other_ramp with charge 2 mA +- 2 %, timing 22 nF`);
  const value = (name: string) => design.parts.find((p) => p.name === name)!.value!;
  it("names its parts and places after the use", () => {
    expect(design.parts.map((p) => p.name)).toEqual([
      "plus12",
      "ls",
      "line.feed",
      "line.hold",
      "line.sense",
      "line.reset",
      "other.feed",
      "other.hold",
      "other.sense",
      "other.reset",
    ]);
    expect(design.places).toContain("line.inner");
    expect(design.places).toContain("line_ramp");
    expect(design.places).not.toContain("line.ramp");
  });
  it("takes values handed over, tolerances included, and else its own", () => {
    expect(value("line.feed").value.toFraction()).toBe("1/1000");
    expect(value("other.feed").value.toFraction()).toBe("1/500");
    expect(value("other.feed").low.toFraction()).toBe("49/25000");
    expect(value("other.hold").value.toFraction()).toBe("11/500000000");
  });
  it("is the same circuit as one written out", () => {
    const plain = compile(`supply plus12 = 12 V
      signal ls = pulse 0 V to 5 V, wide 4.7 us, every 64 us
      current feed plus12 -> ramp 1 mA
      capacitor hold ramp -> inner 15 nF
      resistor sense inner -> ground 1 ohm
      switch reset ramp -> ground closed while ls above 2.5 V, on 5 ohm`);
    const block = compile(`${around}\nuse sweep as line joins plus12, ls, line_ramp`);
    const [a, b] = [
      simulate(plain, { until: "500 us" }).trace("ramp"),
      simulate(block, { until: "500 us" }).trace("line_ramp"),
    ];
    expect(b.value).toEqual(a.value);
  });
  it("may be looked into by checks and changed by cases", () => {
    const text = `${around}
use sweep as line joins plus12, ls, line_ramp
check "inner" peak of line.inner below 1 V
check "current" peak of line.hold.current below 10 mA
case "leaky" line.hold is 10 nF, line.charge is 2 mA, line.sense short
check "x" peak of line_ramp below 20 V`;
    const { cases } = compile(text);
    expect(cases[0].parts.find((p) => p.name === "line.hold")!.value!.value.toFraction()).toBe("1/100000000");
    expect(cases[0].parts.find((p) => p.name === "line.feed")!.value!.value.toFraction()).toBe("1/500");
    expect(cases[0].parts.find((p) => p.name === "line.sense")!.fault).toBe("short");
  });
  it("inside another, with values handed through", () => {
    const nested = compile(`${around}
block pair joins rail, gate, a, b
  given both = 3 mA
  use sweep as one joins rail, gate, a with charge both
  use sweep as two joins rail, gate, b with charge both / 3
end
use pair as p joins plus12, ls, x, y with both 6 mA`);
    expect(nested.parts.find((p) => p.name === "p.one.feed")!.value!.value.toFraction()).toBe("3/500");
    expect(nested.parts.find((p) => p.name === "p.two.feed")!.value!.value.toFraction()).toBe("1/500");
  });
  it("sees the values of the design around it, not those of its user", () => {
    const text = (inside: string) => `
given around = 2 kohm
supply p = 5 V
block load joins a
  resistor r a -> ground ${inside}
end
block user joins a
  given own = 3 kohm
  use load as l joins a
end
use user as u joins p`;
    expect(
      compile(text("around"))
        .parts.find((p) => p.name === "u.l.r")!
        .value!.value.valueOf(),
    ).toBe(2000);
    expect(code(text("own"))).toEqual(["unknown-value"]);
  });
});

describe("refused", () => {
  it("a block that contains itself, at any remove, with the path", () => {
    const text = `supply p = 1 V\nresistor r p -> ground 1 ohm\nblock a joins x\nuse b as i joins x\nend\nblock b joins x\nuse c as i joins x\nend\nblock c joins x\nuse a as i joins x\nend\nuse a as top joins p`;
    expect(code(text)).toEqual(["block-cycle"]);
    expect(inspect(text).diagnostics[0].message).toContain("a → b → c → a");
  });
  it("too few places, values it has not, a value twice, a name twice", () => {
    expect(code(`${around}\nuse sweep as l joins plus12, ls`)).toEqual(["wrong-places"]);
    expect(code(`${around}\nuse sweep as l joins plus12, ls, x with chrage 1 mA`)).toEqual(["unknown-value"]);
    expect(code(`${around}\nuse sweep as l joins plus12, ls, x with charge 1 mA, charge 2 mA`)).toEqual([
      "repeated-property",
    ]);
    expect(
      code(`${around}\nuse sweep as l joins plus12, ls, x\nuse sweep as l joins plus12, ls, y`),
    ).toContain("name-twice");
  });
  it("a value of the wrong dimension, at the place where it is handed over", () => {
    const text = `${around}\nuse sweep as l joins plus12, ls, x with charge 1 V`;
    expect(code(text)).toEqual(["wrong-dimension"]);
  });
  it("statements that belong to a design alone", () => {
    for (const inside of ['title "x"', "run for 1 ms", 'case "x" r open', 'check "x" peak of a below 1 V']) {
      expect(
        code(
          `supply p = 1 V\nblock b joins a\nresistor r a -> ground 1 ohm\n${inside}\nend\nuse b as u joins p`,
        ),
      ).toContain("not-in-block");
    }
  });
  it("a switch in it that watches a place it was not handed", () => {
    const text = `${around.replace("while gate above", "while ls above")}\nuse sweep as l joins plus12, ls, x`;
    expect(code(text)).toEqual(["unknown-place"]);
  });
});
