// Units written out and their symbols. Names, prefixes and symbols: BIPM, SI Brochure (9th edition), tables 2, 4 and 7; the short forms
// are common practice, no source.
import { expect, it } from "vitest";
import { readUnit } from "../../src/base/quantity.js";
import { symbolOf } from "../../src/base/spelled.js";
import { compile } from "../../src/index.js";

it.each([
  ["volt", "V"],
  ["Millivolts", "mV"],
  ["microamperes", "uA"],
  ["amps", "A"],
  ["seconds", "s"],
  ["nanosecond", "ns"],
  ["usec", "us"],
  ["kilohertz", "kHz"],
  ["ohms", "ohm"],
  ["kilohms", "kohm"],
  ["megohm", "Mohm"],
  ["microfarads", "uF"],
  ["mfd", "uF"],
  ["millihenry", "mH"],
  ["kilowatts", "kW"],
  ["percent", "%"],
  ["degrees", "deg"],
])("%s is %s, which is a unit", (word, symbol) => {
  expect(symbolOf(word)).toBe(symbol);
  expect(readUnit(symbol)).toBeDefined();
});

it.each(["", "s", "V", "mV", "milli", "constructor", "voltage", "rampohm"])("%j is none of them", (word) => {
  expect(symbolOf(word)).toBeUndefined();
});

it("each is told its symbol where it stands in a design, and the mend is accepted", () => {
  for (const [word, symbol] of [
    ["millihenries", undefined],
    ["millihenry", "mH"],
    ["microhenrys", "uH"],
  ] as const) {
    const text = (unit: string) =>
      `supply p = 5 V\ninductor l p -> a 2 ${unit}\nresistor r a -> ground 1 kohm`;
    try {
      compile(text(word));
      expect.unreachable();
    } catch (error) {
      expect((error as { diagnostics: { code: string }[] }).diagnostics[0]).toMatchObject({
        code: "unknown-unit",
        ...(symbol && { hint: `did you mean '${symbol}'?` }),
      });
    }
    if (symbol) expect(compile(text(symbol)).parts).toHaveLength(3);
  }
});
