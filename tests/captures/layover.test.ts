// Captures laid over runs: samples made by the closed form of the sweep, with an instrument's steps, noise, gain and offset.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import {
  compile,
  crossings,
  type DesignError,
  fit as fitted,
  type Held,
  layOver,
  readCapture,
  simulate,
  verify,
} from "../../src/index.js";
import { captureText, type Instrument, lineSweep, sweep } from "./generator.js";

const design = compile(readFileSync(new URL("../../examples/line.ramp", import.meta.url), "utf8"));
const run = simulate(design, { until: "2 ms" });
const instrument: Instrument = { samples: 8000, interval: 50e-9, begin: 17.3e-6, step: 5 / 256, noise: 0.01 };
const made = (how: Partial<Instrument> = {}, values = lineSweep, seed = 1) =>
  readCapture(captureText(sweep(values), { ...instrument, ...how }, seed), { name: "ramp.csv" });
const code = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    return (error as DesignError).diagnostics[0].code;
  }
};

// Where the switch closes, by the sync itself; the capture begins 17.3 us later, on any line.
const closes = crossings(run.trace("gate"), 0, 2e-3, 2.5).find((c) => c.direction === "rising")!.time;
const late = (delay: number) => {
  const lines = (delay - closes - instrument.begin) / 64e-6;
  return Math.abs(lines - Math.round(lines)) * 64e-6;
};

describe("laid over", () => {
  it("finds where the capture lies, to a tenth of a sample's distance, and leaves the noise", () => {
    const laid = layOver(run, { capture: made(), of: "ramp" });
    expect(late(laid.delay)).toBeLessThan(5e-9);
    expect(laid.correlation).toBeGreaterThan(0.999);
    // Noise of 10 mV, and a step of 20 mV by the root of twelve (JCGM 100:2008, F.2.2.1).
    const expected = Math.hypot(0.01, 5 / 256 / Math.sqrt(12));
    expect(Math.abs(laid.rms / expected - 1)).toBeLessThan(0.1);
    expect(laid.time).toHaveLength(8000);
    expect(laid.residual[123]).toBe(laid.captured[123] - laid.simulated[123]);
  });

  // Begun at rest, the first field has no charge left over: the floor of the others is higher by the top times exp(-155.3 us / RC), 5 mV.
  it("a capture of a board that has run for long lies where the run repeats, not over its start", () => {
    const field = compile(`supply plus12 = 12 V
signal gate = field sync of 625/50, 0 V to 5 V, edges 200 ns
current feed plus12 -> ramp 0.94 mA, headroom 0.9 V, output 2 Mohm
capacitor hold ramp -> ground 4.7 uF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for 100 ms
`);
    const values = { ...lineSweep, current: 0.94e-3, capacitance: 4.7e-6, period: 20e-3, reset: 155.3e-6 };
    const long = simulate(field);
    // A field is no whole number of samples, so a grid of them hits the edges of one and misses those of the next.
    for (const begin of [3.1e-3, 5e-3, 11.6e-3, 15e-3]) {
      const how = { samples: 1000, interval: 61.7e-6, begin, step: 1e-5, noise: 1e-4 };
      const laid = layOver(long, { capture: made(how, values), of: "ramp" });
      expect(laid.delay).toBeCloseTo(begin + 20e-3, 6);
      // Scatter of 0.1 mV; over the first field the miss would be ten times that.
      expect(laid.rms).toBeLessThan(1.1e-4);
    }
  });

  // Of two resets the second is taken early and late by turns; at a delay of 207 us it lies beyond the end of the run. Where the first
  // is as well, the place one sample beside that one overlaps the run by one sample more, and is no better for it.
  it.each([
    [0, 60],
    [30, 100],
  ])(
    "no place is preferred because samples %s and %s ns off an edge do not overlap the run there",
    (first, second) => {
      const curve = sweep(lineSweep);
      const rows = Array.from({ length: 2000 }, (_, k) => {
        const [t, off] = [k * 64e-9, (k > 1000 ? second : first) * 1e-9];
        return `${t.toExponential(6)},${curve(15e-6 + t + (k % 2 === 0 ? off : -off)).toFixed(4)}`;
      });
      const capture = readCapture(`t (s),ramp (V)\n${rows.join("\n")}\n`);
      const laid = layOver(simulate(design, { until: "280 us" }), { capture, of: "ramp" });
      expect(laid.time).toHaveLength(2000);
      expect(((laid.delay * 1e6) % 64) - 15).toBeCloseTo(0, 1);
    },
  );

  it("every check on the trace is measured on both", () => {
    const laid = layOver(run, { capture: made({ noise: 0, step: 1e-5 }), of: "ramp" });
    const names = design.checks.filter((c) => c.target === "ramp").map((c) => c.name);
    expect(laid.checks.map((c) => c.name)).toEqual(names);
    const peak = laid.checks[0];
    const judged = verify(run)[0];
    expect(peak.simulated).toBeCloseTo(judged.measured, 4);
    expect(peak.captured).toBeCloseTo(judged.measured, 2);
    // The tolerance of 3.95 V +- 3 % is 118.5 mV.
    expect(peak.share).toBeCloseTo((peak.captured - peak.simulated) / (0.03 * 3.95), 9);
    expect(peak.pass).toBe(true);
  });

  it("a part that is off shows in the figures: 16 nF in place of 15 nF lowers the peak by a sixteenth", () => {
    const capture = made({ noise: 0, step: 1e-5 }, { ...lineSweep, capacitance: 16e-9 });
    const [peak] = layOver(run, { capture, of: "ramp" }).checks;
    expect(peak.captured / peak.simulated).toBeCloseTo(15 / 16, 2);
    expect(peak.pass).toBe(false);
  });

  it("gain and offset of the instrument are found and taken out", () => {
    const capture = made({ gain: 1.03, offset: -0.05, noise: 0.005 });
    const laid = layOver(run, { capture, of: "ramp", uncalibrated: true });
    expect(laid.gain).toBeCloseTo(1.03, 3);
    expect(laid.offset).toBeCloseTo(-0.05, 2);
    expect(laid.rms).toBeLessThan(0.01);
  });

  it("a probe that divides by ten", () => {
    const capture = made({ gain: 0.1, step: 1e-4, noise: 1e-4 });
    const laid = layOver(run, { capture, of: "ramp", attenuated: 10 });
    expect(laid.rms).toBeLessThan(2e-3);
  });

  it("aligned by an edge, and by a delay that is known", () => {
    const capture = made({ noise: 0, step: 1e-5 });
    const edge = layOver(run, { capture, of: "ramp", align: { level: 2, direction: "rising" } });
    expect(late(edge.delay)).toBeLessThan(2e-9);
    const known = layOver(run, { capture, of: "ramp", align: { delay: edge.delay } });
    expect(known.rms).toBe(edge.rms);
  });

  it("of lines that are all alike one is taken where the checks look", () => {
    const later = compile(`title "Nest-box monitor, line sweep"
supply plus12 = 12 V
signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
current   feed  plus12 -> ramp 1.00 mA, headroom 0.9 V, output 2 Mohm
capacitor hold  ramp -> ground 15 nF
switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for 2 ms
check "fills the tube" peak of ramp each gate after 1 ms is 3.95 V +- 3 %
`);
    const laid = layOver(simulate(later), { capture: made({ samples: 4000 }), of: "ramp" });
    expect(laid.time[0]).toBeGreaterThan(1e-3);
    expect(laid.checks.map((c) => [c.name, c.told, c.pass])).toEqual([["fills the tube", true, true]]);
  });

  describe("aligned by another channel's edge", () => {
    // The sync of 625 lines is 4.7 us at half of its height (ITU-R BT.1700); the ramp's channel may show anything.
    const pair = (curve: (t: number) => number, sync: (t: number) => number) => {
      const rows = Array.from({ length: 4000 }, (_, k) => {
        const t = instrument.begin + k * 50e-9;
        return `${(k * 50e-9).toExponential(6)},${curve(t).toFixed(4)},${(sync(t) / 10).toFixed(4)}`;
      });
      return readCapture(`t (s),ramp (V),gate (V)\n${rows.join("\n")}\n`, { name: "both.csv" });
    };
    const into = (t: number) => t - 64e-6 * Math.floor(t / 64e-6);
    const gate = (t: number) => (into(t) < 4.7e-6 ? 5 : 0);
    const by: Held["align"] = { level: 2.5, direction: "rising", trigger: "gate", seen: 2, attenuated: 10 };

    it("lies where the sync is, to a sample, even where the ramp shows one value only", () => {
      const good = layOver(run, { capture: pair(sweep(lineSweep), gate), channel: 1, of: "ramp", align: by });
      expect(late(good.delay)).toBeLessThan(50e-9);
      // Half a sample's distance is a third of the time constant with which the ramp comes back.
      expect(good.correlation).toBeGreaterThan(0.99);
      const flat = layOver(run, { capture: pair(() => 5.6, gate), channel: "ramp", of: "ramp", align: by });
      expect(late(flat.delay)).toBeLessThan(50e-9);
      expect(flat.checks.find((c) => c.name === "fills the tube")).toMatchObject({ told: true, pass: false });
    });

    it("no sync to align on is said, with the channel", () => {
      const none = pair(sweep(lineSweep), () => 0);
      const act = () => layOver(run, { capture: none, channel: 1, of: "ramp", align: by });
      expect(code(act)).toBe("no-edge");
      expect(act).toThrow(/both\.csv, where it shows 'gate', never goes through 2\.5 V, rising/);
    });

    it("a fit begins there", () => {
      const capture = pair(sweep({ ...lineSweep, capacitance: 16e-9 }), gate);
      const { values } = fitted(design, {
        values: ["timing"],
        captures: [{ capture, channel: 1, of: "ramp", align: by }],
        simulate: { until: "400 us" },
      });
      // Four places of the table are a step of 0.1 mV.
      expect(values[0].value / 16e-9).toBeCloseTo(1, 3);
    });

    it.each<[string, string, Held["align"]]>([
      ["a channel that is not there", "unknown-channel", { ...by, seen: 3 }],
      ["a trigger that is not there", "unknown-trace", { ...by, trigger: "gaet" }],
      ["a word of its own", "bad-option", { ...by, channel: 2 } as unknown as Held["align"]],
    ])("%s is refused", (_, expected, align) => {
      const capture = pair(sweep(lineSweep), gate);
      expect(code(() => layOver(run, { capture, channel: 1, of: "ramp", align }))).toBe(expected);
    });
  });

  it.each<[string, string, () => Partial<Held>]>([
    ["a channel that is not there", "unknown-channel", () => ({ channel: 2 })],
    ["a trace that is not there", "unknown-trace", () => ({ of: "rump" })],
    ["a voltage against a current", "wrong-dimension", () => ({ of: "feed.current" })],
    [
      "one value only",
      "flat-capture",
      () => ({ capture: readCapture("t,a\n0,1\n1e-6,1\n2e-6,1\n3e-6,1\n") }),
    ],
    ["a level that is never reached", "no-edge", () => ({ align: { level: 9, direction: "rising" } })],
    ["a delay beyond the run", "no-overlap", () => ({ align: { delay: 1 } })],
    ["no attenuation", "bad-option", () => ({ attenuated: 0 })],
    ["a capture upside down", "no-match", () => ({ capture: made({ gain: -1, samples: 4000 }) })],
    ["noise alone", "no-match", () => ({ capture: made({ gain: 0, noise: 1, samples: 4000 }) })],
  ])("%s is refused", (_, expected, held) => {
    expect(code(() => layOver(run, { capture: made({ samples: 3000 }), of: "ramp", ...held() }))).toBe(
      expected,
    );
  });
});
