// No event is missed within a leap, and none is made of nothing. Crests and beats have closed forms (sums of sines);
// random circuits are walked through in short strides (tests/verify/walk.ts), which shares no bound with the march.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { walkMany } from "../verify/walk.js";

const run = (text: string, until: string) => {
  const done = simulate(compile(text), { until, start: "rest" });
  expect(done.status).toBe("complete");
  return done;
};

const circuits = tries(200);

it(`${circuits} random circuits, stiff and ringing: the same events as a walk in short strides`, () => {
  const { faults, leaps, events } = walkMany(1, circuits);
  expect(faults).toEqual([]);
  expect(leaps).toBeGreaterThan(10 * circuits);
  expect(events).toBeGreaterThan(2.5 * circuits);
}, 300_000);

// Stray picofarads beside slow coils: leaps over 1e10 of the fastest time constant.
it.each([364, 30264])("circuit %i, very stiff: its events are where the walk has them", (seed) => {
  const { faults, events, off } = walkMany(seed, 1);
  expect(faults).toEqual([]);
  expect(events).toBeGreaterThan(20);
  expect(off).toBeLessThan(1e-11);
});

// A resonator that rings at 1 V: v = cos(t/√(LC)), so its crests stand at 1 V exactly (any network text).
const ring = (volts: string) => `
  inductor coil top -> ground 1 mH
  capacitor hold top -> ground 1 uF, starts 1 V
  supply level = ${volts} V
  diode clamp top -> level drop 0 V, on 1 Gohm`;

it.each([
  ["1.000000001", 0],
  ["1.000001", 0],
  ["1.2", 0],
  ["0.999999999", 200],
  ["0.999999", 200],
  ["0.5", 200],
])("a hundred crests of 1 V beside a clamp at %s V", (volts, events) => {
  // A hundred and a half turns, 2π √(LC) each, so that crests lie within; it begins on one, which is let go of.
  const done = run(ring(volts), "19.96853 ms");
  const seen = done.statistics.events;
  expect(Math.abs(seen - events)).toBeLessThanOrEqual(events === 0 ? 0 : 2);
});

/** cos w₁t − cos w₂t, and its largest crest within 40 ms. */
const [w1, w2] = [1 / Math.sqrt(1e-3 * 1e-6), 1 / Math.sqrt(1e-3 * 1.02e-6)];
const highest = () => {
  const beat = (t: number) => Math.cos(w1 * t) - Math.cos(w2 * t);
  let at = 0;
  for (let t = 0; t < 40e-3; t += 1e-7) if (beat(t) > beat(at)) at = t;
  for (let k = 0; k < 20; k++) {
    const slope = -w1 * Math.sin(w1 * at) + w2 * Math.sin(w2 * at);
    at -= slope / (-w1 * w1 * Math.cos(w1 * at) + w2 * w2 * Math.cos(w2 * at));
  }
  return beat(at);
};

it.each([
  [1e-6, 2],
  [1e-9, 2],
  [-1e-9, 0],
  [-1e-6, 0],
])("two resonators that beat: their one highest crest, %s V above a level", (above, events) => {
  const level = (highest() - above).toFixed(12);
  const done = run(
    `inductor l1 a -> ground 1 mH
     capacitor c1 a -> ground 1 uF, starts 1 V
     inductor l2 b -> ground 1 mH
     capacitor c2 b -> ground 1.02 uF, starts 1 V
     switch seen p -> ground closed while a above ${level} V, minus b, open -1 V, on 1 kohm
     resistor load p -> ground 1 kohm`,
    "40 ms",
  );
  expect(done.statistics.events).toBe(events);
});

// A sine behind a resistor and a capacitor that begins where it turns for ever: v = V sin(wt − φ) cos φ with tan φ = wRC (any
// network text). No corner cuts its leaps, so that a thousand crests lie in one.
it.each([
  [1e-6, 0],
  [1e-9, 0],
  [-1e-9, 1000],
  [-1e-6, 1000],
])("the crests of a sine behind a low pass, a level above them by %s V", (above, events) => {
  const angle = Math.atan(2 * Math.PI * 100e3 * 1e3 * 2.2e-9);
  const done = run(
    `signal tone = sine -1 V to 1 V, at 100 kHz
     resistor series tone -> a 1 kohm
     capacitor hold a -> ground 2.2 nF, starts ${(-Math.sin(angle) * Math.cos(angle)).toFixed(15)} V
     switch seen p -> ground closed while a above ${(Math.cos(angle) + above).toFixed(12)} V, open -2 V, on 1 kohm
     switch other q -> ground closed while a below ${(-Math.cos(angle) - above).toFixed(12)} V, open -${(Math.cos(angle) - 0.1).toFixed(3)} V, on 1 kohm
     resistor load p -> ground 1 kohm
     resistor load2 q -> ground 1 kohm`,
    "10 ms",
  );
  // The first crest closes the one for good; the other closes and opens once a turn.
  expect(done.statistics.events).toBe(events === 0 ? 0 : 1 + 2 * events);
});

it("a transient a millionth of the leap long, just after its start, is seen", () => {
  // v = V₁ (e^(−t/τ₁) − e^(−t/τ₂)) C-coupled: the difference of two discharges from 5 V, 2 µs and 1 µs long, is largest
  // 1.25 V at 1 µs · 2 ln 2 (its derivative's zero).
  const circuit = (volts: string) => `
    capacitor slow a -> ground 2 nF, starts 5 V
    resistor ra a -> ground 1 kohm
    capacitor fast b -> ground 1 nF, starts 5 V
    resistor rb b -> ground 1 kohm
    switch seen p -> ground closed while a above ${volts} V, minus b, open -1 V, on 1 kohm
    resistor load p -> ground 1 kohm`;
  const events = (volts: string) => run(circuit(volts), "1 s").statistics.events;
  expect(events("1.250000001")).toBe(0);
  expect(events("1.249999999")).toBe(1);
});

it("an amplifier that feeds itself runs to its limit, however long the leap", () => {
  const done = run(
    `supply high = 12 V
     supply low = -12 V
     supply input = 1 mV
     resistor feed input -> in 10 kohm
     resistor back out -> in 10 kohm
     amplifier stage in -> out, high high, low low, bandwidth 10 MHz, reach 1 V, output 0 ohm`,
    "10 s",
  );
  // Rails less the reach.
  expect(done.trace("out").at(9)).toBeCloseTo(11, 9);
});

it("an amplifier that could feed itself and has nothing to begin with stays at rest", () => {
  const done = run(
    `supply high = 12 V
     supply low = -12 V
     resistor foot in -> ground 10 kohm
     resistor back out -> in 10 kohm
     amplifier stage in -> out, high high, low low, bandwidth 10 MHz, reach 1 V`,
    "10 ms",
  );
  expect(done.trace("out").at(9e-3)).toBe(0);
});
