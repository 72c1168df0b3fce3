// Samples of a trace as they come, wherever more room has to be made for them. Expected are the numbers that were put
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
    // At every 512th, the curve goes on with another slope.
    if (i % 512 < 2) knots.turn(i + 0.5);
  }
  expect(lost).toBe(0);
  const holds = (column: Float64Array, of: (i: number) => number) =>
    column.length === count && column.every((number, i) => number === of(i));
  expect(holds(knots.column("time"), (i) => i / 8)).toBe(true);
  expect(holds(knots.column("value"), (i) => 3 * i)).toBe(true);
  expect(holds(knots.column("slope"), (i) => -i)).toBe(true);
  expect(holds(knots.column("after"), (i) => (i % 512 < 2 ? i + 0.5 : -i))).toBe(true);
});

test("room for as many as are expected is made at once, and no more than there may be", () => {
  const samples = 10_000;
  // Half of the samples lie in the first hundredth of the span, so that far too many are expected at first.
  const knots = new Knots(24 * samples, undefined, { from: 0, to: 1 });
  for (let i = 0; i < samples; i++)
    knots.push(i < samples / 2 ? (0.02 * i) / samples : (2 * i) / samples - 1, i, 1);
  const values = knots.column("value");
  expect(values.length).toBe(samples);
  expect(values.every((value, i) => value === i)).toBe(true);
  expect(values.buffer.byteLength).toBeLessThanOrEqual(8 * (samples + 1));
});
