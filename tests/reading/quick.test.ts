// What is slow behind what is very quick: the slope of the quick state is a difference of terms that are a million times larger, and
// that must not count as doubt about its value. Expected: the closed loop of a follower, H = k A / (1 + k A + j f k' / B) with A the
// gain, B the gain-bandwidth product, k = R / (R + output) (any text on feedback); rise and turn of a sine by its size and phase.
import { expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";

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
