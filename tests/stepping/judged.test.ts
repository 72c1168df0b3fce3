// Where the error chooses the steps, the default tolerance holds 1e-3 of the swing everywhere and 1e-6 for what lasts, at
// samples and between them: in a small circuit that is asked to step, and in a large one that does so of itself.
// Expected values are closed forms of first- and second-order circuits (any network text), worked out beside each.
import { describe, expect, it } from "vitest";
import { balance, compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";

/** An RC ladder that charges, apart from all else: with it a circuit is large. */
const beside = [
  "supply apart = 3 V",
  ...Array.from(
    { length: 40 },
    (_, i) => `resistor zr${i} ${i ? `z${i - 1}` : "apart"} -> z${i} 1 kohm
      capacitor zc${i} z${i} -> ground 10 nF`,
  ),
].join("\n");

const ways = [
  { way: "small, by mixed steps", around: "", method: "mixed" as const },
  { way: "large", around: beside, method: undefined },
];

interface Trial {
  readonly what: string;
  readonly text: string;
  readonly options: SimulateOptions;
  readonly probe: string;
  readonly swing: number;
  readonly exact: (t: number) => number;
}

/** Largest distance from the closed form as a share of the swing, at samples and at 3000 instants between them. */
function off(run: Run, { probe, swing, exact }: Trial, from = 0): number {
  const trace = run.trace(probe);
  let worst = 0;
  const look = (t: number, v: number) => {
    if (t >= from) worst = Math.max(worst, Math.abs(v - exact(t)) / swing);
  };
  trace.time.forEach((t, i) => {
    look(t, trace.value[i]);
  });
  for (let k = 1; k < 3000; k++) look((run.reached * k) / 3000.37, trace.at((run.reached * k) / 3000.37));
  return worst;
}

/** What a first-order circuit of time constant tau makes of a unit ramp of length `rise` that begins at 0. */
const ramped = (t: number, rise: number, tau: number) => {
  const slope = (x: number) => (x <= 0 ? 0 : (x + tau * Math.expm1(-x / tau)) / rise);
  return slope(t) - slope(t - rise);
};
/** The step response of a series ring, 1 − e^(−at)(cos wt + a/w sin wt). */
const rung = (t: number, a: number, w: number) =>
  t <= 0 ? 0 : 1 - Math.exp(-a * t) * (Math.cos(w * t) + (a / w) * Math.sin(w * t));

// Edges are centred on their instants and named by their 10 to 90 %: this one runs from 10 to 110 us.
const slow = "signal v = pulse 0 V to 5 V, wide 1 ms, first 60 us, edges 80 us";
const free = 1 / Math.sqrt(1e-3 * 1e-6);
const period = (2 * Math.PI) / free;
/** Series ring of 200 kHz and Q 20: 1 nF, its coil and its resistor. */
const fast = (() => {
  const w0 = 2 * Math.PI * 200e3;
  const L = 1 / (w0 * w0 * 1e-9);
  const R = (w0 * L) / 20;
  const a = R / (2 * L);
  return { L, R, a, w: Math.sqrt(w0 * w0 - a * a) };
})();
/** v″ + 2a v′ + w² v = w² sin wt from rest: −Q cos wt and what makes it start at nothing. */
const driven = (Q: number) => (t: number) => {
  const a = free / (2 * Q);
  const w = Math.sqrt(free * free - a * a);
  return -Q * Math.cos(free * t) + Q * Math.exp(-a * t) * (Math.cos(w * t) + (a / w) * Math.sin(w * t));
};

const trials: readonly Trial[] = [
  {
    what: "a slow ramp into a coil that has not moved yet",
    text: `${slow}\nresistor r v -> a 1 kohm\ninductor l a -> ground 10 mH`,
    options: { until: "300 us" },
    probe: "l.current",
    swing: 5e-3,
    exact: (t) => 5e-3 * ramped(t - 10e-6, 100e-6, 10e-6),
  },
  {
    what: "the voltage behind that coil",
    text: `${slow}\ninductor l v -> a 10 mH\nresistor r a -> ground 1 kohm`,
    options: { until: "300 us" },
    probe: "a",
    swing: 5,
    exact: (t) => 5 * ramped(t - 10e-6, 100e-6, 10e-6),
  },
  {
    what: "its dual, a slow ramp of current into a capacitor",
    text: `signal i = pulse 0 V to 5 V, wide 1 ms, first 60 us, edges 80 us
      resistor r i -> a 1 kohm\ncapacitor c a -> ground 10 nF`,
    options: { until: "300 us" },
    probe: "a",
    swing: 5,
    exact: (t) => 5 * ramped(t - 10e-6, 100e-6, 10e-6),
  },
  ...[15, 100].map((count) => ({
    what: `a free ring after ${count} periods`,
    text: "inductor l a -> ground 1 mH\ncapacitor c a -> ground 1 uF, starts 1 V",
    options: { until: count * period, start: "rest" as const },
    probe: "a",
    swing: 2,
    exact: (t: number) => Math.cos(free * t),
  })),
  {
    what: "a ring of Q 20 that every half of a line strikes",
    text: `signal v = pulse 0 V to 1 V, wide 32 us, every 64 us
      resistor r v -> a ${fast.R} ohm\ninductor l a -> b ${fast.L} H\ncapacitor c b -> ground 1 nF`,
    options: { until: "256 us", start: "rest" },
    probe: "b",
    swing: 1.9,
    exact: (t) =>
      [0, 64e-6, 128e-6, 192e-6].reduce(
        (sum, at) => sum + rung(t - at, fast.a, fast.w) - rung(t - at - 32e-6, fast.a, fast.w),
        0,
      ),
  },
  {
    what: "a ring of Q 100 driven at its resonance, over 60 periods",
    text: `signal v = sine -1 V to 1 V, at ${free / (2 * Math.PI)} Hz
      resistor r v -> a ${Math.sqrt(1000) / 100} ohm\ninductor l a -> b 1 mH\ncapacitor c b -> ground 1 uF`,
    options: { until: 60 * period, start: "rest" },
    probe: "b",
    swing: 120,
    exact: driven(100),
  },
  {
    what: "an edge of 1 V beside 25 kV",
    text: `supply hv = 25 kV\nresistor bleed hv -> x 100 Mohm\ncapacitor keep x -> ground 1 nF
      signal s = pulse 0 V to 1 V, wide 1 s, first 100 us\nresistor r s -> a 1 kohm\ncapacitor c a -> ground 100 nF`,
    options: { until: "1 ms" },
    probe: "a",
    swing: 1,
    exact: (t) => (t < 100e-6 ? 0 : -Math.expm1(-(t - 100e-6) / 1e-4)),
  },
  {
    what: "an edge of 1 mA beside 25 kV",
    text: `supply hv = 25 kV\nresistor bleed hv -> x 100 Mohm\nresistor rest x -> ground 100 Mohm
      signal s = pulse 0 V to 1 V, wide 1 s, first 100 us\nresistor r s -> a 1 kohm\ninductor l a -> ground 100 mH`,
    options: { until: "1 ms" },
    probe: "l.current",
    swing: 1e-3,
    exact: (t) => (t < 100e-6 ? 0 : -1e-3 * Math.expm1(-(t - 100e-6) / 1e-4)),
  },
  {
    what: "edges of 5 V through a coil into 1 Mohm while another carries 100 mA",
    text: `current i ground -> m 100 mA\ninductor other m -> n 10 mH\nresistor bear n -> ground 50 ohm
      signal s = pulse 0 V to 5 V, wide 20 us, first 5 us, edges 80 ns
      inductor l s -> out 10 mH\nresistor r out -> ground 1 Mohm`,
    options: { until: "40 us" },
    probe: "out",
    swing: 5,
    exact: (t) => 5 * (ramped(t - 4.95e-6, 100e-9, 10e-9) - ramped(t - 24.95e-6, 100e-9, 10e-9)),
  },
];

describe.each(ways)("a circuit that steps: $way", ({ around, method }) => {
  it.each(trials)("follows $what", (trial) => {
    const run = simulate(compile(`${trial.text}\n${around}`), {
      ...trial.options,
      ...(method && { method }),
    });
    expect(run.status).toBe("complete");
    expect(off(run, trial)).toBeLessThan(1e-6);
    const { energy, currentLaw } = balance(run);
    expect(currentLaw).toBeLessThan(1e-9);
    expect(energy).toBeLessThan(1e-5);
  });
});

describe("a coil that has carried 100 mA", () => {
  // It is let go into 1 Mohm at 1 ms and driven by edges of 5 V from then on: 5 uA beside what it once carried.
  it("shows edges of 5 V at 1 Mohm to 1e-3 of their swing", () => {
    const design = compile(`
      signal s = pulse 0 V to 5 V, wide 20 us, first 1.1 ms, every 40 us, edges 80 ns
      signal gate = pulse 5 V to 0 V, wide 1 s, first 1 ms
      supply feed = 5 V
      inductor l s -> out 10 mH
      resistor r out -> ground 1 Mohm
      resistor load feed -> top 50 ohm
      switch on top -> out closed while gate above 2.5 V`);
    const run = simulate(design, { until: "1.2 ms", method: "mixed" });
    const trace = run.trace("out");
    let worst = 0;
    for (let k = 0; k < 2000; k++) {
      const t = 1.085e-3 + (0.115e-3 * (k + 0.5)) / 2000;
      const by = [0, 40e-6, 80e-6].reduce(
        (sum, at) => sum + ramped(t - 1.09995e-3 - at, 1e-7, 1e-8) - ramped(t - 1.11995e-3 - at, 1e-7, 1e-8),
        0,
      );
      worst = Math.max(worst, Math.abs(trace.at(t) - 5 * by));
    }
    expect(worst / 5).toBeLessThan(1e-3);
  });
});
