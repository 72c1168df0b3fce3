// Pulses: how many, missing and too many; the instant of the field sync and its jitter between fields.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { compile, inspect, type Run, simulate, verify } from "../../src/index.js";
import { judge } from "../../src/measures/verdict.js";
import { limitText, marginText, measuredText, summaryText } from "../../src/report/verdicts.js";
import { make } from "../waveforms/making.js";
import { take } from "./taking.js";

/** Pulses of 5 V and 1 s, with true jumps, that begin at the instants given; to the end of second 20. */
const gate = (...starts: number[]) =>
  make(
    [0, ...starts.flatMap((t) => [t, t, t + 1, t + 1]), 20],
    [0, ...starts.flatMap(() => [0, 5, 5, 0]), 0],
  );
const through = { level: 2.5 };

describe("on traces made by hand", () => {
  it("counts rises, or falls where asked", () => {
    const three = gate(2, 7, 12.5);
    expect(take("pulses", three, { through })).toBe(3);
    expect(take("pulses", three, { through, from: 2.5 })).toBe(2);
    expect(take("pulses", three, { through: { level: 2.5, direction: "falling" }, from: 2.5 })).toBe(3);
    expect(take("pulses", three, { through: { level: 6 } })).toBe(0);
  });

  it.each([
    [[], 1, 0],
    [[3], 0, 0],
    [[3, 6], 0, 1],
    [[3, 6, 9, 12], 0, 3],
  ])(
    "of pulses at %j s, where there should be one, so many are missing and extra: %i, %i",
    (at, missing, extra) => {
      expect(take("missing pulses", gate(...at), { through })).toBe(missing);
      expect(take("extra pulses", gate(...at), { through })).toBe(extra);
    },
  );

  it("adjoining spans have those of the whole, each once", () => {
    const four = gate(1, 4, 9, 13);
    fc.assert(
      fc.property(fc.double({ min: 0, max: 20, noNaN: true }), (cut) => {
        const parts =
          take("pulses", four, { through, to: cut }) + take("pulses", four, { through, from: cut });
        expect(parts).toBe(4);
      }),
      { examples: [[1], [4], [13], [0], [20], [5]] },
    );
  });

  it("there is no number where the trace is not known", () => {
    const holed = make([0, 1, 2], [0, Number.NaN, 4]);
    for (const words of ["pulses", "missing pulses", "extra pulses"]) {
      expect(take(words, holed, { through })).toBeNaN();
      expect(take(words, gate(3), { through: { level: Number.NaN } })).toBeNaN();
      expect(take(words, gate(3), { through, to: 30 })).toBeNaN();
    }
  });
});

const done = (text: string, until?: string): Run => {
  const run = simulate(compile(text), until === undefined ? {} : { until });
  expect(run.reason).toBe("");
  return run;
};
const found = (run: Run) => new Map(verify(run).map((r) => [r.name, r]));

// In a frame of 625/50 (ITU-R BT.1700): 625 lines, of which 15 hold two half lines of equalising or broad pulses; so 610
// line pulses and 30 others, 320 pulses from the first broad pulse of a field to that of the next.
describe("the pulses of a camera", () => {
  it("are counted field by field and pulse by pulse", () => {
    const results = found(
      done(
        `signal camera = video of 625/50, bars
         check "a field"  pulses of camera falling through -0.2 V each camera.fields is 320
         check "not less" pulses of camera falling through -0.2 V each camera.fields is 319
         check "each"     pulses of camera falling through -0.2 V each camera.pulses is 1
         check "none"     missing pulses of camera falling through -0.2 V each camera.pulses is 0
         check "no more"  extra pulses of camera falling through -0.2 V each camera.pulses is 0`,
        "60 ms",
      ),
    );
    for (const name of ["a field", "each", "none", "no more"]) {
      expect(results.get(name)).toMatchObject({ pass: true, unit: "" });
    }
    expect(results.get("not less")).toMatchObject({ measured: 320, pass: false });
    expect(results.get("each")!.periods).toBeGreaterThan(950);
  });

  it("lost ones and false ones are found, and how many", () => {
    const run = done(
      `signal camera = video of 625/50, bars
       signal lines = line sync of 625/50, 0 V to 5 V
       signal false = pulse 0 V to 5 V, wide 1 us, first 30 us, every 128 us
       voltage sum both -> between 0 V, follows lines
       voltage more between -> ground 0 V, follows false
       resistor load both -> ground 1 kohm
       check "lost"   missing pulses of lines rising through 2.5 V each camera.pulses after 1 ms is 0
       check "extra"  extra pulses of lines rising through 2.5 V each camera.pulses after 1 ms is 0
       check "false"  extra pulses of both rising through 2.5 V each camera.lines after 1 ms is 0
       check "one"    missing pulses of both rising through 2.5 V each camera.lines after 1 ms is 0`,
      "85 ms",
    );
    const results = found(run);
    expect(results.get("lost")).toMatchObject({ measured: 1, pass: false });
    expect(results.get("extra")).toMatchObject({ measured: 0, pass: true });
    expect(results.get("false")).toMatchObject({ measured: 1, pass: false });
    expect(results.get("one")).toMatchObject({ measured: 0, pass: true });
    // A line sync has none for the second of the two pulses in 15 lines of a frame. The second frame: the run begins
    // inside the first pulse of the first one, which nobody saw come.
    const starts = run.periods("camera.pulses").filter((t) => t > 0.039999 && t < 0.080001);
    const trace = run.trace("lines");
    let missing = 0;
    for (let i = 0; i + 1 < starts.length; i++) {
      missing += take("missing pulses", trace, { from: starts[i], to: starts[i + 1], through });
    }
    expect([starts.length, missing]).toEqual([641, 15]);
  });
});

describe("limits on counts", () => {
  const told = (limit: string) =>
    inspect(
      `signal gate = pulse 0 V to 5 V, wide 1 us, every 64 us
       check "one" ${limit}`,
    ).diagnostics.map((d) => d.code);
  it("may be exact; those on measured values may not", () => {
    expect(told("pulses of gate rising through 2.5 V is 1")).toEqual([]);
    expect(told("pulses of gate rising through 2.5 V is 1 +- 1")).toEqual([]);
    expect(told("peak of gate is 5 V")).toEqual(["exact-limit"]);
    expect(told("pulses of gate rising through 2.5 V is 1 V")).toEqual(["wrong-dimension"]);
    expect(told("pulses of gate is 1")).toEqual(["missing-property"]);
  });

  it("are shown as plain numbers, without a margin where they are met exactly", () => {
    const result = (measured: number) => ({
      name: "one",
      case: "",
      what: "pulses of gate",
      measure: "pulses",
      measured,
      unit: "",
      shown: "count" as const,
      limit: { low: 1, high: 1 },
      ...judge(measured, { low: 1, high: 1 }),
    });
    expect([measuredText(result(1), 1), limitText(result(1)), marginText(result(1))]).toEqual([
      "1",
      "exactly 1",
      "",
    ]);
    expect([measuredText(result(3), 3), marginText(result(3))]).toEqual(["3", "-200 %"]);
    expect(summaryText([result(1)])).toBe("The one check passed.");
    const wide = { ...result(1), name: "wide", limit: { high: 2 }, margin: 0.5 };
    expect(summaryText([result(1), wide])).toContain('The tightest is "wide"');
    expect(summaryText([result(3), wide])).toContain('"one"');
  });
});

describe("the instant of the field sync", () => {
  // Fields of 625/50 are 20 ms apart, interlaced or not (312.5 lines of 64 us, ITU-R BT.1700).
  const fields = (late: string, more = "") =>
    `signal camera = video of 625/50, black
     signal found = path 0 V at 50 us, 5 V at 51 us, 5 V at 200 us, 0 V at 201 us, 0 V at 20050 us + ${late},
       5 V at 20051 us + ${late}, 5 V at 20200 us + ${late}, 0 V at 20201 us + ${late}, every 40 ms
     check "instant" crossing of found rising through 2.5 V each camera.fields is 50.5 us +- 0.1 us
     check "stands" jitter of found rising through 2.5 V below 1 ns
     check "beat" period of found rising through 2.5 V is 20 ms +- 0.001 %
     ${more}`;

  it("counts from the first broad pulse of each field, and does not jitter where it is alike in all", () => {
    const results = found(done(fields("0 us"), "130 ms"));
    for (const r of results.values()) expect(r).toMatchObject({ pass: true });
    expect(Math.abs(results.get("instant")!.measured - 50.5e-6)).toBeLessThan(1e-12);
    expect(results.get("stands")!.measured).toBeLessThan(1e-12);
    expect(results.get("instant")!.periods).toBe(6);
  });

  it("half a line late in every other field it is off by that, and jitters by that", () => {
    // Successive instants are 20 ms + d and 20 ms − d apart. Over an even number of them the mean is 20 ms, and one
    // departs from it by d; over an odd number n the mean is 20 ms ± d/n, and the farthest departs by d (1 + 1/n).
    const d = 32e-6;
    const text = fields(
      "32 us",
      `check "even" jitter of found rising through 2.5 V before 90 ms below 1 ns
       check "odd" jitter of found rising through 2.5 V before 70 ms below 1 ns`,
    );
    const results = found(done(text, "130 ms"));
    expect(results.get("instant")).toMatchObject({ pass: false });
    expect(Math.abs(results.get("instant")!.measured - 82.5e-6)).toBeLessThan(1e-12);
    expect(Math.abs(results.get("even")!.measured - d)).toBeLessThan(1e-12);
    expect(Math.abs(results.get("odd")!.measured - (4 / 3) * d)).toBeLessThan(1e-12);
  });
});

describe("what stands on the border of two periods", () => {
  // A period of a signal begins at the half height of its edge, at 0H of sync (ITU-R BT.1700), or at the middle of a rising sine. So
  // the passage through that level is the one of each period, by definition, wherever rounding leaves both.
  it.each([
    ["a pulse with edges", "pulse 0 V to 5 V, wide 4.7 us, every 64 us, edges 200 ns"],
    [
      "a pulse with edges, its time no decimal",
      "pulse 0 V to 5 V, wide 4.7 us, every 64 us / 3, edges 200 ns",
    ],
    ["line sync of 625", "line sync of 625/50, 0 V to 5 V, edges 200 ns"],
    ["line sync of 525", "line sync of 525/59.94, 0 V to 5 V, edges 200 ns"],
    ["a sine", "sine 0 V to 5 V, at 15625 Hz"],
    ["a triangle", "path 2.5 V at 0 s, 5 V at 16 us, 0 V at 48 us, 2.5 V at 63.3 us, every 63.3 us"],
  ])("%s passes its middle once in each of its own", (_, wave) => {
    for (const load of ["", "resistor half gate -> out 1 kohm"]) {
      const run = done(
        `signal gate = ${wave}
         ${load || "voltage same gate -> out 0 V"}
         resistor load out -> ground 1 kohm
         check "once" pulses of out rising through ${load ? "1.25 V" : "2.5 V"} each gate is 1
         check "none" missing pulses of out rising through ${load ? "1.25 V" : "2.5 V"} each gate is 0
         check "there" crossing of out rising through ${load ? "1.25 V" : "2.5 V"} each gate below 1 ns`,
        "2 ms",
      );
      for (const r of found(run).values()) expect(r).toMatchObject({ pass: true });
    }
  });
});
