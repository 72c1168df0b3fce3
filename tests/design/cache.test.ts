// Designs read again with other values, of which most is taken over from the first reading: against the text with those
// values written into it, compiled as any other.
import { describe, expect, it } from "vitest";
import { Fraction } from "../../src/base/fraction.js";
import { revalued } from "../../src/design/revalue.js";
import { compile, type Design } from "../../src/index.js";

const text = (values: Readonly<Record<string, string>>) => {
  const v = (name: string, written: string) => values[name] ?? written;
  return `
given charge = ${v("charge", "1 mA")} +- 2 %
given twice = 2 * charge
given level = ${v("level", "2.5 V")}
supply plus12 = ${v("plus12", "12 V")} +- 5 %
signal gate = pulse 0 V to 2 * level, wide 4.7 us, every 64 us
signal idle = pulse 0 V to 1 V, wide 1 us, every 64 us
block sweep joins rail, gate_in, ramp
  given timing = ${v("line.timing", "15 nF")} +- 5 %
  given own = charge / 2
  current feed rail -> ramp own, headroom ${v("line.feed.headroom", "0.9 V")}
  capacitor hold ramp -> ground timing
  switch reset ramp -> ground closed while gate_in above level, open level - 100 mV, on 5 ohm
end
use sweep as line joins plus12, gate, ramp
resistor leak ramp -> ground ${v("leak", "1 Mohm")}
resistor load idle -> ground 1 kohm
run for 10 * 64 us
check "fills" peak of ramp each gate below 2 * level
check "idles" peak of idle below 2 V
case "hot" charge is ${v("hot", "1.5 mA")}
check "more" peak current of line.feed below twice
`;
};

/** What a design says, without where it is written. */
function said(design: Design): unknown {
  const plain = (key: string, value: unknown) => {
    if (key === "span" || typeof value === "function") return undefined;
    if (key === "kind" && typeof value === "object") return (value as { word?: string }).word ?? value;
    if (value instanceof Fraction) return value.toFraction();
    if (value instanceof Map || value instanceof Set) return [...value];
    return value;
  };
  // Of an amount that is set its own name is followed no more, which the text cannot say.
  return JSON.parse(JSON.stringify(design, plain), (key, value) => (key === "follows" ? undefined : value));
}

const si: Readonly<Record<string, readonly [string, Fraction]>> = {
  charge: ["1.25 mA", new Fraction("0.00125")],
  level: ["2 V", new Fraction(2)],
  "line.timing": ["18 nF", new Fraction("0.000000018")],
  "line.feed.headroom": ["1.5 V", new Fraction("1.5")],
  leak: ["470 kohm", new Fraction(470_000)],
  plus12: ["11 V", new Fraction(11)],
};

describe("a design with other values", () => {
  const names = Object.keys(si);
  // Every set of them: 63.
  const sets = Array.from({ length: 2 ** names.length - 1 }, (_, n) =>
    names.filter((_, k) => ((n + 1) >> k) & 1),
  );
  const design = compile(text({}));

  it("is that of the text with these values, whatever was set before", () => {
    for (const set of sets) {
      const written = compile(text(Object.fromEntries(set.map((name) => [name, si[name][0]]))));
      const made = revalued(design, new Map(set.map((name) => [name, si[name][1]])));
      expect(said(made), set.join()).toEqual(said(written));
    }
  });

  it("takes over what is made of nothing that was set, and reads what is", () => {
    const alike = (set: readonly string[]) => {
      const made = revalued(design, new Map(set.map((name) => [name, si[name][1]])));
      return made.parts.filter((part, i) => part !== design.parts[i]).map(({ name }) => name);
    };
    expect(alike(["leak"])).toEqual(["leak"]);
    expect(alike(["line.timing"])).toEqual(["line.hold"]);
    expect(alike(["line.feed.headroom"])).toEqual(["line.feed"]);
    expect(alike(["charge"])).toEqual(["line.feed"]);
    expect(alike(["level"])).toEqual(["gate", "line.reset"]);
    expect(alike([])).toEqual([]);
  });

  it("is told wrong where a value makes it so, and right again after that", () => {
    expect(() => revalued(design, new Map([["leak", new Fraction(-1)]]))).toThrow(/allowed is/);
    expect(said(revalued(design, new Map()))).toEqual(said(compile(text({}))));
  });
});
