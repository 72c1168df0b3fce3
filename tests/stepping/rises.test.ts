// How far a guard can rise within a leap: no less than it does, by the closed form of what moves it, and where each sixteenth
// is bounded by itself hardly more.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { GuardBounds } from "../../src/stepping/guardbounds.js";
import { riseOf, waysOf } from "../../src/stepping/rises.js";

// A series RLC, 1e6 radians a second and damped by 0.3, with a diode to 5 V behind it; a ramp of 0.1 V/us from rest drives it.
const [natural, damped, steep] = [1e6, 0.3, 1e5];
const text = `
  signal drive = pulse 0 V to 1 V, wide 50 us, every 100 us, edges 10 us
  supply top = 5 V
  resistor series drive -> near 600 ohm
  inductor coil near -> mid 1 mH
  capacitor hold mid -> ground 1 nF
  diode clamp mid -> top drop 0 V, on 1 ohm`;

/** What a ramp makes of 1/(1 + 2ζs/ω + s²/ω²), from rest: it rises all the way (any table of Laplace transforms). */
function ramped(t: number): number {
  const lag = (2 * damped) / natural;
  const ring = natural * Math.sqrt(1 - damped * damped);
  const swing = lag * Math.cos(ring * t) + ((2 * damped * damped - 1) / ring) * Math.sin(ring * t);
  return steep * (t - lag + Math.exp(-damped * natural * t) * swing);
}

/** What the diode's guard can rise by within so many seconds of the ramp, by `closely` and by `finely`. */
function risesWithin(seconds: number) {
  const { assembly } = simulate(compile(text), { until: "100 us", start: "rest" });
  const { motion, matrices } = assembly.courses.of(assembly.system.combinations[0]);
  const bounds = new GuardBounds(motion, matrices.doubling, undefined);
  const d = new Float64Array(motion.width);
  // At rest, where the ramp begins, nothing moves but the level of the source.
  d[motion.voices[0].level] = steep;
  const ways = new Int32Array(d.length);
  waysOf(d, ways);
  const ticks = Math.floor(seconds / assembly.clock.seconds);
  return [bounds.closely(ticks), bounds.finely(ticks)].map((within) => riseOf(within, 0, d, ways));
}

it.each([0.3, 0.51, 1, 2, 3.7, 6, 8, 10])("a ramp into a ring, %s radians of it", (radians) => {
  const seconds = radians / natural;
  const [closely, finely] = risesWithin(seconds);
  expect(finely).toBeGreaterThanOrEqual(ramped(seconds) * (1 - 1e-9));
  expect(finely).toBeLessThanOrEqual(closely * (1 + 1e-9));
  // Up to an eighth is added to the length, since bounds go by sixteenths of a power of two.
  expect(finely).toBeLessThan(ramped(seconds * (1 + 1 / 8)));
});

it.each([1e-6, 3.3e-6, 20e-6, 59.3e-6])(
  "a ramp far shorter than its time constant, %s s of it",
  (seconds) => {
    const slow = `
    supply plus12 = 12 V
    supply top = 5 V
    resistor series plus12 -> ramp 1 Mohm
    capacitor hold ramp -> ground 1 uF
    diode clamp ramp -> top drop 0 V, on 1 ohm`;
    const { assembly } = simulate(compile(slow), { until: "100 us", start: "rest" });
    const { motion, matrices } = assembly.courses.of(assembly.system.combinations[0]);
    const bounds = new GuardBounds(motion, matrices.doubling, undefined);
    // It starts at 1 V/s, and 1 s is its time constant: x = τ x' (1 - e^(-t/τ)).
    const d = new Float64Array(motion.width);
    d[0] = 1;
    const ways = new Int32Array(d.length);
    waysOf(d, ways);
    const within = bounds.closely(Math.floor(seconds / assembly.clock.seconds));
    const risen = -Math.expm1(-seconds);
    expect(riseOf(within, 0, d, ways)).toBeGreaterThanOrEqual(risen * (1 - 1e-9));
    expect(riseOf(within, 0, d, ways)).toBeLessThan(risen * (1 + 1 / 8));
  },
);
