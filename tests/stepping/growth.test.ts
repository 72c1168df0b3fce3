// What grows without bound ends its run with a word of its own, at the instant at which it left what doubles can reckon
// with (1e50 V or A), and leaves no infinity and no NaN anywhere. Closed forms: e^(t/τ), and the growing ring of an LC with
// a negative conductance (any network text).
import { expect, it } from "vitest";
import { balance, compile, type SimulateOptions, simulate } from "../../src/index.js";

const growing = `
  capacitor c a -> ground 1 uF, starts 1 V
  current g ground -> a 0 A, follows a, gain 1 mA/V`;
const edges = `
  signal x = pulse 0 V to 1 V, wide 10 us, every 64 us
  resistor r x -> other 1 Mohm
  resistor s other -> ground 1 Mohm`;
const watched = `
  diode d a -> q drop 1 V
  resistor r q -> ground 1 Gohm`;

const seen = (text: string, until: string, options: SimulateOptions = {}) => {
  const run = simulate(compile(text), { until, start: "rest", ...options });
  for (const trace of run.draw(run.names)) {
    expect(trace.value.every(Number.isFinite), trace.name).toBe(true);
    expect(trace.time.every((t) => t <= run.reached)).toBe(true);
  }
  for (const value of Object.values(balance(run))) expect(value).not.toBeNaN();
  return run;
};

it.each([
  ["in one leap that would overflow", "2 s", growing],
  ["in one leap whose end is still a number", "0.5 s", growing],
  ["between edges", "0.5 s", growing + edges],
  ["with a guard watched", "2 s", growing + watched],
])("a state that e times every millisecond, %s", (_, until, text) => {
  const run = seen(text, until);
  expect([run.status, run.code]).toEqual(["stopped", "overflow"]);
  expect(run.reason).toBe("'c' grows without bound");
  // The load of the guard takes 1e-6 of the growth.
  expect(run.reached / (1e-3 * 50 * Math.LN10)).toBeCloseTo(1, text.includes("diode") ? 5 : 9);
});

it("a ring that grows", () => {
  // x'' − (g/C) x' + x/LC = 0: grows as e^(t g / 2C), so its envelope is at 1e50 V after 50 ln 10 · 2C/g, and at 1e50 A
  // ln √(L/C) later; where all its voltage is current, it is within bounds until then.
  const run = seen(`${growing}\n inductor l a -> ground 1 mH`, "5 s");
  expect(run.code).toBe("overflow");
  const share = run.reached / (2e-3 * 50 * Math.LN10);
  expect(share).toBeGreaterThan(0.999);
  expect(share).toBeLessThan(1 + Math.log(Math.sqrt(1e-3 / 1e-6)) / (50 * Math.LN10) + 0.001);
});

it.each(["mixed", "trapezoid", "tr-bdf2"] as const)("by steps, %s", (method) => {
  const run = seen(growing, "0.5 s", { method, step: "10 us" });
  expect(run.code).toBe("overflow");
  // Of e^(h/τ) = 1.01005… each step takes 1.01005 ± 1e-6.
  expect(run.reached / (1e-3 * 50 * Math.LN10)).toBeCloseTo(1, 3);
});

it.each(["mixed", "trapezoid", "tr-bdf2"] as const)(
  "by steps as long as the error lets them be, %s",
  (method) => {
    // However long a run is asked for: what it is to be as true as counts no longer than what grows can last, so that it is over
    // after a million steps (4e7 before that was so).
    // Its end alone is kept, where it comes to the bound.
    const record = { from: "110 ms" };
    const run = seen(growing, "1000 s", { method, limits: { steps: 2e6 }, record });
    expect([run.code, run.reason]).toEqual(["overflow", "'c' grows without bound"]);
    expect(run.reached / (1e-3 * 50 * Math.LN10)).toBeCloseTo(1, 4);
  },
);

it("what could grow and has nothing to begin with stays at rest for as long as one likes", () => {
  const run = seen(growing.replace(", starts 1 V", ""), "5 s");
  expect(run.status).toBe("complete");
  expect(run.trace("a").at(4.9)).toBe(0);
});
