// Where to look next, by tables small enough to reckon by hand: two looks ahead, no finer than an instrument can be set, and not
// where two faults differ by nothing but how exactly the table knows them.
import { describe, expect, it } from "vitest";
import { diagnose } from "../../src/index.js";
import { tableByHand } from "./byhand.js";

/** By what each suspect shows in the columns; nothing is spread. */
const tableOf = (
  whats: readonly string[],
  values: readonly (readonly number[])[],
  sampled: readonly boolean[] = [],
) =>
  tableByHand(
    whats.map((what) => ({ what, unit: what.includes("current") ? "A" : "V" })),
    values,
    { sampled: (suspect) => sampled[suspect] ?? false },
  );

describe("the next look", () => {
  const means = ["here", "heap", "halves", "left", "right"].map((p) => `mean of ${p}`);
  // `heap` tells a to d each by itself, and leaves e to h together: 2 bits of 3, the most. `halves` makes e and f, g and h, and a to
  // d: 1.5 bits. But after `heap` a look tells one bit at most, in half of the cases: 2.5 bits. After `halves` it tells all there is.
  const table = tableOf(means, [
    [9, 0, 0, 0, 0],
    [1, 1, 0, 0, 0],
    [1, 2, 0, 0, 0],
    [1, 3, 0, 0, 0],
    [1, 4, 0, 0, 0],
    [1, 0, 5, 0, 0],
    [1, 0, 5, 5, 0],
    [1, 0, 3, 0, 0],
    [1, 0, 3, 0, 5],
  ]);
  const begun = { what: "mean of here", value: 1, resolution: 0.01 };

  it("is the one that leaves the least after one more", () => {
    const [next] = diagnose(table, [begun]).next;
    expect(next.of).toBe("halves");
    expect(next.gain).toBeCloseTo(1.5, 2);
  });

  it.each([
    { halves: 5, of: "left" },
    { halves: 3, of: "right" },
    { halves: 0, of: "heap" },
  ])("then leaves nothing open: $halves V, then $of", ({ halves, of }) => {
    const [next] = diagnose(table, [begun, { what: "mean of halves", value: halves, resolution: 0.01 }]).next;
    expect(next.of).toBe(of);
    expect(next.left).toBeCloseTo(0, 2);
  });

  it("names all that one look shows, and what it tells together", () => {
    // Four faults by two figures of one trace: either alone makes two pairs, both together leave none of them open.
    const levels = ["floor", "peak", "mean"].map((words) => `${words} of gate`);
    const pairs = tableOf(
      ["mean of here", ...levels],
      [
        [9, 0, 5, 2],
        [1, 0, 5, 2],
        [1, 0, 5, 3],
        [1, 1, 5, 2],
        [1, 1, 5, 3],
      ],
    );
    const [next] = diagnose(pairs, [begun]).next;
    expect(next.figures).toEqual(levels);
    expect([next.gain, next.together]).toEqual([expect.closeTo(1, 2), expect.closeTo(2, 2)]);
    // What is read is not asked for again.
    const [after] = diagnose(pairs, [begun, { what: "floor of gate", value: 1, resolution: 0.01 }]).next;
    expect([after.what, after.figures]).toEqual(["mean of gate", levels.slice(1)]);
  });

  it("is nowhere where faults differ by less than a thousandth of what is meant to be seen", () => {
    // A rail that is dead and one that is open: 0 and 1 nA in the place of 2 mA. An instrument for milliamperes has no nanoamperes.
    const rail = tableOf(
      ["mean of here", "mean of plus12.current"],
      [
        [9, 2e-3],
        [1, 0],
        [1, 1e-9],
      ],
    );
    const told = diagnose(rail, [begun]);
    expect(told.candidates[0].faults.map(({ name }) => name)).toEqual(["a", "b"]);
    expect(told.next).toEqual([]);
  });

  it("is nowhere where faults show the same, though the recording of one was short and is known exactly", () => {
    const levels = ["floor", "peak", "mean", "swing"].map((words) => `${words} of gate`);
    const gate = [0, 5, 0.36, 5];
    const same = tableOf(
      ["mean of here", ...levels],
      [
        [9, ...gate],
        [1, ...gate],
        [1, ...gate],
      ],
      [true, true, false],
    );
    const told = diagnose(same, [begun]);
    expect(told.next).toEqual([]);
    // Nor do readings speak for one of them.
    const read = diagnose(same, [
      begun,
      ...levels.map((what, i) => ({ what, value: gate[i], resolution: 0.04 })),
    ]);
    expect(read.candidates[0].faults.map(({ name }) => name)).toEqual(["a", "b"]);
    expect(read.candidates[0].weight).toBeGreaterThan(0.999);
    expect(read.entropy).toBeCloseTo(1, 6);
  });
});
