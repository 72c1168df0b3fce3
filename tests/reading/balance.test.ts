// The account of energy against closed forms, and where nothing flows. Powers and energies are those of any textbook of
// circuits (C. K. Alexander & M. N. O. Sadiku, Fundamentals of Electric Circuits, ch. 7 and 11).
import { describe, expect, it } from "vitest";
import { balance, compile, type SimulateOptions, simulate } from "../../src/index.js";

function account(text: string, options: SimulateOptions) {
  const run = simulate(compile(text), options);
  expect(run.reason).toBe("");
  return balance(run);
}

const off = (got: number, expected: number) => Math.abs(got / expected - 1);

describe("what is delivered, dissipated and stored", () => {
  it("a sine on a resistor alone, which moves no state: A²/2R for three periods", () => {
    const found = account("signal s = sine -2 V to 2 V, at 1 kHz\nresistor r s -> ground 50 ohm", {
      until: "3 ms",
    });
    expect(off(found.delivered, ((2 * 2) / 2 / 50) * 3e-3)).toBeLessThan(1e-12);
    expect(off(found.dissipated, ((2 * 2) / 2 / 50) * 3e-3)).toBeLessThan(1e-12);
  });

  it("a capacitor and a coil that ring down: all that was stored, ½ C V², to heat, over a hundred thousand turns", () => {
    const found = account(
      `capacitor c top -> ground 1 nF, starts 10 V
       inductor l top -> foot 1 mH, starts 0 A
       resistor r foot -> ground 0.1 ohm`,
      { until: "1 s" },
    );
    // At the end (R/2L = 50 a second) e^-100 of it is left.
    expect(off(found.dissipated, 0.5 * 1e-9 * 100)).toBeLessThan(1e-9);
    expect(off(-found.stored, 0.5 * 1e-9 * 100)).toBeLessThan(1e-12);
    expect(found.energy).toBeLessThan(1e-9);
  });

  it("a ramp into RC: ∫ u i with i = C k (1 − e^(−t/RC)), each by itself", () => {
    const [R, C, k, T] = [1e3, 1e-6, 1e3, 5e-3];
    const tau = R * C;
    const found = account(
      `signal s = path 0 V at 0 s, 5 V at 5 ms
       resistor r s -> out 1 kohm
       capacitor c out -> ground 1 uF`,
      { until: "5 ms", start: "rest" },
    );
    const e = Math.exp(-T / tau);
    // ∫ t (1 − e^(−t/τ)) dt and ∫ (1 − e^(−t/τ))² dt from 0 to T.
    const delivered = C * k * k * (T ** 2 / 2 - tau * tau + e * (tau * tau + tau * T));
    const dissipated = R * (C * k) ** 2 * (T - 2 * tau * (1 - e) + (tau / 2) * (1 - e * e));
    expect(off(found.delivered, delivered)).toBeLessThan(1e-12);
    expect(off(found.dissipated, dissipated)).toBeLessThan(1e-12);
  });

  it("an output between two rails, driven by a sine: 2/π of the peak current from either in turn", () => {
    // Class B (A. S. Sedra & K. C. Smith, Microelectronic Circuits, output stages): V · 2 A / (π R), both rails together.
    const found = account(
      `supply high = 12 V
       supply low = -12 V
       signal s = sine -1 V to 1 V, at 1 kHz
       amplifier follower s -> out minus out, high high, low low, bandwidth 10 GHz
       resistor load out -> ground 100 ohm`,
      { until: "3 ms", start: "settled" },
    );
    expect(off(found.delivered, 12 * (2 / Math.PI) * 0.01 * 3e-3)).toBeLessThan(1e-5);
    expect(found.energy).toBeLessThan(1e-11);
  });

  it("a capacitor alone on a source that runs and jumps: what it gains, each by itself", () => {
    // ∫ u C u' = ½ C Δ(u²) along a ramp; at the jump C V ΔV is delivered and half of C ΔV² lost.
    const C = 2e-9;
    const found = account(
      `signal s = path 1 V at 0 s, 2 V at 10 us, 5 V at 10 us, 3 V at 30 us
       capacitor c s -> ground 2 nF`,
      { until: "30 us" },
    );
    const ramps = (C * (2 ** 2 - 1 + 3 ** 2 - 5 ** 2)) / 2;
    expect(off(found.delivered, ramps)).toBeLessThan(1e-12);
    expect(off(found.stored, ramps)).toBeLessThan(1e-12);
    expect(off(found.lost, (C * 3 ** 2) / 2)).toBeLessThan(1e-12);
    expect(found.energy).toBeLessThan(1e-12);
  });

  it("a nanosecond and a second in one circuit", () => {
    // Both capacitors from rest to V through resistors from one supply: C V² delivered for each, half of it heat. At rest
    // the quick one's current is the rounding of 5 V over 1 kohm, for a minute.
    const found = account(
      `supply v = 5 V
       resistor quick v -> a 1 kohm
       capacitor ca a -> ground 1 pF
       resistor slow v -> b 1 Mohm
       capacitor cb b -> ground 1 uF`,
      { until: "60 s", start: "rest" },
    );
    expect(off(found.delivered, 25e-6 + 25e-12)).toBeLessThan(1e-10);
    expect(off(found.dissipated, 12.5e-6 + 12.5e-12)).toBeLessThan(1e-10);
    expect(found.energy).toBeLessThan(1e-10);
  });
});

describe("no alarm where nothing flows", () => {
  it.each([
    [
      "two supplies of one voltage",
      "supply a = 5 V\nsupply b = 5 V\nresistor r a -> m 1 kohm\nresistor s m -> b 2.2 kohm\ncapacitor c m -> ground 1 nF",
    ],
    [
      "resistors that lead nowhere",
      "supply a = 0.1 V\nresistor r a -> m 1 kohm\nresistor s m -> n 3 kohm\nresistor t n -> a 3.3 kohm\ncapacitor c m -> ground 1 nF",
    ],
    [
      "a balanced bridge",
      "supply a = 10 V\nresistor r a -> p 1 kohm\nresistor s p -> b 2 kohm\nresistor t a -> q 1.5 kohm\nresistor u q -> b 3 kohm\nsupply b = 10 V\nresistor d p -> q 47 ohm\ncapacitor c q -> ground 1 nF",
    ],
    [
      "a diode that blocks",
      "supply a = 5 V\ndiode d ground -> a drop 0.6 V, on 10 ohm\nresistor r m -> ground 1 Mohm\ncapacitor c m -> ground 1 nF",
    ],
  ])("%s", (_, text) => {
    const found = account(text, { until: "1 ms" });
    // What flows is rounding: nothing is delivered or turned to heat.
    expect(Math.abs(found.delivered)).toBeLessThan(1e-15);
    expect(Math.abs(found.dissipated)).toBeLessThan(1e-15);
    expect(found.currentLaw).toBeLessThan(1e-10);
    expect(found.energy).toBeLessThan(1e-10);
  });

  // Tellegen: what one source delivers another takes up, so that all of them together deliver nothing, however large each is.
  it.each([
    [
      "a supply at its limit into another source",
      'supply rail = 1e12 V, limit 1 A\nsignal s = path -2.5 V at 0 s\nvoltage x s -> rail pulse 0.75 V to 8.25 V, wide 1080 ns, behind 1 Gohm\ncheck "size" swing of rail below 1 kV',
    ],
    [
      "a current pushed into a supply",
      "supply high = 3e7 V\nsupply low = 0.1 V\ncurrent push low -> high sine -3 A to 7 A, at 1.7 kHz",
    ],
    [
      "the same, and a coil beside it",
      "supply high = 3e7 V\nsupply low = 0.1 V\ncurrent push low -> high 0.7 A\nsignal g = sine -1 mV to 1 mV, at 1.3 kHz\nresistor r g -> m 3 ohm\ninductor l m -> ground 7 mH",
    ],
  ])("%s: none is missing", (_, text) => {
    const found = account(text, { until: "1 ms" });
    expect(found.energy).toBeLessThan(1e-6);
    expect(found.currentLaw).toBeLessThan(1e-10);
  });
});
