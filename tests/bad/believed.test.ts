// Limits that are no mistakes to cross, or are told without a number: just below, at, and just above. No outside source: these are the
// promises of the library.
import { describe, expect, it } from "vitest";
import { Assembly } from "../../src/assembly/assemble.js";
import { ratio } from "../../src/base/fraction.js";
import { takenReadings } from "../../src/diagnosis/readings.js";
import { Desk } from "../../src/editor/desk.js";
import { compile, readSymptoms, symptoms } from "../../src/index.js";
import { packedText, unpackedText } from "../../src/live/linkedtext.js";
import { commonPeriod } from "../../src/simulation/periods.js";

const rc = compile(`supply p = 5 V
given load = 1 kohm +- 5 %
resistor r p -> out load
capacitor c out -> ground 1 uF
check "full" peak of out below 6 V`);

describe("what is believed", () => {
  const table = symptoms(rc, { simulate: { until: "1 us" } });

  it("1e12: the largest reading", () => {
    const read = (value: number) => takenReadings(table, [{ what: "peak of out", value }]);
    const largest = 1e12;
    for (const value of [largest - 1, largest, -largest]) expect(read(value)).toHaveLength(1);
    for (const value of [largest + 1, -largest - 1]) expect(() => read(value)).toThrow(/no instrument shows/);
  });

  it("1e15: the largest entry of a table of symptoms", () => {
    const [row, ...rest] = table.rows;
    const read = (value: number) =>
      readSymptoms({ ...table, rows: [{ ...row, values: row.values.map(() => value) }, ...rest] });
    const largest = 1e15;
    for (const value of [largest - 1, largest, -largest]) expect(read(value).rows[0].values[0]).toBe(value);
    for (const value of [largest + 1, -largest - 1])
      expect(() => read(value)).toThrow(/no table of symptoms/);
  });

  it("1e6 of the shortest period in the common one of all signals, for a settled start", () => {
    const most = 1e6;
    const common = (slow: number) => {
      const design = compile(`signal fast = sine 0 V to 1 V, at 1 MHz
signal slow = pulse 0 V to 1 V, wide 1 us, every ${slow} us
resistor r fast -> out 1 kohm
resistor s slow -> out 1 kohm
capacitor c out -> ground 1 nF`);
      return commonPeriod(design, Assembly.of(design, ratio(1, 1000), []).system);
    };
    for (const n of [most - 1, most]) expect(common(n)).toEqual(ratio(n, 1_000_000));
    expect(common(most + 1)).toMatch(/no common period within 1000000 of the shortest/);
  });

  it("1 000 000 characters that an editor looks at", () => {
    const desk = new Desk("");
    const told = (length: number) =>
      desk.look("", `#${"x".repeat(length - 1)}`).diagnostics.map(({ code }) => code);
    const most = 1_000_000;
    for (const length of [most - 1, most]) expect(told(length)).not.toContain("not-looked-at");
    expect(told(most + 1)).toEqual(["not-looked-at"]);
  });

  it("1 000 000 bytes of a text that comes in by a link", async () => {
    const most = 1_000_000;
    for (const length of [most - 1, most]) {
      const text = "x".repeat(length);
      expect(await unpackedText(await packedText(text))).toBe(text);
    }
    expect(await unpackedText(await packedText("x".repeat(most + 1)))).toBeUndefined();
  });
});
