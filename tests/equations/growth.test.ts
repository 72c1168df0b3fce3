// Large circuits: right to the last place of the ladder, and no more kept than what is not zero. That setting up is not
// cubic shows by these ending at all; `npm run bench` takes the exponent.
import { describe, expect, it } from "vitest";
import { footprint } from "../../src/equations/footprint.js";
import { collect, condensed } from "./circuits.js";

/** R–2R: each section halves, since 2R beside (R + R) is R again (common practice, no source; two lines of algebra). */
const halving = (sections: number) =>
  collect(
    (s) => s.hold(1, 0, { source: 1 }),
    ...Array.from({ length: sections }, (_, i) => (s: Parameters<Parameters<typeof collect>[0]>[0]) => {
      s.resistor(i + 1, i + 2, 1e3);
      s.resistor(i + 2, 0, i === sections - 1 ? 1e3 : 2e3);
    }),
  );

describe("large circuits", () => {
  it("a thousand halvings: 2^−1000 of the source at the end, every current on the way", () => {
    const stamped = halving(1000);
    const eq = condensed(1002, stamped, 1);
    for (const n of [1, 10, 500, 1000]) {
      expect(Math.abs(eq.place(n + 1).U[1] * 2 ** n - 1)).toBeLessThan(1e-11);
      expect(Math.abs(eq.current(2 * n - 1).U[1] * 1e3 * 2 ** n - 1)).toBeLessThan(1e-11);
    }
    // The source sees R + R.
    expect(Math.abs(eq.current(0).U[1] * 2e3 + 1)).toBeLessThan(1e-14);
  });

  it("twenty thousand resistors alone, in whatever order", () => {
    const sections = 10_000;
    const { elements, ...stamped } = halving(sections);
    const turned = [...elements].reverse().map((e, part) => ({ ...e, part }));
    const eq = condensed(sections + 2, { ...stamped, elements: turned }, 1);
    expect(Math.abs(eq.place(11).U[1] * 1024 - 1)).toBeLessThan(1e-11);
    expect(Math.abs(eq.current(turned.length - 1).U[1] * 2e3 + 1)).toBeLessThan(1e-12);
  });

  it.each([100, 1000])(
    "an RC ladder of %i sections keeps three numbers a section, to the digit",
    (sections) => {
      const stamped = collect(
        (s) => s.hold(1, 0, { source: 1 }),
        ...Array.from({ length: sections }, (_, i) => (s: Parameters<Parameters<typeof collect>[0]>[0]) => {
          s.resistor(i + 1, i + 2, 1e3);
          s.capacitor(i + 2, 0, 1e-6);
        }),
      );
      const { rowsOfA, B, dependent } = condensed(sections + 2, stamped, 1);
      expect(dependent).toEqual([]);
      expect(rowsOfA.value.length).toBe(3 * sections - 2);
      // RC v' = the neighbours' voltages less twice its own; the last has one neighbour.
      for (let k = 0; k < sections; k++) {
        for (let p = rowsOfA.start[k]; p < rowsOfA.start[k + 1]; p++) {
          const own = rowsOfA.column[p] === k;
          const expected = own ? (k === sections - 1 ? -1000 : -2000) : 1000;
          expect(Math.abs(rowsOfA.value[p] / expected - 1)).toBeLessThan(1e-15);
        }
        expect(Math.abs(B[2 * k + 1] - (k === 0 ? 1000 : 0))).toBeLessThan(1e-12);
      }
    },
  );

  it("the memory foreseen grows with the resistors, and with the square of capacitors that all see each other", () => {
    const ratio = (
      make: (n: number) => ReturnType<typeof collect>,
      n: number,
      places: (n: number) => number,
    ) => {
      const bytes = (m: number) => footprint({ ...make(m), places: places(m), nx: 0, nu: 2, sparse: true });
      return bytes(2 * n) / bytes(n);
    };
    expect(ratio(halving, 1000, (n) => n + 2)).toBeLessThan(2.1);
    const star = (n: number) =>
      collect(
        ...Array.from({ length: n }, (_, i) => (s: Parameters<Parameters<typeof collect>[0]>[0]) => {
          s.resistor(1, i + 2, 1e3);
          s.capacitor(i + 2, 0, 1e-6);
        }),
      );
    expect(ratio(star, 1000, (n) => n + 2)).toBeGreaterThan(3.5);
  });
});
