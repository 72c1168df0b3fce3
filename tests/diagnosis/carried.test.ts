// What tolerances do under a fault whose row does not say so: as where nothing has failed if the level is the same but for the
// chance of looks, else in proportion, a swing as its peak less its floor. By a table small enough to reckon by hand: a ramp that
// goes from nothing to 4 V, and unplugged rests at 4 V until it reaches its guard at 5.6 V. A capacitor one deviation smaller makes
// it 0.1 V higher, so that the swing up to the guard, 1.6 V, falls while the swing of the ramp rises.
import { describe, expect, it } from "vitest";
import { diagnose } from "../../src/index.js";
import { tableByHand } from "./byhand.js";

const words = ["floor", "peak", "swing"];

/** By suspect floor, peak and swing as drawn, then unplugged; faults `a` and `b` after none. */
const tableOf = (values: readonly (readonly number[])[]) =>
  tableByHand(
    ["", "unplugged"].flatMap((where) => words.map((word) => ({ case: where, what: `${word} of ramp` }))),
    values,
    { spread: [[0], [0.1], [0.1], [0.1], [0], [-0.1]] },
  );

const table = tableOf([
  [0, 4, 4, 4, 5.6, 1.6],
  // Off by half of a thousandth, as looks at other instants find it.
  [0, 4.002, 4.002, 4, 5.6, 1.6],
  [0, 8, 8, 4, 5.6, 1.6],
]);
/** Read to a hundredth of a volt. */
const read = (what: string, value: number, where = "") => ({ what, value, resolution: 0.01, case: where });

describe("what tolerances do under a fault", () => {
  it("is what they do where nothing has failed, if the levels are the same but for chance", () => {
    // The capacitor is three deviations small: 0.3 V more as drawn and where it rests, 0.3 V less from there to the guard.
    const told = diagnose(
      table,
      [
        read("peak of ramp", 4.3),
        read("swing of ramp", 4.3),
        read("floor of ramp", 4.3, "unplugged"),
        read("swing of ramp", 1.3, "unplugged"),
      ],
      { accuracy: 0 },
    );
    expect(told.explained).toBe(true);
    expect(told.candidates[0].faults.map(({ name }) => name)).toEqual(["", "a"]);
    // Three deviations by one cause in four readings: 3/√4.
    expect(told.candidates[0].misfit).toBeCloseTo(1.5, 1);
  });

  it("goes with the level where the fault changes it, a swing's with its peak's", () => {
    // Twice the ramp is moved by twice 0.1 V: two deviations are 0.4 V, at the peak and in the swing alike.
    const told = diagnose(table, [read("peak of ramp", 8.4), read("swing of ramp", 8.4)], { accuracy: 0 });
    expect(told.candidates[0].faults.map(({ name }) => name)).toEqual(["b"]);
    expect(told.candidates[0].misfit).toBeCloseTo(2 / Math.sqrt(2), 1);
  });
});
