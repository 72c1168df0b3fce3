// Resistances from 1 µohm to 1 Eohm in one circuit: currents and voltages against the same equations in whole numbers,
// solved without rounding by another method (rational.ts).
import { describe, expect, it } from "vitest";
import type { Condensed } from "../../src/equations/condense.js";
import type { Collector } from "../../src/equations/elements.js";
import { Unsolvable } from "../../src/equations/topology.js";
import { tries } from "../counts.js";
import { collect, condensed } from "./circuits.js";
import { uniform } from "./matrices.js";
import { respond } from "./rational.js";

/** A random circuit: a tree of resistors that reaches every place, more of them, and what drives it. */
function randomCircuit(random: () => number, low: number, high: number) {
  const places = 2 + Math.floor(random() * 7);
  const pick = () => Math.floor(random() * places);
  const ohms = () => 10 ** (low + (high - low) * random());
  const parts: ((into: Collector) => void)[] = [];
  for (let p = 1; p < places; p++) {
    const [other, size] = [Math.floor(random() * p), ohms()];
    parts.push((s) => s.resistor(p, other, size));
  }
  for (let more = Math.floor(random() * 2 * places); more > 0; more--) {
    const [a, b, size] = [pick(), pick(), ohms()];
    if (a !== b) parts.push((s) => s.resistor(a, b, size));
  }
  let sources = 0;
  for (let drives = 1 + Math.floor(random() * 4); drives > 0; drives--) {
    const [a, b, kind, size] = [pick(), random() < 0.6 ? 0 : pick(), random(), ohms()];
    if (a === b) continue;
    if (kind < 0.3) {
      const level = { source: ++sources };
      parts.push((s) => s.hold(a, b, level));
    } else if (kind < 0.5) {
      const level = { source: ++sources };
      parts.push((s) => s.hold(a, b, level, size));
    } else if (kind < 0.7) {
      const level = { source: ++sources };
      parts.push((s) => s.push(a, b, level));
    } else if (kind < 0.9) parts.push((s) => s.capacitor(a, b, 1e-6));
    else parts.push((s) => s.inductor(a, b, 1e-3));
  }
  return { places, stamped: collect(...parts), sources };
}

describe("resistances far apart", () => {
  it("random circuits: every current and voltage, for every source", () => {
    const random = uniform(20);
    let [worst, judged, doubted, large] = [0, 0, 0, 0];
    for (let t = 0; t < tries(3000); t++) {
      const { places, stamped, sources } = randomCircuit(random, -6, 18);
      const { elements } = stamped;
      let eq: Condensed;
      try {
        eq = condensed(places, stamped, sources);
      } catch (error) {
        if (!(error instanceof Unsolvable) || error.code !== "source-loop") throw error;
        continue;
      }
      if (eq.dependent.length > 0) continue;
      const columns = [
        ...elements.filter((e) => e.state >= 0).map((e) => ({ state: e.state, source: -1 })),
        ...Array.from({ length: sources }, (_, s) => ({ state: -1, source: s + 1 })),
      ];
      const given = columns.map(({ state, source }) =>
        elements.map((e) =>
          (state >= 0 ? e.state === state : typeof e.level === "object" && e.level.source === source) ? 1 : 0,
        ),
      );
      const exact = respond(places, elements, given);
      if (!exact) throw new Error("the exact solver found it singular");
      const read = (rows: { X: Float64Array; U: Float64Array }, c: number) =>
        columns[c].state >= 0 ? rows.X[columns[c].state] : rows.U[columns[c].source];
      // Right to 1e-9; or nothing beside the largest of its kind, some 28 digits down; or the parts are named.
      const judge = (is: number, expected: number, most: number, named: boolean) => {
        judged++;
        if (Math.abs(is - expected) <= 1e-28 * most) return;
        if (named && !(Math.abs(is / expected - 1) < 1e-9)) doubted++;
        else worst = Math.max(worst, Math.abs(is / expected - 1));
      };
      const largest = (list: readonly number[]) => Math.max(...list.map(Math.abs));
      for (const [c, { currents, voltages }] of exact.entries()) {
        for (const [i, expected] of currents.entries())
          judge(read(eq.current(i), c), expected, largest(currents), eq.doubts.has(elements[i].part));
        for (const [p, expected] of voltages.entries())
          judge(read(eq.place(p), c), expected, largest(voltages), eq.doubts.size > 0);
      }
      large++;
    }
    expect(worst).toBeLessThan(1e-9);
    // A doubt is no way out: a handful in eighty thousand.
    expect(doubted).toBeLessThan(judged / 1e4);
    expect(judged).toBeGreaterThan(tries(50_000));
    expect(large).toBeGreaterThan(tries(2000));
  });

  it.each([
    [1e-6, 1e9],
    [1e9, 1e-6],
    [1e-6, 1e12],
    [1e-6, 1e18],
    [1e18, 1e-6],
  ])(
    "%f ohm in a row with %f ohm: the current is V/(R₁ + R₂), in both and in the supply, at any voltage",
    (R1, R2) => {
      const stamped = collect(
        (s) => s.hold(1, 0, { source: 1 }),
        (s) => s.resistor(1, 2, R1),
        (s) => s.resistor(2, 0, R2),
      );
      const eq = condensed(3, stamped, 1);
      for (const volts of [5, 12, 1.1, 1 / 3, 1e-9, 25e3]) {
        for (const [i, sign] of [-1, 1, 1].entries()) {
          const is = eq.current(i).U[1] * volts;
          expect(Math.abs(is / ((sign * volts) / (R1 + R2)) - 1)).toBeLessThan(1e-15);
        }
      }
    },
  );

  it("the drop across 1 µohm between two places behind 1 Tohm each is what the bridge's current makes it", () => {
    // Arms of 1 T and 1 T above, 1 T and 3 T below, the middle joined. Millman's theorem: it stands at
    // V (2/T) / (2/T + 1/T + 1/3T) = 0.6 V, and the joint carries what comes in on the left less what goes out there.
    const T = 1e12;
    const stamped = collect(
      (s) => s.hold(1, 0, { source: 1 }),
      (s) => s.resistor(1, 2, T),
      (s) => s.resistor(1, 3, T),
      (s) => s.resistor(2, 0, T),
      (s) => s.resistor(3, 0, 3 * T),
      (s) => s.resistor(2, 3, 1e-6),
    );
    const eq = condensed(4, stamped, 1);
    const bridge = (1 - 0.6) / T - 0.6 / T;
    expect(Math.abs(eq.current(5).U[1] / bridge - 1)).toBeLessThan(1e-10);
  });
});
