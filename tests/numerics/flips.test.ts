// Guards to parts, by the words that define them: of several guards of one part the first says where it goes, and of several
// parts the first goes where only one may.
import { expect, it } from "vitest";
import type { Combination } from "../../src/equations/system.js";
import { firstGuard, flipped, partsOfGuards } from "../../src/stepping/flips.js";

const at = {
  modes: Uint8Array.from([0, 0, 0, 0]),
  equations: {
    guardOf: [
      { part: 2, to: 5 },
      { part: 1, to: 6 },
      { part: 2, to: 7 },
      { part: 3, to: 8 },
      { part: 1, to: 9 },
    ],
  },
} as unknown as Combination;

it.each([
  [[], [0, 0, 0, 0]],
  [[1], [0, 6, 0, 0]],
  [
    [0, 2],
    [0, 0, 5, 0],
  ],
  [[2], [0, 0, 7, 0]],
  [
    [0, 1, 2, 3, 4],
    [0, 6, 5, 8],
  ],
  [
    [3, 4],
    [0, 9, 0, 8],
  ],
])("guards %j lead to modes %j, and leave those before as they were", (guards, due) => {
  expect([...flipped(at, guards)]).toEqual(due);
  expect([...at.modes]).toEqual([0, 0, 0, 0]);
});

it.each([
  [[0], 0],
  [[0, 1, 3], 1],
  [[3, 2, 0], 2],
  [[3, 0, 4, 1], 4],
])("of guards %j guard %d is the first part's", (guards, due) => {
  expect(firstGuard(at, guards)).toBe(due);
});

it("each part is named once", () => {
  expect(partsOfGuards(at, [0, 1, 2, 3, 4])).toEqual([2, 1, 3]);
});
