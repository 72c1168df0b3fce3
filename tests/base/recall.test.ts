import { describe, expect, it } from "vitest";
import { Recall } from "../../src/base/recall.js";

describe("what was worked out once", () => {
  it("is made once for the same, and anew for anything else", () => {
    const recall = new Recall<object, number, { by: number }>((a, b) => a === b);
    const [one, other] = [{}, {}];
    const first = recall.of(one, 1, () => ({ by: 1 }));
    expect(recall.of(one, 1, () => ({ by: 9 }))).toBe(first);
    expect(recall.of(one, 2, () => ({ by: 2 }))).toEqual({ by: 2 });
    expect(recall.of(other, 1, () => ({ by: 3 }))).toEqual({ by: 3 });
    expect(recall.made).toBe(3);
  });

  it("is kept for the last few, and not where it is not worth it", () => {
    const recall = new Recall<object, number, number>(
      (a, b) => a === b,
      2,
      (found) => found < 100,
    );
    const key = {};
    const made: number[] = [];
    const ask = (by: number) =>
      recall.of(key, by, () => {
        made.push(by);
        return by;
      });
    for (const by of [1, 2, 1, 3, 3, 1, 200, 200]) ask(by);
    // 1 is let go for 3, since 2 came after it.
    expect(made).toEqual([1, 2, 3, 1, 200, 200]);
  });
});
