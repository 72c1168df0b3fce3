// Binary search against a plain look at each, sets against their definition, and powers against the library's own, which is as
// near as doubles are though not the same to the bit everywhere.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { DisjointSets, reachable } from "../../src/base/graph.js";
import { exponential, logarithm, powerOf } from "../../src/base/powers.js";
import { firstAbove, firstFrom, firstWhere } from "../../src/base/search.js";

const small = fc.array(fc.integer({ min: -5, max: 5 }), { maxLength: 12 });

describe("search", () => {
  it("finds what a look at each finds", () => {
    fc.assert(
      fc.property(small, fc.integer({ min: -6, max: 6 }), (values, value) => {
        const rising = Float64Array.from(values).sort();
        const first = (holds: (x: number) => boolean) => {
          const found = rising.findIndex(holds);
          return found < 0 ? rising.length : found;
        };
        expect(firstFrom(rising, value)).toBe(first((x) => x >= value));
        expect(firstAbove(rising, value)).toBe(first((x) => x > value));
        expect(firstWhere(0, rising.length, (i) => rising[i] > value)).toBe(first((x) => x > value));
      }),
    );
  });
  it("an empty stretch ends where it begins", () => {
    expect(firstWhere(3, 2, () => false)).toBe(3);
  });
});

describe("graphs", () => {
  // Who hangs together with whom, by the definition: joined directly, or by way of another.
  it("sets and what can be reached are one thing", () => {
    const edges = fc.array(fc.tuple(fc.nat(9), fc.nat(9)), { maxLength: 14 });
    fc.assert(
      fc.property(edges, (joined) => {
        const sets = new DisjointSets(10);
        for (const [a, b] of joined) {
          const were = sets.find(a) === sets.find(b);
          expect(sets.join(a, b)).toBe(!were);
        }
        for (let i = 0; i < 10; i++) {
          const met = reachable([i], (at) =>
            joined.flatMap(([a, b]) => (a === at ? [b] : b === at ? [a] : [])),
          );
          expect(sets.find(i)).toBe(Math.min(...met));
        }
      }),
    );
  });
});

describe("powers", () => {
  const size = fc.double({ min: 1e-300, max: 1e300, noNaN: true });
  it("the logarithm is right to the last figures", () => {
    fc.assert(
      fc.property(size, (x) => {
        const exact = Math.log(x);
        expect(Math.abs(logarithm(x) - exact)).toBeLessThanOrEqual(4e-16 * Math.max(1, Math.abs(exact)));
      }),
    );
    expect(logarithm(1)).toBe(0);
  });
  it("e to a power", () => {
    fc.assert(
      fc.property(fc.double({ min: -700, max: 700, noNaN: true }), (x) => {
        expect(Math.abs(exponential(x) / Math.exp(x) - 1)).toBeLessThan(1e-13);
      }),
    );
  });
  it("0 and 1 to a power", () => {
    expect([powerOf(0, 2), powerOf(0, 0), powerOf(1, 5)]).toEqual([0, 1, 1]);
  });
});
