// Every limit of texts, designs and runs, just below, at, and just above (those of how large a design may be stand in
// large.test.ts). No outside source: these are the promises of the library.
import { describe, expect, it, vi } from "vitest";
import { Report } from "../../src/base/diagnostic.js";
import { compile, type Diagnostic, inspect, type Run, simulate } from "../../src/index.js";
import { limitCorners } from "../../src/signals/corners.js";
import { refuseBeyondBytes } from "../../src/simulation/foresight.js";
import { limits as read } from "../../src/syntax/limits.js";
import { cut, plainlyBeyond } from "../../src/syntax/lines.js";
import { far, idle, tryLimits } from "./beside.js";

const rc = "supply p = 12 V\nresistor r p -> ground 1 kohm\n";
const times = (n: number, line: (i: number) => string) =>
  Array.from({ length: n }, (_, i) => `${line(i)}\n`).join("");
const of = (text: string) => inspect(text).diagnostics;
/** What cutting a text into statements says of it, without reading them. */
const cutting = (source: readonly string[]) => {
  const report = new Report();
  let statements = 0;
  for (const _ of cut(source, report)) statements++;
  expect(statements).toBeGreaterThan(0);
  return report.diagnostics;
};
const comments = (characters: number) => {
  const line = `#${"x".repeat(2 ** 18 - 2)}\n`;
  const text = rc + line.repeat(Math.floor((characters - rc.length) / line.length));
  return text + "\n".repeat(characters - text.length);
};
const sum = (signs: number) => `1${"+1".repeat(signs)}`;

describe("how much is read", () => {
  tryLimits([
    {
      what: "characters of a text",
      limit: read.text,
      code: "text-too-long",
      option: far,
      heavy: true,
      at: (n) => of(comments(n)),
    },
    {
      what: "characters of a line",
      limit: read.line,
      code: "line-too-long",
      option: far,
      at: (n) => of(`${rc}#${"x".repeat(n - 1)}`),
    },
    {
      what: "words and signs of a text",
      limit: read.tokens,
      code: "text-too-long",
      option: far,
      heavy: true,
      // Of ten each, but for the last line.
      at: (n) =>
        cutting([
          ...Array.from({ length: Math.floor((n - 2) / 10) }, () => "given a = 1 + 1 + 1 V # x"),
          `x${" x".repeat(1 + ((n - 2) % 10))}`,
        ]),
    },
    {
      what: "statements",
      limit: read.statements,
      code: "too-many-statements",
      option: far,
      heavy: true,
      at: (n) => cutting(new Array<string>(n).fill("end")),
    },
    {
      what: "statements, one on a line",
      limit: read.statements,
      code: "too-many-statements",
      option: far,
      // What plainly is too much is not read: only the mistake of the last line is told, that it is one too many.
      at: (n) => (plainlyBeyond(new Array<string>(n).fill("end")) === undefined ? [] : of("end\n".repeat(n))),
    },
    {
      what: "brackets in brackets",
      limit: read.depth,
      code: "too-deep",
      option: far,
      at: (n) => of(`${rc}given a = ${"(".repeat(n)}1${")".repeat(n)}`),
    },
    {
      what: "blocks written in blocks",
      limit: read.depth,
      code: "too-deep",
      option: far,
      at: (n) =>
        of(
          rc +
            times(n, (i) => `block b${i} joins a`) +
            "resistor r a -> ground 1 ohm\n" +
            times(n, () => "end"),
        ).filter(({ code }) => code === "too-deep"),
    },
    {
      what: "signs of arithmetic in an expression",
      limit: read.signs,
      code: "too-deep",
      option: far,
      at: (n) => of(`${rc}given a = ${sum(n)}`),
    },
    {
      what: "digits of a number that is written",
      limit: 60,
      code: "number-range",
      option: far,
      at: (n) => of(`${rc}given a = 1.${"3".repeat(n - 1)} V`),
    },
    {
      what: "decades of a large number",
      limit: 40,
      says: /1e40/,
      code: "number-range",
      option: far,
      at: (n) => of(`${rc}given a = 1e${n} V`),
    },
    {
      what: "decades of a small number",
      limit: 40,
      says: /1e-40/,
      code: "number-range",
      option: far,
      at: (n) => of(`${rc}given a = 1e-${n} V`),
    },
    {
      what: "decades of seconds of a long run",
      limit: 12,
      says: /to 1e12 s/,
      code: "out-of-range",
      option: far,
      at: (n) => of(`${rc}run for 1e${n} s`),
    },
    {
      what: "decades of a second of a short run",
      limit: 18,
      says: /from 1e-18 s/,
      code: "out-of-range",
      option: idle,
      at: (n) => of(`${rc}run for 1e-${n} s`),
    },
    {
      what: "uses of blocks in one another",
      limit: 32,
      code: "too-deep",
      option: far,
      at: (n) =>
        of(
          rc +
            times(n + 1, (i) =>
              i < n
                ? `block b${i} joins a\nuse b${i + 1} as x joins a\nend`
                : `block b${i} joins a\nresistor r a -> ground 1 ohm\nend`,
            ) +
            "use b0 as x joins p",
        ),
    },
  ]);

  it("100 mistakes are told, and of one more that there are more", () => {
    const mistakes = (n: number) => of(rc + times(n, (i) => `resistor q${i} p -> ground nope${i}`));
    expect([99, 100].map((n) => mistakes(n).length)).toEqual([99, 100]);
    const more = mistakes(101);
    expect([more.length, more[100].code]).toEqual([101, "too-many"]);
    expect(more[100].message).toContain("1 more");
  });
});

describe("how much a wave may hold", () => {
  tryLimits([
    {
      what: "corners of noise or video",
      limit: 4_000_000,
      code: "too-many-corners",
      option: { none: "less detail, or a shorter repeat, is what is asked for in the text" },
      at: (n) => {
        try {
          limitCorners(n, "this noise");
        } catch {
          // The same from a text, where the limit is told with its place.
          return of(`${rc}signal s = noise 1 V, spacing 1 ns, every ${n} ns, seed 1`);
        }
        return [];
      },
    },
    {
      what: "corners of a capture that drives",
      limit: 300_000,
      code: "too-many-corners",
      option: { none: "a shorter stretch, or a coarser scale, is what is asked for in the text" },
      heavy: true,
      at: (n) => {
        // Up and down again: each sample is a corner.
        const time = Float64Array.from({ length: n }, (_, i) => i * 1e-6);
        const value = time.map((_, i) => i % 2);
        const channels = [{ name: "1", unit: "V", value, resolution: 1e-3 }];
        const captures = () => ({ name: "one.csv", time, channels, holes: [] });
        const text = `signal s = capture "one.csv"\nresistor r s -> ground 1 kohm`;
        return inspect(text, { captures }).diagnostics;
      },
    },
    {
      what: "times that the shortest period goes into the common one",
      limit: 1_000_000,
      code: "no-period",
      option: { none: "a run to the end of such a period would take ages: start it steady, or from rest" },
      at: (n) => {
        const text = `signal a = sine 0 V to 1 V, at 1 Hz
          signal b = sine 0 V to 1 V, at ${n} Hz
          resistor r a -> x 1 kohm
          resistor s b -> x 1 kohm
          capacitor c x -> ground 1 nF`;
        const run = simulate(compile(text), { until: "1 us", start: "settled", limits: { steps: 1 } });
        // Whether there is a period is known before the first step; the budget ends what would come then.
        return run.code === "no-period" ? stopped(run) : [];
      },
    },
  ]);
});

/** How a run ended, as a diagnostic would say it. */
const stopped = ({ status, code, reason }: Run): readonly Partial<Diagnostic>[] =>
  status === "complete" ? [] : [{ severity: "error", code, message: reason }];

describe("how much a run may take", () => {
  const sweep = compile(`signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us, edges 200 ns
    current feed ground -> ramp 1 mA
    capacitor hold ramp -> ground 15 nF
    switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
    check "fills" peak of ramp each gate below 5 V`);
  const smooth = compile("supply p = 5 V\nresistor r p -> x 1 kohm\ncapacitor c x -> ground 1 uF");
  const until = "640 us";
  const { steps } = simulate(sweep, { until }).statistics;
  // 1500 samples of one state: room for 2048, of a tick (8 bytes), a number of modes (4), a side (1), two sets of bits and 8 bytes.
  const room = 2048 * (8 + 4 + 1 + 2 + 8);
  const stepping = { until: "1.5 ms", step: "1 us", start: "rest", method: "trapezoid" } as const;

  it("of many steps, here", () => expect(steps).toBeGreaterThan(10));
  tryLimits([
    {
      what: "steps and corners, as a budget",
      limit: steps,
      says: /limit on steps/,
      code: "steps",
      option: "limits.steps",
      // One more than allowed is a run of so many with one less allowed.
      at: (n) => stopped(simulate(sweep, { until, limits: { steps: 2 * steps - n } })),
    },
    {
      what: "steps that are asked for",
      limit: 1000,
      code: "bad-option",
      option: "limits.steps",
      at: (n) => stopped(simulate(smooth, { until: n * 1e-6, step: "1 us", limits: { steps: 1000 } })),
    },
    {
      what: "periods that a check counts by",
      limit: 10,
      code: "bad-option",
      option: "limits.periods",
      at: (n) => stopped(simulate(sweep, { until: n * 64e-6, limits: { periods: 10 } })),
    },
    {
      what: "periods that are asked for afterwards",
      limit: 10,
      code: "bad-option",
      option: "limits.periods",
      at: (n) => {
        const unchecked = { ...sweep, checks: [] };
        simulate(unchecked, { until: n * 64e-6, limits: { periods: 10 } }).periods("gate");
      },
    },
    {
      what: "bytes of recording, as a budget",
      limit: room,
      says: /limit on the size/,
      code: "recording",
      option: "limits.bytes",
      at: (n) => stopped(simulate(smooth, { ...stepping, limits: { bytes: 2 * room - n } })),
    },
    {
      what: "bytes of equations",
      limit: 1e9,
      says: /1\.0 GB/,
      code: "bad-option",
      option: "limits.bytes",
      at: (n) => refuseBeyondBytes({ bytes: n } as never, 1e9),
    },
    {
      what: "milliseconds of computing, setting up included",
      limit: 1000,
      says: /limit on time/,
      code: "time",
      option: "limits.seconds",
      at: (n) => {
        // A clock of our own: begun at zero, and so far at every later look.
        let looks = 0;
        const now = vi.spyOn(performance, "now").mockImplementation(() => (looks++ === 0 ? 0 : n));
        try {
          return stopped(simulate(sweep, { until, limits: { seconds: 1 } }));
        } finally {
          now.mockRestore();
        }
      },
    },
    {
      what: "samples of a block that is handed on",
      limit: 2 ** 24,
      code: "bad-option",
      option: "stream.size",
      heavy: true,
      at: (size) => stopped(simulate(sweep, { until, stream: { traces: ["ramp"], block: () => {}, size } })),
    },
    {
      what: "modes of a part",
      limit: 256,
      code: "bad-kind",
      option: { none: "modes are counted in a byte" },
      at: (n) => {
        const modes = Array.from({ length: n }, (_, i) => `mode ${i}`);
        const make = () => ({
          modes,
          stamp: (_: number, into: { resistor: (a: number, b: number, ohms: number) => void }) =>
            into.resistor(1, 0, 1000),
          // Each leads to the next, so that all of them are entered.
          guards: (mode: number) =>
            mode + 1 < n ? [{ of: { a: 1, b: 0 }, side: "above", level: 1e9, to: mode + 1 }] : [],
        });
        const kind = {
          word: "stair",
          summary: "a part of many modes",
          equations: ["i = v / 1 kohm"],
          properties: [],
          make,
        };
        return inspect(`${rc}stair s p -> ground`, { kinds: [kind as never] }).diagnostics;
      },
    },
    {
      what: "values of a grid",
      limit: 5e7,
      code: "range-error",
      option: idle,
      at: (n) => grid(n),
    },
  ]);
});

/** A grid of so many values, up to where memory is taken for it. */
function grid(values: number): readonly Partial<Diagnostic>[] {
  const trace = simulate(compile(rc), { until: "1 s" }).trace("p");
  const whole = globalThis.Float64Array;
  class Taken extends Error {}
  try {
    vi.stubGlobal(
      "Float64Array",
      class {
        constructor(length: number) {
          expect(length).toBe(values);
          throw new Taken();
        }
      },
    );
    trace.resample(1 / (values - 1));
    return [];
  } catch (error) {
    if (error instanceof Taken) return [];
    // This tells a program that it asked for what makes no sense, and is no diagnostic.
    if (!(error instanceof RangeError)) throw error;
    return [{ severity: "error", code: "range-error", message: error.message }];
  } finally {
    vi.stubGlobal("Float64Array", whole);
  }
}
