// Traces as text: RFC 4180, formulas disarmed, NaN and negative zero, jumps.
import { describe, expect, it } from "vitest";
import { csvLines, schemaVersion, toJson } from "../../src/waveforms/csvjson.js";
import type { Trace } from "../../src/waveforms/trace.js";
import { make } from "./making.js";

const named = (name: string, time: number[], value: number[], unit = "V") =>
  make(time, value, undefined, undefined, name, unit);

const toCsv = (traces: readonly Trace[]) => [...csvLines(traces)].join("");

describe("csvLines", () => {
  it("writes a header, shortest numbers, and CR LF (RFC 4180, section 2)", () => {
    expect(toCsv([named("ramp", [0, 0.1, 0.2000001], [0, -0.30000000000000004, 1e21])])).toBe(
      "time (s),ramp (V)\r\n0,0\r\n0.1,-0.30000000000000004\r\n0.2000001,1e+21\r\n",
    );
  });

  it("joins the instants of all traces, interpolates, and leaves cells outside a trace empty", () => {
    expect(toCsv([named("a", [0, 2, 4], [0, 2, 4]), named("b", [1, 3], [10, 30], "A")])).toBe(
      "time (s),a (V),b (A)\r\n0,0,\r\n1,1,10\r\n2,2,20\r\n3,3,30\r\n4,4,\r\n",
    );
  });

  it("has two rows of one time at a jump, for every trace", () => {
    expect(toCsv([named("a", [0, 1, 1, 2], [0, 0, 5, 5]), named("b", [0, 2], [0, 2])])).toBe(
      "time (s),a (V),b (V)\r\n0,0,0\r\n1,0,1\r\n1,5,1\r\n2,5,2\r\n",
    );
  });

  it.each([
    ["=1+1", `"'=1+1 (V)"`],
    ["+x", `"'+x (V)"`],
    ["-x", `"'-x (V)"`],
    ["@x", `"'@x (V)"`],
    ["\tx", `"'\tx (V)"`],
    ['a"b', `"a""b (V)"`],
    ["a,b", `"a,b (V)"`],
    ["a\nb", `"a\nb (V)"`],
    ["plain", "plain (V)"],
  ])("makes the name %j safe in the header", (name, cell) => {
    expect(csvLines([named(name, [0], [0])]).next().value).toBe(`time (s),${cell}\r\n`);
  });

  it("leaves negative numbers numbers, negative zero 0, and says NaN", () => {
    expect(toCsv([named("a", [-1, 0, 1], [-2.5, -0, Number.NaN])])).toBe(
      "time (s),a (V)\r\n-1,-2.5\r\n0,0\r\n1,NaN\r\n",
    );
  });
});

describe("toJson", () => {
  it("reads back to the same doubles", () => {
    const value = [0.1 + 0.2, 5e-324, 1.7976931348623157e308, -1 / 3];
    const back = JSON.parse(toJson([named("a", [0, 1, 2, 3], value)]));
    expect(back.traces[0].value).toEqual(value);
    expect(back.schemaVersion).toBe(schemaVersion);
    expect(back.notes).toEqual([]);
  });

  it("gives traces that share their instants one list of them, each trace its own otherwise", () => {
    const traces = [
      named("a", [0, 1, 1], [1, 2, 3]),
      named("b", [0, 2], [4, 5]),
      named("c", [0, 1, 1], [6, 7, 8]),
    ];
    const back = JSON.parse(toJson(traces));
    expect(back.times).toEqual([
      [0, 1, 1],
      [0, 2],
    ]);
    expect(back.traces).toEqual([
      { name: "a", unit: "V", time: 0, value: [1, 2, 3] },
      { name: "b", unit: "V", time: 1, value: [4, 5] },
      { name: "c", unit: "V", time: 0, value: [6, 7, 8] },
    ]);
  });

  it("writes what JSON lacks as null with a note, and negative zero as 0", () => {
    const json = toJson([named("a", [0, 1, 2], [-0, Number.NaN, Number.NEGATIVE_INFINITY])], {
      margin: Number.NEGATIVE_INFINITY,
      checks: [{ measured: Number.NaN, low: -0 }],
    });
    expect(json).not.toContain("-0");
    const back = JSON.parse(json);
    expect(back.traces[0].value).toEqual([0, null, null]);
    expect(back.margin).toBeNull();
    expect(back.notes).toEqual([
      "extra.margin is -Infinity, written as null",
      "extra.checks[0].measured is NaN, written as null",
      "a.value[1] is NaN, written as null",
      "a.value[2] is -Infinity, written as null",
    ]);
  });

  it("takes names like __proto__ as names", () => {
    const back = JSON.parse(toJson([named("__proto__", [0], [1])], JSON.parse('{"__proto__":{"x":1}}')));
    expect(back.traces[0].name).toBe("__proto__");
    expect(Object.hasOwn(back, "__proto__")).toBe(true);
  });
});

describe("any locale, no clock, no chance", () => {
  it("gives the same bytes when clock, chance and locale functions throw", () => {
    const trace = named("a", [0, 1 / 3], [-1e-9, 1234567.891]);
    const before = toCsv([trace]) + toJson([trace]);
    const forbid = () => {
      throw new Error("forbidden");
    };
    const kept = [Math.random, Date.now, Number.prototype.toLocaleString] as const;
    try {
      Math.random = forbid;
      Date.now = forbid;
      Number.prototype.toLocaleString = forbid;
      expect(toCsv([trace]) + toJson([trace])).toBe(before);
    } finally {
      Math.random = kept[0];
      Date.now = kept[1];
      Number.prototype.toLocaleString = kept[2];
    }
  });
});
