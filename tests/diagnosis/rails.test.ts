// The current of a rail is the sum of its branches: what tolerances do to it does not grow with it, and its highest and lowest
// values occur seldom. By tables small enough to reckon by hand.
import { describe, expect, it } from "vitest";
import { diagnose } from "../../src/index.js";
import { tableByHand } from "./byhand.js";

const rail = "plus5.current";

/** As drawn and in a case, by suspect the mean, peak, floor and swing of a rail's current; faults `a` and `b` after none. */
const tableOf = (
  values: readonly (readonly number[])[],
  spread: readonly (readonly number[])[],
  sampled = false,
) =>
  tableByHand(
    ["", "unplugged"].flatMap((where) =>
      ["mean", "peak", "floor", "swing"].map((words) => ({
        case: where,
        what: `${words} of ${rail}`,
        unit: "A",
      })),
    ),
    values,
    { spread, sampled: () => sampled },
  );

describe("a rail's current", () => {
  it("is spread by tolerances under a fault as without it, though in one case they are much beside what is left of it", () => {
    // Unplugged, 0.24 mA of 1 mA come and go with a tolerance; as drawn nothing does. So 10.2 mA and 12 mA are told apart.
    const table = tableOf(
      [
        [10, 11, 9, 2, 1, 1, 1, 0],
        [10.2, 11.2, 9.2, 2, 1, 1, 1, 0],
        [12, 13, 11, 2, 1, 1, 1, 0],
      ].map((own) => own.map((v) => v * 1e-3)),
      [[0], [0], [0], [0], [0.24e-3], [0.24e-3], [0.24e-3], [0]],
    );
    const { candidates } = diagnose(
      table,
      [{ what: `mean of ${rail}`, value: "10.2 mA", resolution: 1e-5 }],
      {
        accuracy: 0.001,
      },
    );
    expect(candidates[0].faults.map(({ name }) => name)).toEqual(["a"]);
    expect(candidates[0].weight).toBeGreaterThan(0.99);
  });

  it.each([
    { words: "peak", value: "12.1 mA", explained: true },
    { words: "mean", value: "10.9 mA", explained: false },
  ])(
    "may be off by a tenth of its swing in a table of looks, at its $words: $explained",
    ({ words, value, explained }) => {
      // The swing is 2 mA; a mean of looks is off by less than a hundredth of it (W. G. Cochran, Sampling Techniques, 1977).
      const own = [10, 11.9, 9.9, 2, 1, 1, 1, 0].map((v) => v * 1e-3);
      const table = tableOf(
        [own, own, own],
        own.map(() => [0]),
        true,
      );
      const told = diagnose(table, [{ what: `${words} of ${rail}`, value, resolution: 1e-5 }], {
        accuracy: 0.001,
      });
      expect(told.explained).toBe(explained);
    },
  );
});
