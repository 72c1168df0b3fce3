// The mean of a wave against closed forms: shares of time by the standards' tables, areas, Fourier's series.
import { describe, expect, it } from "vitest";
import { Fraction, one, toNumber, zero } from "../../src/base/fraction.js";
import { packedWave } from "../../src/signals/corners.js";
import { meanLevel } from "../../src/signals/mean.js";
import { noise } from "../../src/signals/noise.js";
import { sync } from "../../src/signals/sync.js";
import { video } from "../../src/signals/video.js";
import { constant, gated, pathWave, pulse, scaled, sine, type Wave } from "../../src/signals/wave.js";

const f = (text: string) => new Fraction(text);
const point = (time: string, value: string) => ({ time: f(time), value: f(value) });
const number = (wave: Wave) => toNumber(meanLevel(wave)!);

describe("exactly", () => {
  it.each([
    ["a level", constant(f("3/7")), "3/7"],
    ["a sine", sine({ low: f("-1"), high: f("2"), frequency: f("50") }), "1/2"],
    // Edges are symmetrical about half height, so the width at half height counts: 1/5 + 4 · 3/10.
    [
      "a pulse",
      pulse({ low: f("1/5"), high: f("21/5"), width: f("3"), period: f("10"), edges: f("1"), first: f("9") }),
      "7/5",
    ],
    ["a triangle", pathWave({ points: [point("0", "0"), point("1", "4")], period: f("4") }), "2"],
    // −300 mV · 4.7 µs/64 µs (ITU-R BT.1700 tables 1, 2).
    [
      "a blank line",
      sync("625/50", "line", { low: zero, high: f("-3/10"), edges: f("1/5000000") }),
      "-0.02203125",
    ],
  ] as const)("%s", (_, wave, value) => {
    expect(meanLevel(wave)!.equals(f(value))).toBe(true);
    expect(meanLevel(scaled(wave, f("-3")))!.equals(f(value).mul(-3))).toBe(true);
  });

  // Shares of a frame: line, equalising and broad pulses (ITU-R BT.1700 tables 2, 3; SMPTE 170M-2004 table 3), and of
  // white 574 whole lines of 52 µs and two halves of 20 µs (625 lines: field blanking is 25 H + 12 µs).
  const tips = (0.3 * (610 * 4.7 + 20 * 2.35 + 10 * 27.3)) / 40e3;
  it.each([
    ["625/50", "black", -tips],
    ["625/50", "white", (0.7 * (574 * 52 + 2 * 20)) / 40e3 - tips],
    ["525/59.94", "black", ((-2 / 7) * (507 * 4.7 + 24 * 2.3 + (12 * 2437) / 90)) / ((525 * 572) / 9)],
  ] as const)("a frame of %s, %s", (system, kind, volts) => {
    const wave = video({ system, pattern: { kind }, ...(system !== "625/50" && { setup: "0" }) });
    expect(Math.abs(number(wave) / volts - 1)).toBeLessThan(1e-14);
  });
});

it("noise has none", () => {
  const wave = noise({ rms: one, spacing: f("1/1000"), length: one, seed: 3 });
  expect(Math.abs(number(wave))).toBeLessThan(1e-15);
});

it("what does not repeat has no mean, what is gated has that of what runs at time zero", () => {
  expect(meanLevel(pathWave({ points: [point("0", "0"), point("1", "4")] }))).toBeUndefined();
  const wave = sine({ low: f("1"), high: f("2"), frequency: one });
  expect(meanLevel(gated(wave, { stops: one }))!.equals(f("3/2"))).toBe(true);
  const train = pulse({ low: one, high: f("3"), width: one, period: f("2") });
  expect(meanLevel(gated(train, { starts: one }))!.equals(one)).toBe(true);
  expect(meanLevel(gated(train, { stops: zero }))!.equals(one)).toBe(true);
});

describe("a carrier", () => {
  // Components that rise and fall again as a triangle over the length.
  const length = 8;
  const triangle = Float64Array.of(0, 1);
  const times = Float64Array.of(0, length / 2);
  const carried = (frequency: Fraction, which: "sine" | "cosine") => {
    const carrier = { frequency, sine: new Float64Array(2), cosine: new Float64Array(2), [which]: triangle };
    return packedWave({ unit: one, times, values: new Float64Array(2), length, carrier });
  };
  it("whole in the length leaves what Fourier's series of its envelope has of it: −4/π²n² of a triangle, halved", () => {
    for (const n of [1, 3])
      expect(Math.abs(number(carried(f(`${n}/8`), "cosine")) + 2 / (Math.PI * n) ** 2)).toBeLessThan(1e-15);
    expect(Math.abs(number(carried(f("2/8"), "cosine")))).toBeLessThan(1e-15);
    expect(Math.abs(number(carried(f("1/8"), "sine")))).toBeLessThan(1e-15);
  });
  it("that comes in another phase each time leaves nothing", () => {
    expect(number(carried(f("3/16"), "cosine"))).toBe(0);
  });
  it("of colour bars takes nothing from their mean, in whatever size", () => {
    for (const system of ["625/50", "525/59.94"] as const) {
      const bars = (colour: boolean, saturation: number) =>
        number(video({ system, pattern: { kind: "colour bars", saturation }, colour }));
      expect(bars(true, 1)).toBeCloseTo(bars(false, 1), 14);
      expect(bars(true, 1.5)).toBeCloseTo(bars(false, 1), 14);
    }
  });
});
