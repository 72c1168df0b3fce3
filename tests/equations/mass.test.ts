// What the states have to move: coupled coils, capacitors and coils whose size changes with the mode, states that follow
// what is steered. Closed forms of any circuits text (mutual inductance: e.g. Nilsson & Riedel, Electric Circuits, ch. 6;
// charge and flux at a jump: Desoer & Kuh, Basic Circuit Theory, ch. 2; from memory), worked out beside each.
import { describe, expect, it } from "vitest";
import type { Condensed } from "../../src/equations/condense.js";
import { System } from "../../src/equations/system.js";
import type { Device } from "../../src/parts/contract.js";
import { collect, condensed } from "./circuits.js";

const none = new Float64Array([1]);
/** Takes states from one combination to another, where sizes may differ; returns the energy lost. */
function moved(x: Float64Array, from: Condensed, to: Condensed): number {
  to.adopt(x, from);
  return to.reconcile(x, none);
}

/** Right to a few roundings. */
function near(is: number, expected: number, share = 1e-14): void {
  expect(Math.abs(is / expected - 1), `${is} beside ${expected}`).toBeLessThan(share);
}

describe("coupled coils", () => {
  const [L1, L2, R1, R2] = [2e-3, 8e-3, 3, 50];

  it.each([0.3, 0.9, 0.999, -0.7])(
    "a transformer of coupling %f between a source and a load: L i' = v by Cramer's rule",
    (k) => {
      const M = k * Math.sqrt(L1 * L2);
      const eq = condensed(
        4,
        collect(
          (s) => s.hold(1, 0, { source: 1 }),
          (s) => s.resistor(1, 2, R1),
          (s) => s.mutual(s.inductor(2, 0, L1), s.inductor(3, 0, L2), k),
          (s) => s.resistor(3, 0, R2),
        ),
        1,
      );
      const det = L1 * L2 - M * M;
      const [i11, i12, i21, i22] = eq.A;
      near(i11, (-R1 * L2) / det, 1e-12);
      near(i12, (R2 * M) / det, 1e-12);
      near(i21, (R1 * M) / det, 1e-12);
      near(i22, (-R2 * L1) / det, 1e-12);
      near(eq.B[1], L2 / det, 1e-12);
      near(eq.B[3], -M / det, 1e-12);
    },
  );

  it.each([0.5, 0.99])(
    "coupling %f, nothing on the other side: k √(L₂/L₁) of the voltage stands there",
    (k) => {
      const eq = condensed(
        3,
        collect(
          (s) => s.hold(1, 0, { source: 1 }),
          (s) => s.mutual(s.inductor(1, 0, L1), s.inductor(2, 0, L2), k),
        ),
        1,
      );
      near(eq.place(2).U[1], k * Math.sqrt(L2 / L1));
      near(eq.B[1], 1 / L1);
    },
  );

  it.each([0.5, 0.99])("coupling %f, a short on the other side: (1 − k²) L₁ is left", (k) => {
    const eq = condensed(
      3,
      collect(
        (s) => s.hold(1, 0, { source: 1 }),
        (s) => s.mutual(s.inductor(1, 0, L1), s.inductor(2, 0, L2), k),
        (s) => s.resistor(2, 0, 0),
      ),
      1,
    );
    near(eq.B[1], 1 / (L1 * (1 - k * k)), 1e-13);
    near(eq.B[3], -k / Math.sqrt(L1 * L2) / (1 - k * k), 1e-13);
  });

  it.each([0.6, -0.6])("in a row, coupled by %f: L₁ + L₂ + 2 M", (k) => {
    const M = k * Math.sqrt(L1 * L2);
    const eq = condensed(
      3,
      collect(
        (s) => s.hold(1, 0, { source: 1 }),
        (s) => s.mutual(s.inductor(1, 2, L1), s.inductor(2, 0, L2), k),
      ),
      1,
    );
    for (const row of [1, 3]) near(eq.B[row], 1 / (L1 + L2 + 2 * M));
    // Their middle divides the voltage as (L₂ + M) to (L₁ + M).
    near(eq.place(2).U[1], (L2 + M) / (L1 + L2 + 2 * M));
  });

  it.each([0.6, -0.6])(
    "side by side, coupled by %f: (L₁ + L₂ − 2 M) / (L₁ L₂ − M²) of the voltage a second",
    (k) => {
      const M = k * Math.sqrt(L1 * L2);
      const eq = condensed(
        2,
        collect(
          (s) => s.hold(1, 0, { source: 1 }),
          (s) => s.mutual(s.inductor(1, 0, L1), s.inductor(1, 0, L2), k),
        ),
        1,
      );
      near(eq.B[1] + eq.B[3], (L1 + L2 - 2 * M) / (L1 * L2 - M * M));
    },
  );

  it("joined in a row at unlike currents: the flux of the loop stays, and what it loses is half a misfit's worth", () => {
    const k = 0.5;
    const M = k * Math.sqrt(L1 * L2);
    const eq = condensed(
      3,
      collect(
        (s) => s.resistor(1, 0, 5),
        (s) => s.mutual(s.inductor(1, 2, L1), s.inductor(2, 0, L2), k),
      ),
    );
    const x = new Float64Array([2, 1]);
    const lost = eq.reconcile(x, none);
    const i = ((L1 + M) * 2 + (L2 + M) * 1) / (L1 + L2 + 2 * M);
    near(x[0], i);
    near(x[1], i);
    const energy = (a: number, b: number) => (L1 * a * a + L2 * b * b) / 2 + M * a * b;
    near(lost, energy(2, 1) - energy(i, i), 1e-12);
  });

  it("scales to the bit with every inductance and resistance times a power of two", () => {
    const make = (scale: number) =>
      condensed(
        4,
        collect(
          (s) => s.resistor(1, 2, 3 * scale),
          (s) => s.hold(1, 0, { source: 1 }),
          (s) => s.mutual(s.inductor(2, 0, L1 * scale), s.inductor(3, 0, L2 * scale), 0.77),
          (s) => s.resistor(3, 0, 50 * scale),
        ),
        1,
      );
    const [one, other] = [make(1), make(2 ** 30)];
    expect(other.A).toEqual(one.A);
    expect(other.B.map((b) => b * 2 ** 30)).toEqual(one.B);
  });

  it("are refused at a coupling of one, which leaves no flux of their own", () => {
    for (const k of [1, -1, 1.5, Number.NaN])
      expect(() => collect((s) => s.mutual(s.inductor(1, 0, 1), s.inductor(2, 0, 1), k))).toThrow(RangeError);
  });
});

describe("sizes that change with the mode", () => {
  const made = (farads: number, rest = 0, other = 0) =>
    condensed(
      2,
      collect(
        (s) => s.resistor(1, 0, 1e3),
        (s) => s.capacitor(1, 0, farads, rest),
        ...(other > 0 ? [(s: Parameters<Parameters<typeof collect>[0]>[0]) => s.capacitor(1, 0, other)] : []),
      ),
    );

  it("a capacitor pulled to twice its size has half the voltage: the charge stays", () => {
    const x = new Float64Array([10]);
    expect(moved(x, made(1e-6), made(2e-6))).toBe(0);
    near(x[0], 5);
    expect(made(2e-6).A[0]).toBe(made(1e-6).A[0] / 2);
  });

  it("beside another capacitor the charge of both is shared by both", () => {
    const x = new Float64Array([10, 10]);
    moved(x, made(1e-6, 0, 1e-6), made(2e-6, 0, 1e-6));
    near(x[0], 20 / 3);
    near(x[1], 20 / 3);
  });

  it("a charge that bends at 5 V does not jump there, and stays the same a little beyond", () => {
    // q = 1 µF · v below 5 V, 5 µC + 0.8 µF · (v − 5 V) above.
    const [below, above] = [made(1e-6), made(0.8e-6, 5e-6 - 0.8e-6 * 5)];
    const at = new Float64Array([5]);
    moved(at, below, above);
    near(at[0], 5);
    const beyond = new Float64Array([5.001]);
    moved(beyond, below, above);
    near(beyond[0], 5 + 0.001 / 0.8);
  });

  it("what is as it was keeps its bits", () => {
    const x = new Float64Array([1 / 3]);
    moved(x, made(1e-6), made(1e-6));
    expect(x[0]).toBe(1 / 3);
  });

  it("coupled coils keep the flux of each: L i⁺ of the new ones is L i⁻ of the old", () => {
    const [L1, L2, k] = [1e-3, 4e-3, 0.5];
    const coils = (scale: number) =>
      condensed(
        3,
        collect(
          (s) => s.resistor(1, 0, 1),
          (s) => s.resistor(2, 0, 1),
          (s) => s.mutual(s.inductor(1, 0, L1 * scale), s.inductor(2, 0, L2), k),
        ),
      );
    const x = new Float64Array([2, 1]);
    moved(x, coils(1), coils(4));
    const [M1, M4] = [k * Math.sqrt(L1 * L2), k * Math.sqrt(4 * L1 * L2)];
    near(4 * L1 * x[0] + M4 * x[1], L1 * 2 + M1 * 1);
    near(M4 * x[0] + L2 * x[1], M1 * 2 + L2 * 1);
  });

  it("reach the equations from a part whose modes stamp them", () => {
    const device: Device = {
      modes: ["small", "large"],
      stamp(mode, into) {
        into.resistor(1, 0, 1e3);
        into.capacitor(1, 0, mode === 0 ? 1e-6 : 3e-6);
      },
      guards: () => [],
    };
    const system = new System(
      { all: 2, named: 2 },
      [{ name: "bank", device, tail: 1, head: 0, scheduled: false }],
      0,
    );
    const [small, large] = [0, 1].map((mode) => system.combination(Uint8Array.of(mode)).equations);
    expect([small.sizes[0], large.sizes[0]]).toEqual([1e-6, 3e-6]);
    const x = new Float64Array([6]);
    moved(x, small, large);
    near(x[0], 2);
  });
});

describe("states that follow what is steered", () => {
  it("a coil in a row with a steered current source carries gm · v, and L gm v' stands across it", () => {
    const [gm, L, R, C] = [2e-3, 0.1, 1e3, 1e-6];
    const eq = condensed(
      4,
      collect(
        (s) => s.hold(1, 0, { source: 1 }),
        (s) => s.resistor(1, 2, R),
        (s) => s.capacitor(2, 0, C),
        (s) => s.push(0, 3, 0, { a: 2, b: 0, gain: gm }),
        (s) => s.inductor(3, 0, L),
      ),
      1,
    );
    const x = new Float64Array([0.5, 0]);
    eq.follow(x, new Float64Array([1, 4]));
    near(x[1], gm * 0.5);
    // v' = (V − v) / RC.
    near(eq.place(3).U[1], (L * gm) / (R * C));
    near(eq.place(3).X[0], (-L * gm) / (R * C));
  });
});
