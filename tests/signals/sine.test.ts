// The sine of our own against the engine's, whose last bits may differ, and against exact phase arithmetic.
import fc from "fast-check";
import { expect, test } from "vitest";
import { Fraction, fromNumber, one, ratio, toNumber } from "../../src/base/fraction.js";
import { Player } from "../../src/signals/player.js";
import { arcsinTurns, cosTurns, Phase, sinTurns } from "../../src/signals/sine.js";
import { sine, wrapped } from "../../src/signals/wave.js";

// π to 50 digits (OEIS A000796), and Taylor's series in fixed point with 160 binary places.
const places = 160n;
const pi = (314159265358979323846264338327950288419716939937510n << places) / 10n ** 50n;

/** sin 2πx of a double, exact to 40 digits, rounded once. */
function trueSin(x: number): number {
  const turns = fromNumber(x);
  const y = (2n * pi * turns.s * turns.n) / turns.d;
  let term = y;
  let sum = y;
  for (let k = 2n; term !== 0n; k += 2n) {
    term = -(((term * y) >> places) * y) / (1n << places) / (k * (k + 1n));
    sum += term;
  }
  return toNumber(ratio(sum, 1n << places));
}

test("sine and cosine of a turn, to 3e-16", () => {
  let worst = 0;
  for (let i = -2000; i <= 3000; i++) {
    const x = i / 2003;
    worst = Math.max(worst, Math.abs(sinTurns(x) - trueSin(x)));
    // A quarter of a turn away, exact where the doubles allow it.
    const y = x + 0.25;
    if (y - 0.25 === x) worst = Math.max(worst, Math.abs(cosTurns(x) - trueSin(y)));
  }
  expect(worst).toBeLessThan(3e-16);
});

test("against the engine's sine, whose argument 2πx is itself rounded", () => {
  let worst = 0;
  for (let i = -50_000; i <= 50_000; i++) {
    const x = i / 100_003;
    worst = Math.max(worst, Math.abs(sinTurns(x) - Math.sin(2 * Math.PI * x)));
  }
  // Half a unit of 3.14's last place, the constant's own error, and ours.
  expect(worst).toBeLessThan(2.3e-16 + 1.3e-16 + 3e-16);
});

test("small angles, relative", () => {
  for (let x = 0.12; x > 1e-300; x /= 1.7) {
    expect(Math.abs(sinTurns(x) / Math.sin(2 * Math.PI * x) - 1)).toBeLessThan(5e-16);
  }
});

test("quarters of a turn are exact", () => {
  expect([0, 0.25, 0.5, 0.75, 1].map(sinTurns).map((x) => x + 0)).toEqual([0, 1, 0, -1, 0]);
  expect([0, 0.25, 0.5, 0.75, 1].map(cosTurns).map((x) => x + 0)).toEqual([1, 0, -1, 0, 1]);
  // sin 30° = 1/2; sin 45° = √½.
  expect(Math.abs(sinTurns(1 / 12) - 0.5)).toBeLessThanOrEqual(2 ** -53);
  expect(Math.abs(sinTurns(1 / 8) - Math.SQRT1_2)).toBeLessThanOrEqual(2 ** -53);
});

test("the arcsine undoes the sine", () => {
  for (let i = 0; i <= 10_000; i++) {
    const s = (i / 10_000) * Math.SQRT1_2;
    expect(Math.abs(arcsinTurns(s) - Math.asin(s) / (2 * Math.PI))).toBeLessThanOrEqual(4e-16 * (s / 6));
  }
});

test("the phase keeps 1e-15 turn up to tick 2^53", () => {
  fc.assert(
    fc.property(
      fc.bigInt({ min: 1n, max: 10n ** 30n }),
      fc.bigInt({ min: 1n, max: 10n ** 24n }),
      fc.maxSafeInteger(),
      fc.integer({ min: 0, max: 96 }),
      (a, b, n, start) => {
        const rate = ratio(a, b);
        const phase = new Phase(rate, ratio(start, 97)).at(n);
        const exact = wrapped(rate.mul(ratio(n)).add(ratio(start, 97)), one);
        const apart = Math.abs(phase - toNumber(exact));
        expect(Math.min(apart, 1 - apart)).toBeLessThan(6e-16);
      },
    ),
    { numRuns: 2000, seed: 1 },
  );
});

test("value, slope and bend against the closed form, late in a run", () => {
  const wave = sine({ low: ratio(-3), high: ratio(5), frequency: ratio(50), phase: ratio(1, 4) });
  const tick = new Fraction(1n, 700_000_001n);
  const player = new Player(wave, tick);
  for (const n of [0, 1, 12_345_678, 2 ** 40 + 3, 2 ** 52 + 1]) {
    const turns = toNumber(wrapped(ratio(n).mul(tick).mul(50).add(ratio(1, 4)), one));
    const w = 2 * Math.PI * 50;
    expect(player.value(n, 1)).toBeCloseTo(1 + 4 * Math.sin(2 * Math.PI * turns), 13);
    expect(player.slope(n, 1) / w).toBeCloseTo(4 * Math.cos(2 * Math.PI * turns), 13);
    expect(player.bend(n, 1) / w / w).toBeCloseTo(-4 * Math.sin(2 * Math.PI * turns), 13);
  }
});

test("a whole number of ticks a period repeats bit for bit", () => {
  const player = new Player(sine({ low: ratio(0), high: ratio(1), frequency: ratio(1, 997) }), one);
  for (let n = 0; n < 997; n++) expect(player.value(n + 997 * 9_000_000_000_000, 1)).toBe(player.value(n, 1));
});
