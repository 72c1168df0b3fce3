// What is steered: in one direction, in loops, and in loops that have no answer; against the same equations in whole
// numbers (rational.ts) and against closed forms.
import { describe, expect, it } from "vitest";
import type { Condensed } from "../../src/equations/condense.js";
import type { Collector } from "../../src/equations/elements.js";
import { Unsolvable } from "../../src/equations/topology.js";
import { tries } from "../counts.js";
import { collect, condensed } from "./circuits.js";
import { uniform } from "./matrices.js";
import { respond } from "./rational.js";

describe("steered sources", () => {
  it("an amplifier of gain A, fed back by R₂ over R₁: −A R₂ / (R₁ + R₂ + A R₁), from gain 1 to 10^12", () => {
    const [R1, R2] = [1e3, 1e5];
    for (const A of [1, 100, 2e5, 1e9, 1e12]) {
      const eq = condensed(
        4,
        collect(
          (s) => s.hold(1, 0, { source: 1 }),
          (s) => s.resistor(1, 2, R1),
          (s) => s.resistor(2, 3, R2),
          (s) => s.hold(3, 0, 0, 0, { a: 0, b: 2, gain: A }),
        ),
        1,
      );
      const gain = (-A * R2) / (R1 + R2 + A * R1);
      expect(Math.abs(eq.place(3).U[1] / gain - 1)).toBeLessThan(1e-12);
      // The summing point stands at −1/A of that: a small difference of large voltages, all the same.
      expect(Math.abs(eq.place(2).U[1] / (-gain / A) - 1)).toBeLessThan(1e-9);
    }
  });

  it("a follower that gives back exactly what it is steered by has no answer, and is named", () => {
    const build = () =>
      condensed(
        3,
        collect(
          (s) => s.resistor(1, 0, 1e3),
          (s) => s.push(0, 1, 0, { a: 1, b: 0, gain: 1e-3 }),
          (s) => s.push(0, 1, { source: 1 }),
          (s) => s.resistor(2, 0, 1),
        ),
        1,
      );
    expect(build).toThrow(Unsolvable);
    try {
      build();
    } catch (error) {
      expect(error).toMatchObject({ code: "ill-conditioned", parts: [1] });
    }
  });

  it("one that gives back all but a millionth of a millionth is right to what is left, and is named as doubtful", () => {
    const eq = condensed(
      2,
      collect(
        (s) => s.resistor(1, 0, 1),
        (s) => s.push(0, 1, 0, { a: 1, b: 0, gain: 1 - 2 ** -40 }),
        (s) => s.push(0, 1, { source: 1 }),
      ),
      1,
    );
    expect([...eq.doubts]).toEqual([1]);
    expect(Math.abs(eq.place(1).U[1] / 2 ** 40 - 1)).toBeLessThan(1e-3);
  });

  it("random active circuits: every current and voltage", () => {
    const random = uniform(41);
    let [worst, judged, refused, doubted] = [0, 0, 0, 0];
    for (let t = 0; t < tries(1000); t++) {
      const places = 3 + Math.floor(random() * 5);
      const pick = () => Math.floor(random() * places);
      const ohms = () => 10 ** (6 * random());
      const parts: ((into: Collector) => void)[] = [(s) => s.hold(1, 0, { source: 1 })];
      for (let p = 2; p < places; p++) {
        const [other, size] = [Math.floor(random() * p), ohms()];
        parts.push((s) => s.resistor(p, other, size));
      }
      for (let n = 1 + Math.floor(random() * 4); n > 0; n--) {
        const [a, b, c, d, size, gain] = [pick(), pick(), pick(), pick(), ohms(), 4 * random() - 2];
        if (a === b || c === d) continue;
        const steer = { a: c, b: d, gain };
        if (random() < 0.5) parts.push((s) => s.push(a, b, 0, { ...steer, gain: gain * 1e-3 }));
        else parts.push((s) => s.hold(a, b, 0, size, steer));
      }
      const stamped = collect(...parts);
      const exact = respond(places, stamped.elements, [stamped.elements.map((e) => (e.part === 0 ? 1 : 0))]);
      let eq: Condensed;
      try {
        eq = condensed(places, stamped, 1);
      } catch (error) {
        if (!(error instanceof Unsolvable)) throw error;
        refused++;
        continue;
      }
      if (!exact) throw new Error("the exact solver found it singular");
      if (eq.doubts.size > 0) {
        doubted++;
        continue;
      }
      const [{ currents, voltages }] = exact;
      // Where nothing flows there is nothing to compare with.
      const most = Math.max(1e-300, ...voltages.map(Math.abs));
      const flow = Math.max(1e-300, ...currents.map(Math.abs));
      for (const [p, v] of voltages.entries()) worst = Math.max(worst, Math.abs(eq.place(p).U[1] - v) / most);
      for (const [i, a] of currents.entries())
        worst = Math.max(worst, Math.abs(eq.current(i).U[1] - a) / flow);
      judged++;
    }
    expect(worst).toBeLessThan(1e-10);
    expect(judged).toBeGreaterThan(tries(900));
    expect(refused + doubted).toBeLessThan(tries(50));
  });
});
