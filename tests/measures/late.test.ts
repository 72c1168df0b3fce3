// Ramps that are reset later than their period begins: a ramp's peak belongs to the period in which it rose. V = I t / C, with
// the I R of the reset's 5 ohm as the foot.
import { describe, expect, it } from "vitest";
import { compile, measure, type Run, simulate, verify } from "../../src/index.js";
import { make } from "../waveforms/making.js";
import { take } from "./taking.js";

const period = 64;
const width = 4.7;
const [hold, ohms] = [15e-9, 5];

/** A ramp whose resets come so many us late; a second source helps in every other one. */
const alternate = (late: number, end = 1280) => `
supply plus12 = 12 V
signal border = pulse 0 V to 5 V, wide 2 us, every 64 us
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us, first ${late} us
signal help = pulse 0 V to 5 V, wide 64 us, every 128 us, first ${late} us
current feed plus12 -> ramp 1 mA
current more plus12 -> ramp 0 A, follows help, gain 0.1 mA/V
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for ${end} us, from settled
`;
/** The same upside down. */
const falling = (text: string) =>
  text
    .replace("plus12 -> ramp 1 mA", "ramp -> ground 1 mA")
    .replace("plus12 -> ramp 0 A", "ramp -> ground 0 A")
    .replace("ramp -> ground 15 nF", "plus12 -> ramp 15 nF")
    .replace("reset ramp -> ground", "reset plus12 -> ramp");
const heightOf = (current: number, us = period - width) => (current * us * 1e-6) / hold + current * ohms;
const [tall, short] = [heightOf(1.5e-3), heightOf(1e-3)];
const valuesOf = (run: Run, phrase: string) => measure(run, phrase).periods!.map((p) => p.value);

describe.each([0, 0.13, 3.2, 6.4, 12.8, 19.2, 25.6])("a ramp that is reset %f us late", (late) => {
  const run = simulate(compile(alternate(late)));

  it("has its peak, swing and rise in the period in which it rose", () => {
    // The last ramp of the run is not over.
    const peaks = valuesOf(run, "peak of ramp each border").slice(0, -1);
    const swings = valuesOf(run, "swing of ramp each border");
    const rises = valuesOf(run, "rise time of ramp each border");
    for (const [i, peak] of peaks.entries()) {
      const current = i % 2 ? 1e-3 : 1.5e-3;
      expect(peak).toBeCloseTo(i % 2 ? short : tall, 6);
      // 12 time constants of the reset are no more than 0.1 mV of the foot.
      expect(Math.abs(swings[i] - (heightOf(current) - current * ohms))).toBeLessThan(2e-4);
      expect(rises[i]).toBeCloseTo(0.8 * (period - width) * 1e-6, 9);
    }
  });

  it("upside down likewise", () => {
    const down = simulate(compile(falling(alternate(late))));
    for (const [i, floor] of valuesOf(down, "floor of ramp each border").slice(0, -1).entries())
      expect(floor).toBeCloseTo(12 - (i % 2 ? short : tall), 6);
  });

  it("does not pass where every other one is short, repeated or not, or from a border on", () => {
    const { pass, measured } = { pass: false, measured: short };
    for (const repeats of [true, false]) {
      const text = `${alternate(late)}check "all" peak of ramp each border above ${tall - 0.1} V
check "some" peak of ramp each border after 64 us before 192 us above ${tall - 0.1} V`;
      for (const result of verify(simulate(compile(text), { repeats }))) {
        expect(result.pass).toBe(pass);
        expect(result.measured).toBeCloseTo(measured, 6);
      }
    }
  });

  it("counts by a place that rises on the border as by the signal itself", () => {
    const text = `${alternate(late)}comparator cmp border -> edge threshold 1 V, low 0 V, high 5 V`;
    const own = measure(simulate(compile(text)), "peak of ramp each edge").periods!;
    for (const { begin, value } of own.slice(0, -1))
      expect(value).toBeCloseTo(Math.round(begin / 64e-6) % 2 ? short : tall, 6);
  });
});

describe("a reset that is missing", () => {
  // Of four gates the third is left out: what rose before it goes on through its period.
  const late = 6.4;
  const gate = [0, 1, 3].flatMap((i) => {
    const at = (us: number) => `${(i * period + late + us).toFixed(1)} us`;
    return [`0 V at ${at(0)}`, `5 V at ${at(0)}`, `5 V at ${at(width)}`, `0 V at ${at(width)}`];
  });
  const text = alternate(late).replace(
    /signal gate = .*/,
    `signal gate = path 0 V at 0 us, ${gate.join(", ")}, 0 V at 256 us, every 256 us`,
  );
  const run = simulate(compile(text.replace("gain 0.1", "gain 0")));

  it("shows in the period in which it is", () => {
    const peaks = valuesOf(run, "peak of ramp each border");
    for (let k = 4; k + 4 < peaks.length; k += 4) {
      expect(peaks[k]).toBeCloseTo(short, 6);
      // No reset ends its ramp: it has come as far as its end.
      expect(peaks[k + 1]).toBeCloseTo(heightOf(1e-3, period - width - late), 6);
      expect(peaks[k + 2]).toBeCloseTo(heightOf(1e-3, 2 * period - width), 6);
      expect(peaks[k + 3]).toBeCloseTo(short, 6);
    }
  });

  // Down to 1 % of what a period loses takes ln 100 time constants of 5 ohm and 15 nF, a little less for the current's foot.
  it.each([0, late])("has no reset time, upwards or downwards, %f us late", (us) => {
    const own = text.replaceAll(/(\d+\.\d) us/g, (_, at) => `${(Number(at) - late + us).toFixed(1)} us`);
    for (const body of [own, falling(own)]) {
      const other = simulate(compile(body.replace("gain 0.1", "gain 0")));
      const resets = valuesOf(other, "reset time of ramp each border");
      for (const [i, reset] of resets.entries())
        if (i % 4 === 2) expect(reset).toBeNaN();
        else expect(Math.abs(reset - (us * 1e-6 + Math.log(100) * ohms * hold))).toBeLessThan(2e-9);
      const text = `${body.replace("gain 0.1", "gain 0")}check "back" reset time of ramp each border below 30 us`;
      expect(verify(simulate(compile(text)))[0]).toMatchObject({ pass: false });
    }
  });
});

// 1 V in each of two periods of 1 s, without a reset between them: at 2 s it stands at 2 V.
it("a level that a ramp without a reset is still below is reached at once", () => {
  const trace = make([0, 2, 3], [0, 2, 3]);
  const window = { from: 1, to: 2, follows: true, former: 0 };
  expect(take("reset time", trace, { ...window, through: { level: 1.5 } })).toBe(0);
  expect(take("reset time", trace, window)).toBeNaN();
});

it("a period that begins at rest on its floor was reset before it began", () => {
  // Reset to 0 V at 0.5 s, it creeps up by 10 mV to the border.
  const trace = make([0, 0.5, 1, 2], [3, 0, 0.01, 3]);
  expect(take("reset time", trace, { from: 1, to: 2, follows: true, former: 0 })).toBe(0);
});

// The ramp of one period in two is missing: a current of 0 A leaves what the reset has left.
it("a ramp that is missing leaves its period nothing but its floor", () => {
  const text = alternate(6.4).replace("ramp 1 mA", "ramp 0 A").replace("gain 0.1", "gain 0.2");
  const peaks = valuesOf(simulate(compile(text)), "peak of ramp each border").slice(0, -1);
  for (const [i, peak] of peaks.entries())
    if (i % 2) expect(Math.abs(peak)).toBeLessThan(1e-5);
    else expect(peak).toBeCloseTo(short, 5);
});

// Of the tall one's swing the small one has made 4.5 % on the border.
it("a ramp of a twentieth is handed over beside a whole one", () => {
  const text = alternate(6.4).replace("ramp 1 mA", "ramp 0.05 mA").replace("gain 0.1", "gain 0.19");
  const peaks = valuesOf(simulate(compile(text)), "peak of ramp each border").slice(0, -1);
  for (const [i, peak] of peaks.entries()) expect(peak).toBeCloseTo(heightOf(i % 2 ? 0.05e-3 : 1e-3), 6);
});

// Fed by a resistor, its slope falls by e^(-T / RC) on the whole way (Millman & Taub, 1965), not on the part before the border.
it("the error of a sweep that is reset late is that of all of it", () => {
  const text = alternate(6.4)
    .replace("current feed plus12 -> ramp 1 mA", "resistor feed plus12 -> ramp 20 kohm")
    .replace("gain 0.1", "gain 0");
  const errors = valuesOf(simulate(compile(text)), "sweep error of ramp each border").slice(0, -1);
  for (const error of errors)
    expect(error).toBeCloseTo(1 - Math.exp((-(period - width) * 1e-6) / (20e3 * hold)), 4);
});

// A ramp that runs into its guard, 5 V and 0.6 V and 10 ohm of 1.5 mA, stands there until its reset.
it("a ramp that stands on its guard is handed over too", () => {
  const guard = "supply plus5 = 5 V\ndiode guard ramp -> plus5 drop 0.6 V, on 10 ohm\n";
  const peaks = valuesOf(simulate(compile(alternate(6.4) + guard)), "peak of ramp each border");
  for (const [i, peak] of peaks.slice(0, -1).entries()) expect(peak).toBeCloseTo(i % 2 ? short : 5.615, 4);
});

// What falls as it rises, and what begins on a border, is no ramp: highest and lowest values of each period are those of its window.
it.each([
  ["a sine", "signal x = sine -1 V to 2 V, at 15.625 kHz, phase 40 deg"],
  ["a pulse", "signal x = pulse 0 V to 5 V, wide 20 us, every 64 us, edges 200 ns, first 50 us"],
  ["a pulse on the border", "signal x = pulse 0 V to 5 V, wide 20 us, every 64 us, edges 200 ns"],
  [
    "a rounded pulse",
    "signal s = pulse 0 V to 5 V, wide 30 us, every 64 us, first 50 us\nresistor r s -> x 1 kohm\ncapacitor c x -> ground 4 nF",
  ],
  ["a triangle", "signal x = path 0 V at 0 s, 5 V at 32 us, 0 V at 64 us, every 64 us"],
])("%s is left as it is", (_, signal) => {
  const text = `signal border = pulse 0 V to 5 V, wide 2 us, every 64 us
${signal}
run for 640 us, from settled`;
  const run = simulate(compile(text));
  const trace = run.trace("x");
  for (const [i, begin] of run.periods("border").slice(0, -1).entries()) {
    const inside = Array.from({ length: 4001 }, (__, k) => trace.at(begin + (k * 64e-6 * 0.99999) / 4000));
    const [high, low] = [Math.max(...inside), Math.min(...inside)];
    expect(valuesOf(run, "peak of x each border")[i]).toBeCloseTo(high, 3);
    expect(valuesOf(run, "floor of x each border")[i]).toBeCloseTo(low, 3);
  }
});
