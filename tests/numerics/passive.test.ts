// Ten thousand random passive circuits, a fifth of them at hand, against an independent matrix exponential: each errs by no more than its own
// K h², for every method. A hundred thousand run with `npm run verify:long`. A failure names its seed.
import { describe, expect, it } from "vitest";
import { tries } from "../counts.js";
import { applied, exponential, product, solved } from "../verify/matrix.js";
import { compared, compareMany, passive } from "../verify/passive.js";

describe("the independent side", () => {
  it("exponential of a rotation, of a nilpotent and of a stiff diagonal", () => {
    const turn = exponential([
      [0, -3],
      [3, 0],
    ]);
    expect(Math.abs(turn[0][0] - Math.cos(3))).toBeLessThan(1e-14);
    expect(Math.abs(turn[1][0] - Math.sin(3))).toBeLessThan(1e-14);
    expect(
      exponential([
        [0, 5],
        [0, 0],
      ]),
    ).toEqual([
      [1, 5],
      [0, 1],
    ]);
    const fading = exponential([
      [-1, 0],
      [0, -1000],
    ]);
    expect(Math.abs(fading[0][0] / Math.exp(-1) - 1)).toBeLessThan(1e-12);
    expect(Math.abs(fading[1][1])).toBeLessThan(1e-300);
  });
  it("elimination with pivots solves, and refuses a singular matrix", () => {
    const a = [
      [0, 2, 1],
      [1, 0, 3],
      [4, 1, 0],
    ];
    const x = solved(a, [[1], [2], [3]])!;
    applied(
      a,
      x.map(([v]) => v),
    ).forEach((v, i) => {
      expect(Math.abs(v - (i + 1))).toBeLessThan(1e-14);
    });
    expect(solved(product([[1], [2]], [[3, 4]]), [[1], [1]])).toBeUndefined();
  });
  it("a bound that is too small by a half would be noticed", () => {
    // Otherwise K h² would be so wide that nothing could fail.
    let beyondHalf = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const { error, bound } = compared(passive(seed), seed);
      if (error > bound / 2) beyondHalf++;
    }
    expect(beyondHalf).toBeGreaterThan(40);
  });
});

const circuits = tries(10_000, 25);

it(`${circuits} circuits: none errs by more than K h²`, () => {
  const { beyond, median } = compareMany(1, circuits);
  expect(beyond).toEqual([]);
  // Half of the bounds are below a thousandth of what the circuit holds: they say something.
  expect(median).toBeLessThan(1e-3);
});
