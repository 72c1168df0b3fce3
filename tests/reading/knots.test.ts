// Samples of a trace as they come, over the seams of the pieces that they are kept in. Expected are the numbers that were put
// in, made here by arithmetic.
import { expect, test } from "vitest";
import { Knots } from "../../src/reading/knots.js";

test.each([0, 1, 1023, 1024, 1025, 2048, 2049, 140_000])("%i samples come out as they went in", (count) => {
  const knots = new Knots();
  expect(knots.time).toBeNaN();
  let lost = 0;
  for (let i = 0; i < count; i++) {
    if (i % 2 === 0) knots.push(i / 8, 3 * i, -i);
    else knots.add(i / 8, { tick: i, value: 3 * i, slope: -i });
    if (knots.count !== i + 1 || knots.time !== i / 8 || knots.value !== 3 * i) lost++;
    // At every 512th, so at both sides of a seam, the curve goes on with another slope.
    if (i % 512 < 2) knots.turn(i + 0.5);
  }
  expect(lost).toBe(0);
  const holds = (column: Float64Array, of: (i: number) => number) =>
    column.length === count && column.every((number, i) => number === of(i));
  const before = knots.column("slope");
  expect(holds(knots.column("time"), (i) => i / 8)).toBe(true);
  expect(holds(knots.column("value"), (i) => 3 * i)).toBe(true);
  expect(holds(before, (i) => -i)).toBe(true);
  expect(holds(knots.column("after"), (i) => (i % 512 < 2 ? i + 0.5 : -i))).toBe(true);
  // What is handed out is nobody else's.
  if (count > 0) {
    before[0] = 7;
    expect(knots.column("slope")[0]).not.toBe(7);
  }
});
