// Measures over the whole of a run that repeats millions of times, against closed forms: 1 mA into 10 nF for 50 of every 60 us,
// which an ideal switch empties for the other 10. They follow from one period and how often it recurs; what begins and ends
// within a period is looked at apart. A shorter run, marched and drawn throughout, says the same.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate, verify } from "../../src/index.js";
import { off } from "../facts/running.js";
import { emptied } from "./emptied.js";

const text = `${emptied}amplifier follow ramp -> out minus out, high half, low ground, bandwidth 1 GHz, output 0 ohm, reach 0.5 V
supply half = 4.5 V
resistor load ramp2 -> ground 1 kohm
voltage copy ramp2 -> ground 0 V, follows ramp, gain 1
check "mean" mean of ramp below 3 V
check "peak" peak of ramp below 6 V
case "gate that stops" gate stops at 600 s`;
const design = compile(text);
// Steps are counted whether they are marched or known to repeat.
const limits = { steps: 1e12 };
const [period, rise, top] = [60e-6, 50e-6, 5];

describe("over 1000 s, 16 million periods", () => {
  const until = 1000;
  const run = simulate(design, { until: "1000 s", limits });
  const n = Math.floor(until / period);
  // The last period is cut off: 40 us of it remain, in the last 30 of which the ramp rises.
  const rising = until - n * period - 10e-6;

  it("what is added up", () => {
    expect(off(rising, 30e-6)).toBeLessThan(1e-3);
    const area = (n * top * rise + (top / rise) * rising ** 2) / 2;
    const square = (n * top ** 2 * rise + (top / rise) ** 2 * rising ** 3) / 3;
    expect(off(measure(run, "mean of ramp").value, area / until)).toBeLessThan(1e-9);
    expect(off(measure(run, "rms of ramp").value, Math.sqrt(square / until))).toBeLessThan(1e-7);
    expect(off(measure(run, "energy of load").value, square / 1e3)).toBeLessThan(1e-7);
    expect(off(measure(run, "mean power of load").value, square / 1e3 / until)).toBeLessThan(1e-7);
    expect(off(measure(run, "charge of feed").value, 1e-3 * until)).toBeLessThan(1e-9);
    // It cannot follow below 0.5 V, nor above 4 V: 10 us at the bottom, and the slope's 5 us and 10 us.
    expect(off(measure(run, "clipping time of follow").value, (n + 1) * 25e-6 - 10e-6)).toBeLessThan(1e-3);
  });

  it("what is highest, lowest and first", () => {
    for (const words of ["peak", "swing"]) {
      const found = measure(run, `${words} of ramp`);
      expect(off(found.value, top)).toBeLessThan(1e-9);
    }
    expect(measure(run, "peak of ramp").instant).toBeLessThan(1e-3);
    expect(measure(run, "floor of ramp").value).toBe(0);
    expect(off(measure(run, "peak current of load").value, 5e-3)).toBeLessThan(1e-9);
    expect(off(measure(run, "crossing of ramp rising through 2.5 V after 1 ms").value, 55e-6)).toBeLessThan(
      1e-6,
    );
    expect(off(measure(run, "clipping level of follow").value, 0.5)).toBeLessThan(1e-3);
  });

  it("what is counted and recurs", () => {
    expect(measure(run, "pulses of ramp rising through 2.5 V").value).toBe(n + 1);
    expect(off(measure(run, "period of ramp").value, period)).toBeLessThan(1e-12);
    expect(off(measure(run, "frequency of ramp rising through 1 V").value, 1 / period)).toBeLessThan(1e-12);
    expect(off(measure(run, "duty of ramp").value, (n * 25e-6 + 5e-6) / until)).toBeLessThan(1e-9);
    // An instant near 1000 s is known to 1e-13 s.
    expect(measure(run, "jitter of ramp").value).toBeLessThan(2e-13);
  });

  it("verdicts", () => {
    const [mean, peak] = verify(run);
    expect(mean.reason).toBeUndefined();
    expect(off(mean.measured, measure(run, "mean of ramp").value)).toBeLessThan(1e-15);
    expect(off(peak.measured, top)).toBeLessThan(1e-9);
  });

  it("a gate that stops: nothing empties the capacitor from then on", () => {
    const stopped = simulate(design, { until: "1000 s", case: "gate that stops", limits });
    expect(stopped.status).toBe("complete");
    // 600 s are whole periods. The ramp rises from the end of the last pulse on, without bound.
    expect(measure(stopped, "pulses of ramp rising through 2.5 V").value).toBe(Math.round(600 / period));
    expect(off(measure(stopped, "peak of ramp").value, 1e5 * (400 + rise))).toBeLessThan(1e-9);
    const area = (600 * rise * top) / 2 / period + (1e5 * (400 + rise) ** 2) / 2;
    expect(off(measure(stopped, "mean of ramp").value, area / 1000)).toBeLessThan(1e-6);
  });
});

describe("a run of which every period is drawn says the same", () => {
  // 3 ms hold 50 periods; each span begins and ends within one.
  it.each([
    "mean of ramp",
    "rms of ramp after 70 us before 2.93 ms",
    "energy of load after 0.3 ms",
    "charge of hold after 95 us before 2.9 ms",
    "swing of ramp before 2.5 ms",
    "floor of ramp after 85 us before 2.87 ms",
    "peak power of load after 1 ms",
    "period of ramp after 0.1 ms",
    "jitter of ramp rising through 1 V",
    "duty of out through 2 V after 33 us before 2.999 ms",
    "pulses of ramp falling through 2 V after 100 us",
    "extra pulses of ramp rising through 2 V",
    "missing pulses of ramp rising through 2 V",
    "crossing of ramp falling through 2 V after 32 us",
    "clipping time of follow after 40 us",
    "clipping level of follow after 45 us",
  ])("%s", (phrase) => {
    const [short, whole] = [true, false].map((repeats) => simulate(design, { until: "3 ms", repeats }));
    const [found, known] = [measure(short, phrase), measure(whole, phrase)];
    expect(Number.isNaN(known.value)).toBe(false);
    expect(Math.abs(found.value - known.value)).toBeLessThanOrEqual(1e-11 * Math.abs(known.value) + 1e-18);
    expect(Math.abs(found.instant - known.instant)).toBeLessThan(1e-15);
  });
});
