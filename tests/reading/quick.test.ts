// What is slow behind what is very quick: the slope of the quick state is a difference of terms that are a million times larger, and
// that must not count as doubt about its value. Expected: the closed loop of a follower, H = k A / (1 + k A + j f k' / B) with A the
// gain, B the gain-bandwidth product, k = R / (R + output) (any text on feedback); rise and turn of a sine by its size and phase.
import { expect, it } from "vitest";
import { compile, measure, simulate, verify } from "../../src/index.js";

const gain = 200_000;

it.each([
  [1e7, 1e3, 50],
  [1e9, 1e12, 50],
  [1e12, 1e3, 50],
  [1e12, 1e12, 50],
  [1e12, 1e12, 1000],
  [1e13, 1e9, 15625],
])("a follower of %s Hz on %s ohm shows a sine of %s Hz to 1e-6 of its swing", (bandwidth, ohms, hz) => {
  const run = simulate(
    compile(`supply high = 12 V
      supply low = -12 V
      signal s = sine -1 V to 1 V, at ${hz} Hz
      amplifier f s -> out minus out, high high, low low, gain ${gain}, bandwidth ${bandwidth} Hz, output 100 ohm
      resistor load out -> ground ${ohms} ohm
      check "top" peak of out after ${1 / hz} s below 2 V`),
    { until: 2 / hz },
  );
  expect([run.status, run.warnings]).toEqual(["complete", []]);
  const out = run.trace("out");
  const k = ohms / (ohms + 100);
  // s (1/A + k) + ds/dt / (2 pi B) = v, and the output is k s.
  const [re, im] = [1 / gain + k, hz / bandwidth];
  const size = k / Math.hypot(re, im);
  const phase = Math.atan2(im, re);
  expect(Math.abs(verify(run)[0].measured - size)).toBeLessThan(2e-6);
  for (let n = 1; n < 200; n++) {
    // From the second period on nothing of the start is left.
    const t = (1 + n / 200) / hz;
    expect(Math.abs(out.at(t) - size * Math.sin(2 * Math.PI * hz * t - phase))).toBeLessThan(2e-6);
  }
});

// A loop of capacitors and a source: one voltage follows the others and the source, so currents have a share of its slope, also
// where something decays in a nanosecond beside. Expected: the phasors of the same network (current law at three places).
it("currents around a loop of capacitors and a sine, beside a time constant of a nanosecond", () => {
  const [c3, a, c4, c5, half, c6, f] = [31.7e-12, 2610, 98.9e-12, 241e-9, 6.4, 114e-9, 20e3];
  const run = simulate(
    compile(`signal s1 = sine -2.25 V to 10 V, at ${f} Hz
capacitor x3 s1 -> n2 ${c3} F
resistor a n2 -> s1 ${a} ohm
capacitor x4 n2 -> n1 ${c4} F
capacitor x5 n2 -> n3 ${c5} F
potentiometer x2 n3 -> n2 ${2 * half} ohm, tap n1
capacitor x6 n1 -> ground ${c6} F
run for 1 ms, from settled`),
  );
  type Complex = readonly [re: number, im: number];
  const w = 2 * Math.PI * f;
  const add = (...all: Complex[]): Complex => [
    all.reduce((s, x) => s + x[0], 0),
    all.reduce((s, x) => s + x[1], 0),
  ];
  const times = ([p, q]: Complex, [r, s]: Complex): Complex => [p * r - q * s, p * s + q * r];
  const over = (x: Complex, [r, s]: Complex): Complex => {
    const [re, im] = times(x, [r, -s]);
    return [re / (r * r + s * s), im / (r * r + s * s)];
  };
  // From n2 on: n3 hangs on n2 by x5 and on n1 by half the track; it is one admittance between n2 and n1.
  const g: Complex = [1 / half, 0];
  const chain = over(times(g, [0, w * c5]), add(g, [0, w * c5]));
  const y21 = add(chain, g, [0, w * c4]);
  const below = over(times(y21, [0, w * c6]), add(y21, [0, w * c6]));
  const above: Complex = [1 / a, w * c3];
  const v2 = over(times(above, [6.125, 0]), add(above, below));
  const v1 = over(times(v2, y21), add(y21, [0, w * c6]));
  for (const [part, current] of [
    ["x3", times([0, w * c3], [6.125 - v2[0], -v2[1]])],
    ["x4", times([0, w * c4], [v2[0] - v1[0], v2[1] - v1[1]])],
    ["x6", times([0, w * c6], v1)],
  ] as const) {
    const expected = 2 * Math.hypot(...current);
    const { value } = measure(run, `swing of ${part}.current after 0.5 ms`);
    expect(Math.abs(value / expected - 1)).toBeLessThan(2e-6);
  }
});

// A winding on a place with nothing but 1 Tohm beside it: its current follows within 0.2 fs, and until then its slope is a difference
// of terms that are 1e15 times larger. Expected: Ohm's law on what stands still, the load beside the leak.
const winding = (amperes: number) => `current feed x -> ground 1 mA
resistor leak x -> ground 1 Tohm
resistor wire x -> y 100 ohm
inductor coil y -> z 1 mH
resistor load z -> ground 400 ohm
inductor other s -> ground 2 mH
resistor second s -> ground 1 kohm
coupling core coil -> other 90 %
signal gate = pulse 0 V to ${amperes > 1e-3 ? 5 : 1} V, wide 4.7 us, every 64 us
run for 640 us
`;
const across = (amperes: number) => amperes / (1 / 500 + 1e-12);

it("areas under what stands still beside a winding that nothing loads are those of its level", () => {
  const run = simulate(
    compile(`${winding(1e-3)}oneshot pause gate -> late lasts 10 us
      resistor far late -> s 100 kohm`),
  );
  for (const phrase of ["rms of x each gate", "mean of x each gate"])
    for (const { value } of measure(run, phrase).periods!)
      expect(Math.abs(Math.abs(value) / across(1e-3) - 1)).toBeLessThan(1e-9);
});

it("a trace beside such a winding comes to its end in leaps that recur", () => {
  const run = simulate(
    compile(`${winding(1.25e-3)}current more x -> ramp 250 uA
      capacitor hold ramp -> ground 11.8 nF
      switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm`),
  );
  const { value } = run.trace("x");
  expect(value.length).toBeLessThan(20_000);
  let worst = 0;
  for (const volts of value) worst = Math.max(worst, Math.abs(volts / -across(1.25e-3) - 1));
  // Across 1 Tohm stand the last places of a current that is carried from leap to leap.
  expect(worst).toBeLessThan((4 * 2 ** -52 * 1.25e-3 * 1e12) / across(1.25e-3));
});
