// What may be wrong with what comes from the bench, each by its name: a typed diagnostic or a plain answer, bounded in time and memory.
import { mkdtempSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it, onTestFinished } from "vitest";
import { captureIn } from "../../src/files/capturefile.js";
import {
  compile,
  DesignError,
  fit as fitted,
  type Held,
  layOver,
  match,
  readCapture,
  readingsFrom,
  simulate,
} from "../../src/index.js";
import { captureText, type Instrument, lineSweep, sweep } from "./generator.js";

const text = `title "Nest-box monitor, line sweep"
given timing = 15 nF +- 5 %
supply plus12 = 12 V
signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
current   feed  plus12 -> ramp 1.00 mA, headroom 0.9 V, output 2 Mohm
capacitor hold  ramp -> ground timing
switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for 400 us
check "fills the tube" peak of ramp each gate is 3.95 V +- 3 %
`;
const design = compile(text);
const run = simulate(design);
const usual: Instrument = { samples: 900, interval: 200e-9, begin: 21e-6, step: 5 / 256, noise: 0.01 };
const made = (how: Partial<Instrument> = {}, values = lineSweep) =>
  readCapture(captureText(sweep(values), { ...usual, ...how }, 3), { name: "ramp.csv" });
const table = (rows: readonly string[]) =>
  readCapture(`t (s),a (V)\n${rows.join("\n")}\n`, { name: "ramp.csv" });
const told = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    if (error instanceof DesignError)
      return error.diagnostics.map(({ code, span }) => `${code} ${span.line}:${span.column}`);
    throw error;
  }
  return [];
};
const of = "ramp";
const laid = (held: Partial<Held>) => told(() => layOver(run, { capture: made(), of, ...held }));

describe("the file", () => {
  it("time runs backwards", () => {
    expect(told(() => table(["0,1", "2e-6,2", "1e-6,3", "3e-6,4"]))).toEqual(["time-backwards 4:1"]);
  });

  it("time stands", () => {
    expect(told(() => table(["0,1", "1e-6,2", "1e-6,3", "2e-6,4"]))).toEqual(["time-stands 4:1"]);
  });

  it("NaN cells", () => {
    expect(told(() => table(["0,1", "1e-6,NaN", "2e-6,3", "3e-6,nan"]))).toEqual([
      "no-number 3:6",
      "no-number 5:6",
    ]);
  });

  it("a file of 2 GB, of which nothing is read", () => {
    const folder = mkdtempSync(join(tmpdir(), "rampwright-"));
    onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
    const file = join(folder, "long.csv");
    // All of it a hole: no disk is filled.
    writeFileSync(file, "t (s),a (V)\n0,1\n1e-6,2\n");
    truncateSync(file, 2e9);
    expect(told(() => captureIn(file, { name: "long.csv" }))).toEqual(["too-many-samples 1:1"]);
  });
});

describe("against a run", () => {
  it("a channel that is not there", () => {
    expect(laid({ channel: 4 })).toEqual(["unknown-channel 1:1"]);
  });

  it("a unit of current against a voltage", () => {
    const amperes = readCapture("t (s),a (A)\n0,1\n1e-6,2\n2e-6,1\n", { name: "feed.csv" });
    expect(laid({ capture: amperes })).toEqual(["wrong-dimension 1:1"]);
    expect(laid({ of: "feed.current" })).toEqual(["wrong-dimension 1:1"]);
  });

  it("a capture shorter than a period: no period is measured, and that is said", () => {
    const { checks, rms } = layOver(run, { capture: made({ samples: 150 }), of });
    expect(checks.map((c) => [c.told, /no whole period/.test(c.reason ?? "")])).toEqual([[false, true]]);
    // It is laid over all the same: noise of 10 mV, and a step by the root of twelve.
    expect(rms).toBeLessThan(0.05);
  });

  it("a check that has a value in the capture and none in the run decides nothing, and says why", () => {
    // Crosses 4.5 V only where the instrument shows a quarter too much.
    const asks = compile(
      `${text}check "crosses" crossing of ramp rising through 4.5 V after 40 us above 1 us\n`,
    );
    const [, crosses] = layOver(simulate(asks), { capture: made({ gain: 1.25 }), of }).checks;
    expect(crosses.captured).toBeGreaterThan(0);
    expect([crosses.simulated, crosses.scatter]).toEqual([Number.NaN, Number.NaN]);
    expect([crosses.told, crosses.reason]).toEqual([false, expect.stringMatching(/^the run has no value: /)]);
  });

  it("a capture shorter than a period is no reading of floor and peak, and one of a period is", () => {
    const read = (samples: number) => () => readingsFrom(design, { capture: made({ samples }), of });
    // A line is 64 us.
    expect(told(read(310))).toEqual(["short-capture 1:1"]);
    expect(read(330)().map((r) => r.what)).toContain("peak of ramp");
  });

  it("no sync to align on: a flat trace, noise, an edge that is not there", () => {
    expect(laid({ capture: table(["0,1", "1e-6,1", "2e-6,1", "3e-6,1"]) })).toEqual(["flat-capture 1:1"]);
    expect(laid({ capture: made({ gain: 0, noise: 1 }) })).toEqual(["no-match 1:1"]);
    expect(laid({ align: { level: 9, direction: "rising" } })).toEqual(["no-edge 1:1"]);
  });
});

describe("a fit", () => {
  it("ten values fitted to ten samples", () => {
    const ladder = compile(`signal s = pulse 0 V to 5 V, wide 50 us, every 100 us
${Array.from({ length: 10 }, (_, k) => `resistor r${k} ${k === 0 ? "s" : `n${k - 1}`} -> n${k} 1 kohm`).join("\n")}
capacitor c n9 -> ground 1 nF
run for 100 us
`);
    const rows = Array.from({ length: 10 }, (_, k) => `${k * 5}e-6,${(5 - 4 * 0.6 ** k).toFixed(3)}`);
    const values = Array.from({ length: 10 }, (_, k) => `r${k}`);
    const captures = [{ capture: table(rows), of: "n9", align: { delay: 0 } }];
    expect(told(() => fitted(ladder, { values, captures }))).toEqual(["too-few-samples 1:1"]);
  });

  it("a value at its bound: said, and no uncertainty made up", () => {
    const capture = made({}, { ...lineSweep, capacitance: 18e-9 });
    const { values } = fitted(design, {
      values: [{ name: "timing", from: "10 nF", to: "16 nF" }],
      captures: [{ capture, of }],
    });
    expect(values[0]).toMatchObject({ atEnd: true });
    expect(values[0].value).toBeCloseTo(16e-9, 12);
    expect(values[0].uncertainty).toBeNaN();
  });

  it("readings that contradict each other: two captures of one place, between which the fit stands, with what is left", () => {
    const [one, two] = [14e-9, 17e-9].map((capacitance) => made({}, { ...lineSweep, capacitance }));
    const { values, instruments } = fitted(design, {
      values: ["timing"],
      captures: [
        { capture: one, of },
        { capture: two, of },
      ],
    });
    expect(values[0].value).toBeGreaterThan(14e-9);
    expect(values[0].value).toBeLessThan(17e-9);
    // Far more than the noise of 10 mV and the step: at least one of them is not explained.
    expect(Math.max(...instruments.map((i) => i.deviation))).toBeGreaterThan(0.1);
  });

  it("no capture at all", () => {
    expect(told(() => match(design))).toEqual(["bad-option 1:1"]);
  });
});
