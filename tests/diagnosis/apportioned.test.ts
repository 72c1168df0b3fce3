// How the joint effect of two values on the current of a rail is divided between them, by hand: a current that is always drawn,
// 1 mA ± 12 uA, and one that a switch draws now and then, 1 mA ± 11 uA. At the peak both move it, at the floor the first alone.
import { describe, expect, it } from "vitest";
import { apportioned } from "../../src/diagnosis/tolerated.js";

const [floor, peak, mean] = [
  [12e-6, 0],
  [12e-6, 11e-6],
  [12e-6, 5e-6],
];
const divided = (change: number, levels: readonly (readonly number[])[]) =>
  apportioned(change, [0, 1], levels).map(([, part]) => part * 1e6);

describe("what two tolerances do together to the current of a rail", () => {
  it("is at a floor that a stuck switch has raised to the peak what it is at the peak", () => {
    // 23 uA: not 23 and none, by which the floor would go its own way, and readings of a flat current would not fit.
    const [always, switched] = divided(23e-6, [floor, floor, peak, mean]);
    expect(always).toBeCloseTo(12, 9);
    expect(switched).toBeCloseTo(11, 9);
  });

  it("is as without a fault where it is as much", () => {
    expect(divided(12e-6, [floor, floor, peak, mean])).toEqual([12, 0]);
  });

  it("is divided in proportion where it is like none of them", () => {
    // Twice what it is at the peak.
    const [always, switched] = divided(46e-6, [floor, floor, peak, mean]);
    expect(always).toBeCloseTo(24, 9);
    expect(switched).toBeCloseTo(22, 9);
  });

  it("goes to the first where none has an effect without a fault", () => {
    expect(divided(5e-6, [[0, 0]])).toEqual([5, 0]);
  });
});
