// Circuits with exact answers: every claim of the table, within its tolerance and within its bound. Tolerances are what
// each method must reach and are never to be loosened; bounds are how good it is, see bounds.ts.
import { afterAll, describe, expect, it } from "vitest";
import { allowed, boundFor, kept, slack } from "./bounds.js";
import { type Claim, difference, nameOf } from "./claim.js";
import { table } from "./table.js";

const bounds = kept();
const eased: string[] = [];

for (const row of table) {
  describe(`row ${row.row}. ${row.title}`, () => {
    for (const claim of row.claims) {
      it(claim.what, () => {
        const got = claim.got();
        const error = difference(claim, got);
        expect(error, `expected ${claim.expected}, got ${got}`).toBeLessThanOrEqual(claim.bound);
        const bound = allowed(row, claim, bounds);
        expect(error, `within its tolerance of ${claim.bound}, but it was better`).toBeLessThanOrEqual(bound);
        if (slack(claim, bound, error))
          eased.push(`${nameOf(row, claim)} (${error.toExponential(1)} of ${bound})`);
      });
    }
  });
}

afterAll(() => {
  if (eased.length > 0) console.log(`three times better than their bounds: ${eased.join("; ")}`);
});

describe("the table", () => {
  it("has the fifteen rows, each with a source and a claim", () => {
    const numbers = table.map((row) => row.row).filter((row) => /^\d+$/.test(row));
    expect(numbers).toEqual(Array.from({ length: 15 }, (_, k) => `${k + 1}`));
    for (const row of table) expect(row.source.length * row.claims.length, row.row).toBeGreaterThan(0);
  });
  it("gives every claim a name of its own, and the file of bounds holds those and no others", () => {
    const names = table.flatMap((row) => row.claims.map((claim) => nameOf(row, claim)));
    expect(new Set(names).size).toBe(names.length);
    expect(Object.keys(bounds).sort()).toEqual([...names].sort());
  });
});

describe("differences and bounds", () => {
  const claim = (kind: Claim["kind"], expected: number | string, bound = 1): Claim => ({
    what: "",
    expected,
    kind,
    bound,
    got: () => 0,
  });
  it("are measured as the claim says, and nothing passes for want of a number", () => {
    expect(difference(claim("relative", -4), -5)).toBe(0.25);
    expect(difference(claim("absolute", -4), -5)).toBe(1);
    expect(difference(claim("ulp", 1), 1 + 3 * Number.EPSILON)).toBe(3);
    expect(difference(claim("same", "yes"), "no")).toBe(1);
    expect(difference(claim("same", 3), 3)).toBe(0);
    for (const kind of ["relative", "absolute", "ulp"] as const) {
      expect(difference(claim(kind, 1), Number.NaN)).toBe(Number.POSITIVE_INFINITY);
      expect(difference(claim(kind, 1), "text")).toBe(Number.POSITIVE_INFINITY);
    }
  });
  it("a bound leaves half as much again, never more than the tolerance, never less than rounding", () => {
    expect(boundFor(claim("relative", 1, 1e-6), 4e-7)).toBe(6e-7);
    expect(boundFor(claim("relative", 1, 1e-6), 9e-7)).toBe(1e-6);
    expect(boundFor(claim("relative", 1, 1e-6), 0)).toBe(1e-8);
    expect(boundFor(claim("relative", 1, 1e-15), 0)).toBe(1e-15);
    expect(slack(claim("relative", 1, 1e-6), 1e-6, 1e-7)).toBe(true);
    expect(slack(claim("relative", 1, 1e-6), 1e-8, 0)).toBe(false);
  });
});
