// Rectifiers beside solvers of another make that know nothing of modes: each diode is the curve i = max(0, (v − drop)/on), and
// the circuit an ordinary differential equation in its capacitors and coils, written here from the element laws. A bridge into
// a pi-filter goes by odex 2.0.4 (the extrapolation code ODEX of Hairer, Nørsett & Wanner, Solving Ordinary Differential
// Equations I, 1993), a multiplier by Runge's and Kutta's steps of fourth order, its source's node solved for in each. At a corner
// of a diode's curve a step is off by some h² of its slope: 1e-6 of the swing is what both are good for here.
import { Solver } from "odex";
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { Chance } from "../verify/chance.js";

const seeds = (count: number) => Array.from({ length: count }, (_, k) => k);
const flow = (volts: number, drop: number, on: number) => Math.max(0, (volts - drop) / on);

interface Bridge {
  readonly V: number;
  readonly Rs: number;
  readonly on: number;
  readonly first: number;
  readonly L: number;
  readonly store: number;
  readonly load: number;
}

/** Voltages at the bridge and at the load after each of some milliseconds, from rest. */
function bridged({ V, Rs, on, first, L, store, load }: Bridge, milliseconds: number): [number, number][] {
  // Milliseconds, for the code's choice of steps. Two diodes conduct at a time, those that the mains' sign asks for.
  const law = (t: number, [p, i, out]: number[]) => {
    const mains = Math.abs(V * Math.sin((2 * Math.PI * t) / 20));
    const into = flow(mains - p, 1.4, Rs + 2 * on);
    return [(into - i) / first, (p - out) / L, (i - out / load) / store].map((slope) => 1e-3 * slope);
  };
  let y = [0, 0, 0];
  return Array.from({ length: milliseconds }, (_, t) => {
    const solver = new Solver(3);
    solver.relativeTolerance = 1e-9;
    solver.absoluteTolerance = 1e-10 * V;
    solver.initialStepSize = 1e-3;
    solver.maxSteps = 100_000;
    const done = solver.solve(law, t, y, t + 1);
    expect(done.outcome).toBe(0);
    y = done.y;
    return [y[0], y[2]];
  });
}

describe("a bridge behind a resistance, into a pi-filter", () => {
  it.each(seeds(8))("values by chance, %i", (seed) => {
    const chance = new Chance(seed + 1);
    const between = (low: number, high: number) =>
      Number((low * (high / low) ** chance.share()).toPrecision(3));
    const drawn = (): Bridge => ({
      V: between(5, 300),
      Rs: between(0.5, 20),
      on: between(0.05, 1),
      first: between(1e-5, 1e-3),
      L: between(1e-2, 5),
      store: between(1e-5, 1e-3),
      load: between(20, 5000),
    });
    // Where the choke rings the bridge's output below ground all four conduct, which the law above does not say.
    let [of, other] = [drawn(), [] as [number, number][]];
    for (other = bridged(of, 60); other.some(([p]) => p < 0); other = bridged(of, 60)) of = drawn();
    const { V, Rs, on, first, L, store, load } = of;
    const ways = ["c -> p", "b -> p", "ground -> c", "ground -> b"];
    const text = `voltage mains a -> b sine -${V} V to ${V} V, at 50 Hz
      resistor rs a -> c ${Rs} ohm
      ${ways.map((way, k) => `diode d${k} ${way} drop 0.7 V, on ${on} ohm`).join("\n")}
      capacitor first p -> ground ${first} F
      inductor choke p -> out ${L} H
      capacitor store out -> ground ${store} F
      resistor load out -> ground ${load} ohm`;
    const run = simulate(compile(text), { start: "rest", until: "60 ms" });
    expect([run.status, run.reason, run.warnings]).toEqual(["complete", "", []]);
    const worst = other.flatMap(([p, out], ms) => {
      const t = (ms + 1) * 1e-3;
      return [Math.abs(run.trace("p").at(t) - p) / V, Math.abs(run.trace("out").at(t) - out) / V];
    });
    expect(Math.max(...worst)).toBeLessThan(1e-6);
  });
});

/** A multiplier of diodes alike, from rest: what its output stands at after each of some milliseconds. */
function multiplied(
  of: { V: number; Rs: number; on: number; p: readonly number[]; q: readonly number[]; load: number },
  milliseconds: number,
  h: number,
): number[] {
  const { V, Rs, on, p, q, load } = of;
  const stages = p.length;
  // Voltages of the nodes for a given one of the source's, and what the diodes then carry.
  const currents = (y: Float64Array, source: number) => {
    const [up, over] = [new Float64Array(stages), new Float64Array(stages)];
    let [x, low] = [source, 0];
    for (let k = 0; k < stages; k++) {
      x -= y[k];
      up[k] = flow(low - x, 0.7, on);
      low += y[stages + k];
      over[k] = flow(x - low, 0.7, on);
    }
    return { up, over, out: low };
  };
  const law = (t: number, y: Float64Array) => {
    const mains = V * Math.sin(2 * Math.PI * 50 * t);
    // What the source's resistance lets through is what the diodes take from the pumps: the one rises, the other falls with
    // the voltage behind it, in straight pieces. Newton's steps end on the piece.
    let source = mains;
    for (let turn = 0; turn < 60; turn++) {
      const { up, over } = currents(y, source);
      let [sum, slope] = [(mains - source) / Rs, -1 / Rs];
      for (let k = 0; k < stages; k++) {
        sum -= over[k] - up[k];
        if (over[k] > 0) slope -= 1 / on;
        if (up[k] > 0) slope -= 1 / on;
      }
      if (Math.abs(sum) < 1e-13 * V) break;
      source -= sum / slope;
    }
    const { up, over, out } = currents(y, source);
    const slopes = new Float64Array(2 * stages);
    for (let k = stages - 1, [pump, store] = [0, -out / load]; k >= 0; k--) {
      pump += over[k] - up[k];
      store += over[k] - (k + 1 < stages ? up[k + 1] : 0);
      slopes[k] = pump / p[k];
      slopes[stages + k] = store / q[k];
    }
    return slopes;
  };
  let y = new Float64Array(2 * stages);
  const found: number[] = [];
  const steps = Math.round(1e-3 / h);
  const moved = (slope: Float64Array, by: number) => y.map((v, i) => v + by * slope[i]);
  for (let ms = 0; ms < milliseconds; ms++) {
    for (let n = 0; n < steps; n++) {
      const t = (ms * steps + n) * h;
      const a = law(t, y);
      const b = law(t + h / 2, moved(a, h / 2));
      const c = law(t + h / 2, moved(b, h / 2));
      const d = law(t + h, moved(c, h));
      y = y.map((v, i) => v + (h / 6) * (a[i] + 2 * b[i] + 2 * c[i] + d[i]));
    }
    found.push(y.slice(stages).reduce((sum, v) => sum + v, 0));
  }
  return found;
}

describe("a multiplier behind a resistance", () => {
  it.each(seeds(5))("values by chance, %i", (seed) => {
    const chance = new Chance(seed + 11);
    const between = (low: number, high: number) =>
      Number((low * (high / low) ** chance.share()).toPrecision(3));
    const stages = 2 + (seed % 4);
    const [V, Rs, on] = [between(20, 300), between(5, 50), between(0.5, 5)];
    const sizes = () => Array.from({ length: stages }, () => between(1e-5, 1e-4));
    const [p, q, load] = [sizes(), sizes(), between(1e4, 1e6)];
    const lines = [
      `signal mains = sine -${V} V to ${V} V, at 50 Hz`,
      `resistor rs mains -> in ${Rs} ohm`,
      ...p.flatMap((_, k) => {
        const [before, low] = k === 0 ? ["in", "ground"] : [`x${k - 1}`, `y${k - 1}`];
        return [
          `capacitor p${k} ${before} -> x${k} ${p[k]} F`,
          `diode u${k} ${low} -> x${k} drop 0.7 V, on ${on} ohm`,
          `diode w${k} x${k} -> y${k} drop 0.7 V, on ${on} ohm`,
          `capacitor q${k} y${k} -> ${low} ${q[k]} F`,
        ];
      }),
      `resistor load y${stages - 1} -> ground ${load} ohm`,
    ];
    const run = simulate(compile(lines.join("\n")), { start: "rest", until: "30 ms" });
    expect([run.status, run.reason, run.warnings]).toEqual(["complete", "", []]);
    const out = run.trace(`y${stages - 1}`);
    const other = multiplied({ V, Rs, on, p, q, load }, 30, 5e-7);
    const worst = other.map((v, ms) => Math.abs(out.at((ms + 1) * 1e-3) - v) / V);
    expect(Math.max(...worst)).toBeLessThan(1e-6);
  });
});
