// Values fitted to captures made by the closed form of the sweep, whose hidden values are known: the simulator is fitted to
// samples that it has not made.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { compile, type DesignError, type FitOptions, fit as fitted, readCapture } from "../../src/index.js";
import { captureText, type Instrument, lineSweep, sweep } from "./generator.js";

const design = compile(readFileSync(new URL("../../examples/line.ramp", import.meta.url), "utf8"));
const simulate = { until: "400 us" };
const instrument: Instrument = { samples: 1600, interval: 120e-9, begin: 9e-6, step: 5 / 256, noise: 0.02 };
const made = (values: Partial<typeof lineSweep>, seed: number, how: Partial<Instrument> = {}) =>
  readCapture(captureText(sweep({ ...lineSweep, ...values }), { ...instrument, ...how }, seed), {
    name: "ramp.csv",
  });
const code = (options: Partial<FitOptions>) => {
  try {
    const capture = made({}, 1);
    fitted(design, { values: ["timing"], captures: [{ capture, of: "ramp" }], simulate, ...options });
  } catch (error) {
    return (error as DesignError).diagnostics[0].code;
  }
};

describe("fitted", () => {
  it("the hidden values lie within 3.9 standard uncertainties (one in 10 000 would not), and most within two", () => {
    let within = 0;
    for (let trial = 0; trial < 6; trial++) {
      const hidden = { capacitance: (13.5 + 0.5 * trial) * 1e-9, on: 8 + trial };
      const capture = made(hidden, 100 + trial);
      const found = fitted(design, {
        values: ["timing", { name: "reset.on", from: "1 ohm", to: "100 ohm" }],
        captures: [{ capture, of: "ramp" }],
        simulate,
      });
      expect(found.settled).toBe(true);
      expect(found.units).toEqual(["F", "Ω"]);
      expect(found.inseparable).toEqual([]);
      [hidden.capacitance, hidden.on].forEach((truth, i) => {
        const { value, uncertainty, interval } = found.values[i];
        expect(Math.abs(value - truth) / uncertainty).toBeLessThan(3.9);
        if (interval.low <= truth && truth <= interval.high) within++;
      });
      // Noise of 20 mV, and a step of 20 mV by the root of twelve; of n samples it is known to 1 / sqrt(2 n).
      const { deviation, samples } = found.instruments[0];
      const expected = Math.hypot(0.02, 5 / 256 / Math.sqrt(12));
      expect(Math.abs(deviation / expected - 1)).toBeLessThan(4 / Math.sqrt(2 * samples));
    }
    expect(within).toBeGreaterThanOrEqual(9);
  });

  it("charge, timing and the switch act by their ratios alone: said so, and no interval is made up", () => {
    const capture = made({ capacitance: 14e-9 }, 7);
    const options = { captures: [{ capture, of: "ramp" }], simulate };
    const all = fitted(design, { values: ["timing", "charge", "reset.on"], ...options });
    const [first] = all.inseparable;
    const share = (name: string) => first.shares[first.values.indexOf(name)];
    expect([...first.values].sort()).toEqual(["charge", "reset.on", "timing"]);
    // I/C is the slope, I R the foot, R C the fall: I and C up by as much as R is down change none of them.
    expect(share("charge") / share("timing")).toBeCloseTo(1, 1);
    expect(share("reset.on") / share("timing")).toBeCloseTo(-1, 1);
    const [timing, charge] = all.values;
    expect(timing.uncertainty).toBeGreaterThan(0.5 * timing.value);
    // What moves nothing is not followed: the values stay near where they began, and few runs are spent: ends of
    // intervals are looked at along the valley, where the runs stay good.
    expect(charge.value / 1e-3).toBeGreaterThan(0.7);
    expect(charge.value / 1e-3).toBeLessThan(1.4);
    expect(all.runs).toBeLessThan(80);
    // What the captures do know is the quotient: 1 mA / 14 nF, in volts a second.
    expect(charge.value / timing.value / (1e-3 / 14e-9)).toBeCloseTo(1, 2);
  });

  it("a gain that is not known takes its share of the uncertainty", () => {
    const capture = made({ capacitance: 14e-9 }, 8, { gain: 1.02, offset: 0.03 });
    const of = "ramp";
    const plain = fitted(design, { values: ["timing"], captures: [{ capture, of }], simulate });
    const scaled = fitted(design, {
      values: ["timing"],
      captures: [{ capture, of, uncalibrated: true }],
      simulate,
    });
    expect(scaled.values[0].uncertainty).toBeGreaterThan(3 * plain.values[0].uncertainty);
  });

  it("two captures of several traces count by how far they scatter", () => {
    const good = made({ capacitance: 14e-9 }, 9, { noise: 0.005, step: 0.002 });
    const bad = made({ capacitance: 14e-9 }, 10, { noise: 0.3 });
    const of = "ramp";
    const one = fitted(design, { values: ["timing"], captures: [{ capture: good, of }], simulate });
    const two = fitted(design, {
      values: ["timing"],
      captures: [
        { capture: good, of },
        { capture: bad, of },
      ],
      simulate,
    });
    expect(two.instruments[1].deviation).toBeCloseTo(0.3, 1);
    // A bad capture beside a good one adds next to nothing, and spoils nothing.
    expect(two.values[0].uncertainty / one.values[0].uncertainty).toBeGreaterThan(0.85);
    expect(two.values[0].uncertainty / one.values[0].uncertainty).toBeLessThan(1.15);
    expect(Math.abs(two.values[0].value - 14e-9)).toBeLessThan(4 * two.values[0].uncertainty);
  });

  it.each<[string, string, Partial<FitOptions>]>([
    ["nothing to fit", "bad-option", { values: [] }],
    ["nothing to fit to", "bad-option", { captures: [] }],
    ["a value that is not there", "bad-option", { values: ["timming"] }],
    ["a range that does not rise", "bad-option", { values: [{ name: "timing", from: "2 nF", to: "1 nF" }] }],
    [
      "a case that is not there",
      "bad-option",
      { captures: [{ capture: made({}, 1), of: "ramp", case: "snowed in" }] },
    ],
    [
      "six samples",
      "too-few-samples",
      { captures: [{ capture: made({}, 1, { samples: 6, interval: 6e-6 }), of: "ramp" }] },
    ],
  ])("%s is refused", (_, expected, options) => {
    expect(code(options)).toBe(expected);
  });
});
