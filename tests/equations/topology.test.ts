// The graph of a circuit in one combination of modes: which states are free, what has no solution, and which parts it
// names. Rank and loop counts are those of any network text (tree and cotree of a graph, e.g. Chua, Desoer & Kuh,
// Linear and Nonlinear Circuits, 1987; wording from memory); each small circuit is solved by eye beside it.
import { describe, expect, it } from "vitest";
import type { Collector } from "../../src/equations/elements.js";
import { topology, Unsolvable } from "../../src/equations/topology.js";
import { collect } from "./circuits.js";

/** A circuit by what its parts stamp; parts are numbered in the order given. */
function circuit(places: number, ...parts: ((into: Collector) => void)[]) {
  const { elements } = collect(...parts);
  return topology(places, elements);
}
const fault = (places: number, ...parts: ((into: Collector) => void)[]): Unsolvable => {
  try {
    circuit(places, ...parts);
  } catch (error) {
    if (error instanceof Unsolvable) return error;
    throw error;
  }
  throw new Error("no fault");
};

describe("free and dependent states", () => {
  it("a capacitor behind a resistor is free", () => {
    expect(
      circuit(
        3,
        (s) => s.hold(1, 0, 5),
        (s) => s.resistor(1, 2, 1e3),
        (s) => s.capacitor(2, 0, 1e-6),
      ).dependent,
    ).toEqual([]);
  });
  it("a capacitor across a source follows it", () => {
    const { dependent } = circuit(
      2,
      (s) => s.hold(1, 0, 5),
      (s) => s.capacitor(1, 0, 1e-6),
    );
    expect(dependent.length).toBe(1);
    expect(dependent[0]).toMatchObject({ state: 0, states: [], levels: [{ level: 5, factor: 1 }] });
  });
  it("against its arrow, with the other sign", () => {
    const { dependent } = circuit(
      2,
      (s) => s.hold(1, 0, 5),
      (s) => s.capacitor(0, 1, 1e-6),
    );
    expect(dependent[0].levels).toEqual([{ level: 5, factor: -1 }]);
  });
  it("of two capacitors side by side one follows the other", () => {
    const { dependent } = circuit(
      2,
      (s) => s.capacitor(1, 0, 1e-6),
      (s) => s.capacitor(1, 0, 2e-6),
      (s) => s.resistor(1, 0, 1),
    );
    expect(dependent).toMatchObject([{ state: 1, states: [{ state: 0, factor: 1 }], levels: [] }]);
  });
  it("of two coils in a row one follows the other, a coil in a row with a source follows that", () => {
    const { dependent } = circuit(
      3,
      (s) => s.inductor(1, 2, 1e-3),
      (s) => s.inductor(2, 0, 1e-3),
      (s) => s.resistor(1, 0, 1),
    );
    expect(dependent.length).toBe(1);
    expect(dependent[0].states).toEqual([{ state: 1 - dependent[0].state, factor: 1 }]);
    const driven = circuit(
      3,
      (s) => s.push(0, 1, 2e-3),
      (s) => s.inductor(1, 2, 1e-3),
      (s) => s.resistor(2, 0, 1),
    ).dependent;
    expect(driven).toMatchObject([{ state: 0, states: [], levels: [{ level: 2e-3, factor: 1 }] }]);
  });
});

describe("what has no solution", () => {
  it("held voltages in a loop: the parts of the loop, no others", () => {
    const f = fault(
      4,
      (s) => s.hold(1, 0, 5),
      (s) => s.hold(2, 1, 1),
      (s) => s.hold(3, 0, 9),
      (s) => s.hold(2, 0, 6),
      (s) => s.resistor(3, 2, 1),
    );
    expect(f.code).toBe("source-loop");
    expect([...f.parts].sort()).toEqual([0, 1, 3]);
  });
  it("an ideal connection closes a loop like a voltage of zero, one with a resistance does not", () => {
    expect(
      fault(
        2,
        (s) => s.hold(1, 0, 5),
        (s) => s.resistor(1, 0, 0),
      ).code,
    ).toBe("source-loop");
    expect(
      circuit(
        2,
        (s) => s.hold(1, 0, 5),
        (s) => s.hold(1, 0, 4, 10),
      ).dependent,
    ).toEqual([]);
  });
  it("a current without a way back: the source and the places it would charge without end", () => {
    const f = fault(
      3,
      (s) => s.hold(1, 0, 5),
      (s) => s.push(1, 2, 1e-3),
    );
    expect([f.code, f.parts, f.places]).toEqual(["no-path", [1], [2]]);
  });
  it("two current sources in a row, also when they agree", () => {
    expect(
      fault(
        2,
        (s) => s.push(0, 1, 1e-3),
        (s) => s.push(1, 0, 1e-3),
      ).code,
    ).toBe("no-path");
  });
  it("a capacitor is a way, an open connection is none", () => {
    expect(
      circuit(
        2,
        (s) => s.push(0, 1, 1e-3),
        (s) => s.capacitor(1, 0, 1e-6),
      ).dependent,
    ).toEqual([]);
    expect(
      fault(
        2,
        (s) => s.push(0, 1, 1e-3),
        (s) => s.resistor(1, 0, Number.POSITIVE_INFINITY),
      ).code,
    ).toBe("no-path");
  });
});

describe("parts of the circuit that float", () => {
  it("are held at one place each", () => {
    const { pins } = circuit(
      5,
      (s) => s.hold(1, 0, 5),
      (s) => s.resistor(2, 3, 1),
      (s) => s.capacitor(3, 2, 1e-6),
    );
    // Places 2 and 3 hang together; 4 has no part at all.
    expect(pins.filter((p) => p === 2 || p === 3).length).toBe(1);
    expect(pins).toContain(4);
    expect(pins).not.toContain(1);
  });
});
