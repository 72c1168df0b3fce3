// Captures in the language: one drives a place, others are held against traces, checks are asked of them; and what is wrong with
// them is told where the text names them.
import { describe, expect, it } from "vitest";
import {
  type CompileOptions,
  compile,
  inspect,
  match,
  simulate,
  toNumber,
  verifyCaptured,
  withValues,
} from "../../src/index.js";
import { format } from "../../src/syntax/layout.js";
import { evens } from "../captures/generator.js";

/** A triangle of 8 bits: 0 V to 5 V to 0 V in 2 ms, a sample every microsecond; what is exact is two straight stretches. */
const step = 5 / 256;
const triangle = (t: number) => 5 * (1 - Math.abs(1 - t / 1e-3));
const rows = Array.from({ length: 2001 }, (_, k) => {
  const seen = Math.round(triangle(k * 1e-6) / step) * step;
  return `${(k * 1e-6).toFixed(6)},${seen.toFixed(6)},${(seen / 10).toFixed(7)}`;
});
const table = `time (s),jack (V),tenth (V)\n${rows.join("\n")}\n`;
const captures: CompileOptions["captures"] = (path) => (path === "jack.csv" ? table : undefined);

const head = `resistor load jack -> out 1 kohm
resistor under out -> ground 1 kohm
`;
const driven = (rest = "") => `signal jack = capture "jack.csv", channel 1${rest}\n${head}run for 3 ms\n`;
const told = (text: string, content = captures) =>
  inspect(text, { captures: content }).diagnostics.map((d) => `${d.span.line}:${d.span.column} ${d.code}`);

describe("a capture that drives", () => {
  const design = compile(driven(), { captures });
  const shape = design.parts[0].wave!.shape;
  const corners = shape.kind === "segments" ? shape.corners : [];

  it("is straight stretches within half of a step of its samples, with corners at samples, exactly", () => {
    expect(corners.length).toBeGreaterThan(1);
    expect(corners.length).toBeLessThan(2001 / 5);
    const trace = simulate(design).trace("jack");
    for (let k = 0; k <= 2000; k++) {
      const sample = Math.round(triangle(k * 1e-6) / step) * step;
      expect(Math.abs(trace.at(k * 1e-6) - sample)).toBeLessThanOrEqual(step / 2 + 1e-6);
    }
    for (const { time } of corners) {
      // Microseconds, no matter how they are rounded in binary.
      expect(time.mul(1_000_000).d).toBe(1n);
    }
    // What comes behind the last sample stays.
    expect(trace.at(2.9e-3)).toBe(trace.at(2e-3));
  });

  it("repeats, comes later, is scaled, and is seen through a probe", () => {
    const again = simulate(compile(driven(", every 2 ms"), { captures }), { until: "4 ms" }).trace("jack");
    expect(again.at(3.1e-3)).toBeCloseTo(again.at(1.1e-3), 9);
    const late = simulate(compile(driven(", delay 100 us"), { captures })).trace("jack");
    expect(late.at(1.1e-3)).toBeCloseTo(5, 1);
    const tenth = driven(", attenuated 10").replace("channel 1", "channel tenth");
    expect(simulate(compile(tenth, { captures })).trace("jack").at(1e-3)).toBeCloseTo(5, 1);
    expect(
      simulate(compile(driven(", scaled 0.5"), { captures }))
        .trace("jack")
        .at(1e-3),
    ).toBeCloseTo(2.5, 1);
  });

  it("is noise as it stands, where no stretch is straight", () => {
    const next = evens(3);
    const noisy = `t (s),a (V)\n${Array.from({ length: 500 }, (_, k) => `${k}e-6,${(Math.round(200 * next()) / 40).toFixed(3)}`).join("\n")}\n`;
    const shape = compile(driven(), { captures: () => noisy }).parts[0].wave!.shape;
    const values =
      shape.kind === "segments" ? shape.corners.map((c) => [toNumber(c.time), toNumber(c.value)]) : [];
    const lines = noisy
      .split("\n")
      .slice(1, -1)
      .map((row) => row.split(",").map(Number));
    for (const [time, value] of values)
      expect(lines.some(([t, v]) => Math.abs(t - time) < 1e-12 && Math.abs(v - value) < 1e-12)).toBe(true);
  });

  it("is read once for all cases and values", () => {
    let asked = 0;
    const text = `${driven()}case "half" load is 3 kohm\n`;
    const counted = compile(text, {
      captures: () => {
        asked++;
        return table;
      },
    });
    withValues(counted, { load: "2 kohm" });
    expect(asked).toBe(1);
  });
});

describe("a capture that is held against a trace", () => {
  const text = `${driven()}capture "jack.csv" of jack, channel 1
check "top" peak of jack is 5 V +- 2 % in capture
check "reaches" peak of jack above 4.9 V
case "half" load is 3 kohm
capture "jack.csv" of out, channel jack, delay 0 s, uncalibrated
`;
  it("belongs to the case that it stands under, and is matched there", () => {
    const found = match(compile(text, { captures }));
    expect(found.captures.map((one) => [one.of, one.case])).toEqual([
      ["jack", ""],
      ["out", "half"],
    ]);
    expect(found.captures[0].checks.map((c) => [c.name, c.inCapture ?? false, c.pass])).toEqual([
      ["reaches", false, true],
      ["top", true, true],
    ]);
    // A quarter of the jack is at the place: 1 kohm under 3 kohm.
    expect(found.captures[1].gain).toBeCloseTo(4, 3);
    expect(found.pass).toBe(true);
  });

  it("a check in capture is none of the run's, and judged by itself", () => {
    const design = compile(text, { captures });
    expect(design.checks.map((c) => c.name)).toEqual(["reaches"]);
    const [found, ...more] = verifyCaptured(simulate(design));
    expect(more).toEqual([]);
    expect(found).toMatchObject({ name: "top", pass: true, capture: "jack.csv" });
    // The triangle's top is 5 V, seen to a step of 20 mV.
    expect(Math.abs(found.measured - 5)).toBeLessThan(step);
    // (5.1 V − 5 V) / 0.2 V, from the nearer bound as a share of the band.
    expect(found.margin).toBeCloseTo(Math.min(found.measured - 4.9, 5.1 - found.measured) / 0.2, 6);
    const low = compile(text.replace("is 5 V +- 2 % in", "is 4 V +- 2 % in"), { captures });
    expect(verifyCaptured(simulate(low))[0].pass).toBe(false);
    // Where the capture cannot be laid over the run there is no value, and a reason.
    const beside = compile(text.replace("jack, channel 1\ncheck", "jack, channel 1, delay 1 s\ncheck"), {
      captures,
    });
    expect(verifyCaptured(simulate(beside))[0]).toMatchObject({ pass: false, measured: Number.NaN });
    expect(verifyCaptured(simulate(beside))[0].reason).toContain("does not lie over the run");
  });

  it("is aligned by another channel's edge", () => {
    const by = driven().replace(
      "run for",
      'capture "jack.csv" of out, channel 1, edge 2.5 V rising, trigger jack, seen tenth\nrun for',
    );
    expect(compile(by, { captures }).captures[0].held.align).toEqual({
      level: 2.5,
      direction: "rising",
      trigger: "jack",
      seen: "tenth",
    });
    expect(format(by).text).toContain("edge 2.5 V rising, trigger jack, seen tenth");
  });

  it("is laid out, and means the same again", () => {
    const messy = text.replace("jack, channel 1", "jack ,channel   1");
    const laid = format(messy).text!;
    expect(laid).toContain('capture "jack.csv" of out, channel jack, delay 0 s, uncalibrated');
    expect(laid).toMatch(/check "top" +peak of jack is 5 V \+- 2 % in capture/);
    expect(format(laid).text).toBe(laid);
  });
});

describe("what is wrong", () => {
  const held = (statement: string) => `${driven()}${statement}\n`;
  it.each<[string, string, string[]]>([
    ["a file that is not there", driven().replace("jack.csv", "jak.csv"), ["1:23 unknown-capture"]],
    ["a channel that is not there", driven().replace("channel 1", "channel 7"), ["1:15 unknown-channel"]],
    ["no channel where there are two", driven().replace(", channel 1", ""), ["1:15 unknown-channel"]],
    ["half a channel", driven().replace("channel 1", "channel 1.5"), ["1:35 property-form"]],
    ["a word that a capture has not", driven(", wide 3 us"), ["1:46 unknown-property"]],
    [
      "a capture of a place that is not there",
      held('capture "jack.csv" of oot, channel 1'),
      ["5:23 unknown-place"],
    ],
    ["held against a part", held('capture "jack.csv" of load, channel 1'), ["5:23 which-aspect"]],
    [
      "volts against a current",
      held('capture "jack.csv" of load.current, channel 1'),
      ["5:23 wrong-dimension"],
    ],
    [
      "an edge without its direction",
      held('capture "jack.csv" of out, channel 1, edge 2 V'),
      ["5:39 property-form"],
    ],
    [
      "an edge and a delay",
      held('capture "jack.csv" of out, channel 1, edge 2 V rising, delay 1 s'),
      ["5:1 aligned-twice"],
    ],
    [
      "a trigger without an edge",
      held('capture "jack.csv" of out, channel 1, trigger jack, seen 2'),
      ["5:1 trigger-form"],
    ],
    [
      "a trigger without a channel",
      held('capture "jack.csv" of out, channel 1, edge 2 V rising, trigger jack'),
      ["5:1 trigger-form"],
    ],
    [
      "a trigger that is not there",
      held('capture "jack.csv" of out, channel 1, edge 2 V rising, trigger jak, seen 2'),
      ["5:64 unknown-place"],
    ],
    [
      "a trigger that is no name",
      held('capture "jack.csv" of out, channel 1, edge 2 V rising, trigger 3 V, seen 2'),
      ["5:56 property-form"],
    ],
    [
      "a current as a trigger",
      held('capture "jack.csv" of out, channel 1, edge 2 V rising, trigger load.current, seen 2'),
      ["5:64 wrong-dimension"],
    ],
    [
      "a case that is not there",
      held('capture "jack.csv" of out in case "x", channel 1'),
      ["5:35 unknown-case"],
    ],
    ["a check in no capture", held('check "a" peak of out below 3 V in capture'), ["5:1 no-capture"]],
    [
      "a check in another capture",
      held('check "a" peak of out below 3 V in capture "b.csv"'),
      ["5:44 no-capture"],
    ],
    [
      "in a block",
      'block b joins p\ncapture "jack.csv" of p, channel 1\nend\nuse b as c joins jack\n' + driven(),
      ["2:1 not-in-block"],
    ],
  ])("%s", (_, text, expected) => {
    expect(told(text)).toEqual(expected);
  });

  it("nobody hands captures in", () => {
    const [first] = inspect(driven()).diagnostics;
    expect(first.code).toBe("unknown-capture");
    expect(first.hint).toContain("captures: (path)");
  });

  it.each<[string, string, string, RegExp]>([
    ["time runs backwards", "t,a\n1,2\n3,4\n2,5\n5,6\n", "time-backwards", /jack\.csv, row 4, column 1/],
    ["time stands", "t,a\n1,2\n3,4\n3,5\n5,6\n", "time-stands", /row 4, column 1/],
    ["a word among numbers", "t,a\n1,2\n2,3\n3,4\n4,x\n5,6\n", "no-number", /row 5, column 2/],
    ["nothing", "", "no-samples-found", /jack\.csv/],
  ])("a file in which %s, with its row and column", (_, content, code, message) => {
    const [first] = inspect(driven(), { captures: () => content }).diagnostics;
    expect([first.code, first.span.line, first.span.column]).toEqual([code, 1, 23]);
    expect(first.message).toMatch(message);
  });

  it("a file that cannot be used, as the caller says", () => {
    const [first] = inspect(driven(), { captures: () => ({ reason: "it is locked" }) }).diagnostics;
    expect(first.code).toBe("unusable-capture");
    expect(first.message).toContain("it is locked");
  });

  it("a capture in amperes drives no voltage", () => {
    const amperes = "t (s),a (A)\n0,1\n1,2\n2,3\n";
    expect(told(driven(), () => amperes)).toEqual(["1:15 capture-unit"]);
  });
});
