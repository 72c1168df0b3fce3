// Stress against closed forms: sines (rms = peak/√2), the discharge of a capacitor (V/R, V²/R), ramps (rms = peak/√3), a switch
// that saturates (I t = C V); ratings against what was asked for.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { compile, type DesignError, type PartStress, simulate, stress, verify } from "../../src/index.js";
import { off } from "../facts/running.js";

const of = (text: string, part: string, options = {}): PartStress =>
  stress(simulate(compile(text)), options).parts.find((p) => p.part === part)!;

describe("stress", () => {
  it("a sine across a resistor: peak, rms, mean, reverse, power", () => {
    const text = `voltage v a -> ground sine -10 V to 10 V, at 1 kHz\nresistor r a -> ground 100 ohm\nrun for 10 ms`;
    const { power, current, voltage } = of(text, "r");
    expect(off(voltage.peak.value, 10)).toBeLessThan(1e-6);
    expect(off(voltage.rms, 10 / Math.SQRT2)).toBeLessThan(1e-6);
    expect(off(voltage.reverse.value, 10)).toBeLessThan(1e-6);
    expect(Math.abs(voltage.mean)).toBeLessThan(1e-6);
    expect(off(current.rms, 0.1 / Math.SQRT2)).toBeLessThan(1e-6);
    expect(off(power.mean, 0.5)).toBeLessThan(1e-6);
    expect(off(power.peak.value, 1)).toBeLessThan(1e-6);
    // A quarter period, or a whole number of halves later: where the cosine is zero.
    expect(Math.cos(2 * Math.PI * 1e3 * power.peak.at)).toBeCloseTo(0, 4);
    // A source delivers: its power is below zero.
    expect(off(of(text, "v").power.mean, -0.5)).toBeLessThan(1e-6);
  });

  it("the discharge of a ramp's capacitor: V/R at the first instant, its energy C V²/2", () => {
    const text = `capacitor hold ramp -> ground 10 nF, starts 5 V
switch reset ramp -> ground closed after 10 us, on 2 ohm\nrun for 50 us, from rest`;
    const { power, current } = of(text, "reset");
    expect(off(current.peak.value, 2.5)).toBeLessThan(1e-12);
    expect(current.peak.at).toBeCloseTo(10e-6, 9);
    expect(off(power.peak.value, 12.5)).toBeLessThan(1e-12);
    expect(off(power.mean * 50e-6, 0.5 * 10e-9 * 25)).toBeLessThan(1e-5);
    // ∫ i² = V²/R² · RC/2 over the run.
    expect(off(current.rms ** 2 * 50e-6, (2.5 ** 2 * 20e-9) / 2)).toBeLessThan(1e-5);
  });

  it("a ramp from nothing: rms is peak/√3, mean is half; any stretch of it", () => {
    const text = `supply p = 50 V\ncurrent feed p -> ramp 1 mA\ncapacitor hold ramp -> ground 10 nF\nrun for 100 us, from rest`;
    const { voltage, current } = of(text, "hold");
    expect(off(voltage.peak.value, 10)).toBeLessThan(1e-12);
    expect(off(voltage.rms, 10 / Math.sqrt(3))).toBeLessThan(1e-12);
    expect(off(voltage.mean, 5)).toBeLessThan(1e-12);
    expect(off(current.rms, 1e-3)).toBeLessThan(1e-12);
    const late = of(text, "hold", { after: "50 us", before: "60 us" });
    expect(off(late.voltage.mean, 5.5)).toBeLessThan(1e-12);
    expect(off(late.voltage.peak.value, 6)).toBeLessThan(1e-12);
    expect(late.voltage.peak.at).toBeCloseTo(60e-6, 12);
  });

  it("the field sweep discharges amperes through an ohm or two; a saturating switch takes longer", () => {
    const field = readFileSync(new URL("../../examples/field.ramp", import.meta.url), "utf8");
    const hard = field.replace(", on 5 ohm, limit most", ", on 1.5 ohm");
    expect(hard).not.toBe(field);
    const peak = (text: string) => of(text, "reset").current.peak.value;
    // 3.95 V across 1.5 ohm; the switch of the example saturates at 300 mA.
    expect(off(peak(hard), 3.95 / 1.5)).toBeLessThan(0.03);
    expect(peak(field)).toBeCloseTo(0.3, 6);
    const time = (limit: string) => {
      const text = `capacitor hold ramp -> ground 4.7 uF, starts 4 V
switch reset ramp -> ground closed after 10 us, on 1.5 ohm${limit}
run for 1 ms, from rest
check "down" crossing of ramp falling through 40 mV below 1 s`;
      return verify(simulate(compile(text), { tolerance: 1e-7 }))[0].measured - 10e-6;
    };
    // RC ln 100 against C (V − I R)/I + RC ln(I R/0.04 V): 32 µs against 73 µs.
    const rc = 1.5 * 4.7e-6;
    expect(off(time(""), rc * Math.log(100))).toBeLessThan(1e-5);
    const slow = (4.7e-6 * (4 - 0.45)) / 0.3 + rc * Math.log(0.45 / 0.04);
    expect(off(time(", limit 300 mA"), slow)).toBeLessThan(1e-5);
    expect(slow).toBeGreaterThan(2 * rc * Math.log(100));
  });

  it("a free LC over sixteen of its periods, in one leap: V, V √(C/L), half of their product; rms by the integral of cos²", () => {
    const text = `capacitor c top -> ground 10 nF, starts 5 V\ninductor l top -> ground 10 mH\nrun for 1 ms, from rest`;
    const { power, current, voltage } = of(text, "l");
    const w = 1 / Math.sqrt(10e-9 * 10e-3);
    const flows = 5 * Math.sqrt(10e-9 / 10e-3);
    const square = (sign: number) => 0.5 + (sign * Math.sin(2 * w * 1e-3)) / (4 * w * 1e-3);
    expect(off(voltage.peak.value, 5)).toBeLessThan(1e-6);
    expect(off(current.peak.value, flows)).toBeLessThan(1e-6);
    expect(off(power.peak.value, (5 * flows) / 2)).toBeLessThan(1e-6);
    expect(off(voltage.rms, 5 * Math.sqrt(square(1)))).toBeLessThan(1e-6);
    expect(off(current.rms, flows * Math.sqrt(square(-1)))).toBeLessThan(1e-6);
    // What the coil holds at the end, by the time.
    const held = (0.5 * 10e-3 * (flows * Math.sin(w * 1e-3)) ** 2) / 1e-3;
    expect(Math.abs(power.mean - held)).toBeLessThan(1e-6 * 5 * flows);
  });

  it("an output between two rails, driven by a sine: each rail gives the half waves of its load: mean a π-th of their peak, rms half of it", () => {
    // Class B (A. S. Sedra & K. C. Smith, Microelectronic Circuits, output stages).
    const text = `supply high = 12 V\nsupply low = -12 V\nsignal s = sine -1 V to 1 V, at 1 kHz
amplifier follower s -> out minus out, high high, low low, bandwidth 10 GHz
resistor load out -> ground 100 ohm\nrun for 3 ms, from settled`;
    // The follower's own gain is short of one by that of its amplifier.
    const most = of(text, "load").current.peak.value;
    expect(off(most, 0.01)).toBeLessThan(2e-5);
    for (const part of ["high", "low"]) {
      const { power, current } = of(text, part);
      expect(off(current.peak.value, most)).toBeLessThan(1e-6);
      expect(off(current.mean, most / Math.PI)).toBeLessThan(1e-6);
      expect(off(current.rms, most / 2)).toBeLessThan(1e-6);
      expect(off(power.mean, (-12 * most) / Math.PI)).toBeLessThan(1e-6);
    }
  });

  it("charge that is shared at an instant is said apart", () => {
    const text = `capacitor a x -> ground 1 uF, starts 2 V\ncapacitor b y -> ground 1 uF
switch s x -> y closed after 1 ms\nrun for 2 ms, from rest`;
    const { shared } = stress(simulate(compile(text)));
    // Two equal capacitors: half of C V²/2 is lost.
    expect(shared.times).toBe(1);
    expect(off(shared.energy, 0.5 * 0.5 * 1e-6 * 4)).toBeLessThan(1e-9);
  });
});

describe("ratings", () => {
  const sine = (rated: string) => `voltage v a -> ground sine -10 V to 10 V, at 1 kHz
diode d a -> b drop 0 V, ${rated}\nresistor r b -> ground 100 ohm\nrun for 10 ms`;

  it.each<[string, string, number, number]>([
    ["a current without a word is rms", "rated 100 mA", 0.1, 0.05],
    ["mean: of half waves peak/π", "rated 100 mA mean", 0.1, 0.1 / Math.PI],
    ["peak", "rated 100 mA peak", 0.1, 0.1],
    ["reverse", "rated 50 V reverse", 50, 10],
    ["a voltage without a word is the peak either way", "rated 20 V", 20, 10],
    ["a power without a word is a mean", "rated 1 W", 1, 0],
  ])("%s", (_, words, limit, value) => {
    const [rating] = of(sine(words), "d").ratings;
    expect(rating.limit).toBe(limit);
    expect(Math.abs(rating.value - value)).toBeLessThan(1e-4 * limit);
    expect(rating.used).toBe(rating.value / limit);
    expect(rating.pass).toBe(rating.value <= limit);
  });

  it("several of one part; up to and including the level; a named value as a level", () => {
    const text = `given most = 0.5 W\nsupply p = 10 V, rated 99 mA\nresistor r p -> ground 100 ohm, rated 1 W, rated most peak,
    rated 10 V, rated 101 mA\nrun for 1 ms`;
    const found = stress(simulate(compile(text)));
    expect(found.pass).toBe(false);
    const row = (name: string) =>
      found.parts.find((p) => p.part === name)!.ratings.map((r) => [r.of, r.size, r.pass]);
    expect(row("r")).toEqual([
      ["power", "mean", true],
      ["power", "peak", false],
      ["voltage", "peak", true],
      ["current", "rms", true],
    ]);
    expect(row("p")).toEqual([["current", "rms", false]]);
  });

  it("a stretch that the run does not have is refused", () => {
    const run = simulate(compile(sine("rated 1 A")));
    for (const options of [{ after: "20 ms" }, { after: "5 ms", before: "1 ms" }, { after: "3 V" }]) {
      try {
        stress(run, options);
        expect.unreachable();
      } catch (error) {
        expect((error as DesignError).diagnostics[0].code).toBe("bad-option");
      }
    }
  });
});
