// What is slow beside what is very fast keeps its digits, up to twelve orders apart and more, or a warning names the
// parts. Closed forms: two states that are joined by something fast and leak slowly; of λ² − trace λ + det = 0 the fast
// root by the formula, the slow one as det / fast, which cancels nothing (Numerical Recipes, 2007, 5.6).
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const run = (text: string) => {
  const done = simulate(compile(text), { until: "1 s", start: "rest" });
  expect(done.status).toBe("complete");
  return done;
};

/** First entry at 1 s of x' = M x, with M's trace and determinant given apart, so that they are right to a rounding. */
function first(m11: number, m12: number, trace: number, det: number, x1: number, x2: number): number {
  const fast = (trace - Math.sqrt(trace * trace - 4 * det)) / 2;
  const slow = det / fast;
  // x₂ = k x₁ along each eigenvector, from the first row.
  const [s, f] = [(slow - m11) / m12, (fast - m11) / m12];
  const q = (x2 - s * x1) / (f - s);
  return (x1 - q) * Math.exp(slow) + q * Math.exp(fast);
}

const orders = [6, 8, 10, 12, 14];

it.each(orders)("two capacitors joined by 1 Gohm / 1e%i that leak through 1 Gohm", (order) => {
  const r = 1e9 / 10 ** order;
  const [a, b] = [1 / (r * 1e-9), 1 / (1e9 * 1e-9)];
  const v = run(`
    capacitor c1 a -> ground 1 nF, starts 1 V
    capacitor c2 b -> ground 1 nF, starts 3 V
    resistor join a -> b ${r} ohm
    resistor leak b -> ground 1 Gohm`);
  expect(Math.abs(v.trace("a").at(1) / first(-a, a, -2 * a - b, a * b, 1, 3) - 1)).toBeLessThan(1e-10);
  expect(v.warnings).toEqual([]);
});

it.each(orders)("three capacitors in a ring, two corners joined by 1 Gohm / 1e%i", (order) => {
  // C = (2 −1; −1 2) nF, so C⁻¹ = (2 1; 1 2) / 3 nF.
  const r = 1e9 / 10 ** order;
  const [a, b] = [1 / (r * 3e-9), 1 / (1e9 * 3e-9)];
  const v = run(`
    capacitor c1 a -> ground 1 nF, starts 1 V
    capacitor c2 b -> ground 1 nF, starts 1 V
    capacitor c3 a -> b 1 nF
    resistor join a -> b ${r} ohm
    resistor leak b -> ground 1 Gohm`);
  const exact = first(-a, a - b, -2 * a - 2 * b, 3 * a * b, 1, 1);
  expect(Math.abs(v.trace("a").at(1) / exact - 1)).toBeLessThan(1e-10);
  expect(v.warnings).toEqual([]);
});

it.each(orders)("two capacitors in series, fed through 1 Gohm / 1e%i, one of them leaks", (order) => {
  // With y what stands across the feed: y' = −2a y + b v, v' = a y − b v, from 5 V and 0 V.
  const r = 1e9 / 10 ** order;
  const [a, b] = [1 / (r * 1e-9), 1 / (1e9 * 1e-9)];
  const done = run(`
    supply feed = 5 V
    resistor in feed -> a ${r} ohm
    capacitor c1 a -> b 1 nF, starts 0 V
    capacitor c2 b -> ground 1 nF, starts 0 V
    resistor leak b -> ground 1 Gohm`);
  const exact = first(-b, a, -2 * a - b, a * b, 0, 5);
  expect(Math.abs(done.trace("b").at(1) / exact - 1)).toBeLessThan(1e-10);
  expect(done.warnings).toEqual([]);
});

it.each(orders)("two coils joined by 1 mohm times 1e%i, one of them with 1 mohm in series", (order) => {
  // The dual: i₁' = −R (i₁ + i₂) / L, i₂' = −R (i₁ + i₂) / L − r i₂ / L; the current that runs around dies out slowly.
  const R = 1e-3 * 10 ** order;
  const [a, b] = [R / 1e-3, 1e-3 / 1e-3];
  const done = run(`
    inductor l1 a -> ground 1 mH, starts 1 A
    inductor l2 a -> b 1 mH, starts -3 A
    resistor slow b -> ground 1 mohm
    resistor across a -> ground ${R} ohm`);
  const exact = first(-a, -a, -2 * a - b, a * b, 1, -3);
  expect(Math.abs(done.trace("l1.current").at(1) / exact - 1)).toBeLessThan(1e-10);
  expect(done.warnings).toEqual([]);
});

const rails = `
  supply high = 12 V
  supply low = -12 V
  signal in = sine -1 V to 1 V, at 50 Hz`;
const triple = (input: string) => `
  resistor up out -> mid 20 kohm
  resistor down mid -> ground 10 kohm
  amplifier fast ${input} -> out minus mid, high high, low low, bandwidth 1 GHz, output 0 ohm`;

it("a stage of three times whose own output feeds its input just as it is drained: not right, and said", () => {
  // Three times, back through twice what drains it: 2/(2r) − 1/r = 0 at any r, and only a leak of 1 Gohm is left. One rounding
  // of the gain is 1e9 · 2^−53 a second by then.
  const done = run(`${rails}
    capacitor hold a -> ground 1 nF, starts 1 V
    resistor leak a -> ground 1 Gohm
    ${triple("a")}, gain 1e15
    resistor back out -> a 2 ohm
    resistor drain a -> ground 1 ohm`);
  expect(done.warnings.join()).toMatch(/'hold', 'fast' is not right to eight digits/);
});

it.each([
  ["apart", "resistor none a -> ground 1 Gohm", "in"],
  ["one way", "resistor slow p -> a 1 Mohm", "in"],
  ["in a loop that is slow", "resistor slow p -> a 10 Mohm", "a"],
])("a picofarad and a fast stage beside a slow capacitor, %s: right, and nothing said", (_, part, input) => {
  const done = run(`${rails}
    capacitor hold a -> ground 1 uF, starts 1 V
    resistor leak a -> ground 1 Mohm
    ${triple(input)}
    resistor out1 out -> p 1 ohm
    capacitor stray p -> ground 1 pF
    ${part}`);
  expect(done.warnings).toEqual([]);
});
