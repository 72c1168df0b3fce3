// What leaps reach, against closed forms: at the samples, which are exact but for rounding, and between them, where a
// trace promises 1e-6 of its swing. Closed forms: first and second order responses to a ramp and to a sine by Laplace
// transform (any network text; Millman & Taub, 1965, ch. 2).
import { expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";

type Form = (t: number) => number;

/** Largest distance from a closed form at the samples and at instants between, as a share of the swing. */
function away(text: string, until: string, name: string, swing: number, form: Form) {
  const run = simulate(compile(text), { until, start: "rest" });
  expect(run.status).toBe("complete");
  const trace = run.trace(name);
  let [samples, between] = [0, 0];
  trace.time.forEach((t, i) => {
    samples = Math.max(samples, Math.abs(trace.value[i] - form(t)) / swing);
  });
  for (let i = 0; i < 1000; i++) {
    const t = ((i + 0.37) / 1000) * run.until;
    between = Math.max(between, Math.abs(trace.at(t) - form(t)) / swing);
  }
  return { samples, between, run };
}

/** A ramp of 1 V/s through a single time constant. */
const lag = (tau: number) => (t: number) => (t <= 0 ? 0 : t + tau * Math.expm1(-t / tau));

const ramped = lag(1e-5);
const half: Form = (t) => 5e4 * (ramped(t) - ramped(t - 1e-4));

it("a ramp into a coil and a resistor, from rest", () => {
  const text = `signal edge = path 0 V at 0 s, 5 V at 100 us
    inductor coil edge -> out 10 mH
    resistor load out -> ground 1 kohm
    check "half way" crossing of out rising through 2.5 V below 1 ms`;
  const { samples, between, run } = away(text, "200 us", "out", 5, half);
  expect(samples).toBeLessThan(1e-13);
  expect(between).toBeLessThan(1e-6);
  // 50 µs of ramp, and the lag: τ (1 − e^(−t/τ)).
  const [{ measured }] = verify(run);
  // A measure reads the trace's curve, which promises 1e-6 of the swing; the march itself is a million times closer.
  expect(Math.abs(half(measured) - 2.5) / 5).toBeLessThan(1e-6);
});

it("a ramping current into a capacitor and a resistor, from rest", () => {
  const text = `current edge ground -> out path 0 A at 0 s, 5 mA at 100 us
    capacitor hold out -> ground 10 nF
    resistor load out -> ground 1 kohm`;
  const { samples, between } = away(text, "200 us", "out", 5, half);
  expect(samples).toBeLessThan(1e-13);
  expect(between).toBeLessThan(1e-6);
});

it("a coil into 1 Mohm, an edge of 1 µs beside 100 mA that flow elsewhere", () => {
  const text = `signal edge = path 0 V at 0 s, 5 V at 1 us
    inductor other far -> ground 100 mH, starts 100 mA
    resistor keep far -> ground 1 ohm
    inductor coil edge -> out 100 mH
    resistor load out -> ground 1 Mohm`;
  const one = lag(1e-7);
  const { samples, between } = away(text, "40 us", "out", 5, (t) => 5e6 * (one(t) - one(t - 1e-6)));
  expect(samples).toBeLessThan(1e-11);
  expect(between).toBeLessThan(1e-6);
});

it("an edge of 1 V beside a supply of 25 kV", () => {
  const text = `supply tall = 25000 V
    resistor long tall -> high 1 Mohm
    capacitor store high -> ground 1 nF
    signal edge = path 1 V at 0 s, 1 V at 1 s
    resistor feed edge -> out 1 kohm
    capacitor hold out -> ground 1 nF`;
  const { samples, between } = away(text, "49 us", "out", 1, (t) => -Math.expm1(-t / 1e-6));
  expect(samples).toBeLessThan(1e-13);
  expect(between).toBeLessThan(1e-6);
});

const omega = 1 / Math.sqrt(1e-3 * 1e-6);

it.each([100, 100_000])("a free resonator after %d turns", (turns) => {
  const until = (turns * 2 * Math.PI) / omega;
  const run = simulate(
    compile("inductor coil top -> ground 1 mH\ncapacitor hold top -> ground 1 uF, starts 1 V"),
    { until: `${until.toFixed(12)} s`, start: "rest", record: { from: `${(until * 0.999).toFixed(12)} s` } },
  );
  const { value, time } = run.trace("top");
  const [end, at] = [value[value.length - 1], time[time.length - 1]];
  // A rounding of the phase for every turn.
  expect(Math.abs(end - Math.cos(omega * at))).toBeLessThan(1e-14 * turns + 1e-12);
});

it.each([
  [1000, 10_000],
  [10_000, 100_000],
])("driven at resonance, Q %d, for %d turns", (Q, turns) => {
  const [L, C] = [1e-3, 1e-6];
  const R = Math.sqrt(L / C) / Q;
  const hertz = (omega / 2 / Math.PI).toFixed(9);
  const w = 2 * Math.PI * Number(hertz);
  // L C v″ + R C v′ + v = sin wt, from rest.
  const [a, b] = [1 - w * w * L * C, w * R * C];
  const [sine, cosine] = [a / (a * a + b * b), -b / (a * a + b * b)];
  const fade = R / 2 / L;
  const free = Math.sqrt(omega * omega - fade * fade);
  const A = -cosine;
  const B = (-sine * w + fade * A) / free;
  const form: Form = (t) =>
    sine * Math.sin(w * t) +
    cosine * Math.cos(w * t) +
    Math.exp(-fade * t) * (A * Math.cos(free * t) + B * Math.sin(free * t));
  const until = (turns * 2 * Math.PI) / omega;
  const run = simulate(
    compile(`signal drive = sine -1 V to 1 V, at ${hertz} Hz
      resistor loss drive -> x ${R.toPrecision(17)} ohm
      inductor coil x -> out 1 mH
      capacitor hold out -> ground 1 uF`),
    { until: `${until.toFixed(12)} s`, start: "rest", record: { from: `${(until * 0.9999).toFixed(12)} s` } },
  );
  const { value, time } = run.trace("out");
  const [end, at] = [value[value.length - 1], time[time.length - 1]];
  expect(Math.abs(end - form(at)) / Q).toBeLessThan(1e-9);
  expect(run.statistics.steps).toBe(1);
});

it.each([1e3, 1e6, 1e8])("two capacitors, one slow beside one fast, %d to 1", (ratio) => {
  // Sum and difference: time constants R C of the legs, and half of r C of what joins them.
  const [C, r] = [1e-6, 1e-3];
  const R = r * ratio;
  const text = `capacitor left x -> ground 1 uF, starts 2 V
    capacitor right y -> ground 1 uF
    resistor joint x -> y 1 mohm
    resistor leg x -> ground ${R} ohm
    resistor foot y -> ground ${R} ohm`;
  const { samples, between } = away(
    text,
    `${(2 * R * C).toPrecision(12)} s`,
    "x",
    2,
    (t) => Math.exp(-t / (R * C)) * (1 + Math.exp((-2 * t) / (r * C))),
  );
  expect(samples).toBeLessThan(1e-8);
  expect(between).toBeLessThan(1e-6);
});
