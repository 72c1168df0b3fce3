// Random circuits of up to ten diodes, some ideal: the run starts in the one answer that trying all 2^n combinations
// finds, whatever the order of the statements. Ten times as many run with `npm run verify:long`.
import { describe, expect, it } from "vitest";
import { tries } from "../counts.js";
import { faults, fitting, network } from "../verify/diodes.js";

describe("the independent side", () => {
  it("finds the answer of a circuit worked out by hand", () => {
    // 10 mA into 1 kΩ is 10 V; a diode of 0.5 V and 100 Ω to ground leaves (10 mA + 5 mA)/(1 mS + 10 mS).
    const net = {
      lines: [],
      places: 1,
      G: [[1e-3]],
      pushed: [10e-3],
      held: new Map<number, number>(),
      diodes: [{ name: "d", tail: 0, head: -1, drop: 0.5, ohms: 100 }],
    };
    const answers = fitting(net);
    expect(answers.length).toBe(1);
    expect(Math.abs(answers[0][0] - 15 / 11)).toBeLessThan(1e-14);
  });
  it("the circuits are worth trying: diodes conduct in some, block in others, up to ten of them", () => {
    const sizes = new Set<number>();
    for (let seed = 1; seed <= 200; seed++) sizes.add(network(seed).diodes.length);
    expect(Math.max(...sizes)).toBe(10);
    expect(sizes.size).toBeGreaterThan(8);
  });
});

it(`${tries(2000)} circuits: every run starts in the only modes that fit, in any order of statements`, () => {
  const wrong: string[] = [];
  for (let seed = 1; seed <= tries(2000); seed++) wrong.push(...faults(seed));
  expect(wrong).toEqual([]);
});
