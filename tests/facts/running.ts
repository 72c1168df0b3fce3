// What the fact tests share: a run that must complete, the distance of two numbers, the published figures of
// shared/closed-forms.json, and the closed form of a ramp that a switch resets. The form is worked out here from
// the element laws alone, in exponentials, and uses nothing of the program under test.
import { readFileSync } from "node:fs";
import { expect } from "vitest";
import {
  type CheckResult,
  compile,
  type Run,
  type SimulateOptions,
  simulate,
  type Trace,
  verify,
  verifyAll,
} from "../../src/index.js";

export const figures = JSON.parse(
  readFileSync(new URL("../../shared/closed-forms.json", import.meta.url), "utf8"),
);

/** Simulates a text; the run must reach its end. */
export function run(text: string, options: SimulateOptions = {}): Run {
  const done = simulate(compile(text), options);
  expect(done.reason).toBe("");
  expect(done.status).toBe("complete");
  return done;
}

/** Distance of a value from another as a share of that. */
export const off = (value: number, exact: number): number => Math.abs(value / exact - 1);

/** The last value of a trace. */
export const last = (trace: Trace): number => trace.value[trace.value.length - 1];

/** What a check of the run measured, by its name and case. */
export function measured(done: Run, name: string, inCase = ""): CheckResult {
  const results = inCase === "" ? verify(done) : verifyAll(done.design, { simulate: { until: done.until } });
  const result = results.find((r) => r.name === name && r.case === inCase);
  if (!result) throw new Error(`no check "${name}" in case "${inCase}"`);
  return result;
}

/** A ramp: source, capacitor, and a switch that is closed for `reset` at the start of each period. */
export interface Ramp {
  readonly amperes: number;
  readonly farads: number;
  /** Resistance across the source, Ω; Infinity for none. */
  readonly output: number;
  /** Volts that drive `output` when the ramp stands at zero. */
  readonly reach: number;
  /** On-resistance of the switch, Ω, greater than zero. */
  readonly on: number;
  /** s */
  readonly period: number;
  /** s */
  readonly reset: number;
}

/**
 * Voltage of a ramp at t seconds, from the steady state of a closed switch at time zero.
 * Law: C v′ = I + (reach − v)/R − v/R_on while closed. Solutions are exponentials, a straight line for R infinite.
 */
export function rampForm(r: Ramp): (t: number) => number {
  const g = 1 / r.output;
  const drive = r.amperes + r.reach * g;
  const floor = drive / (1 / r.on + g);
  const fallTau = r.farads / (1 / r.on + g);
  const fall = (v0: number, t: number) => floor + (v0 - floor) * Math.exp(-t / fallTau);
  // −expm1 keeps the digits where the ramp is nearly straight.
  const climb = (v0: number, t: number) =>
    g === 0 ? v0 + (drive / r.farads) * t : v0 + (drive / g - v0) * -Math.expm1((-t * g) / r.farads);
  const starts = [floor];
  return (t) => {
    // An instant at a period's end, but for rounding, belongs to the next.
    const k = Math.floor(t / r.period + 1e-13);
    while (starts.length <= k)
      starts.push(climb(fall(starts[starts.length - 1], r.reset), r.period - r.reset));
    const into = Math.max(0, t - k * r.period);
    return into <= r.reset ? fall(starts[k], into) : climb(fall(starts[k], r.reset), into - r.reset);
  };
}

/** Where a rule that is false at a and true at b turns, by halving. */
export function turn(a: number, b: number, rule: (x: number) => boolean): number {
  let [low, high] = [a, b];
  for (let i = 0; i < 100; i++) {
    const middle = (low + high) / 2;
    if (rule(middle)) high = middle;
    else low = middle;
  }
  return low;
}
