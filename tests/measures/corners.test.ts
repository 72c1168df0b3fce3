// Where a period's own course starts, by the words of src/measures/inherited.ts: a way back from a corner on the border belongs to the
// period before; a smooth turn is no corner, nor is a border that the trace before rested at. Parabolas, whose turn is known: a + b s
// + c s² turns at -b/2c, at a - b²/4c.
import { expect, it } from "vitest";
import type { Trace } from "../../src/waveforms/trace.js";
import { make } from "../waveforms/making.js";
import { named } from "./taking.js";

/** A period from 1 to 2, in a unit of time, that follows another, and what its trace does in both; parabolas between samples. */
function period(before: number, [b, c]: readonly [number, number], unit = 1) {
  const trace = make(
    [0, unit, 2 * unit],
    [5 - before, 5, 5 + b + c],
    [before / unit, b / unit, (b + 2 * c) / unit],
    [before / unit, before / unit, (b + 2 * c) / unit],
  );
  return { trace, from: unit, to: 2 * unit, follows: true };
}
const peak = (w: { trace: Trace; from: number; to: number }) => named("peak").take(w);

it("a way back that turns within a stretch ends where it turns", () => {
  // Down from 5 to 5 - 400/72 at 5/9, and up to 3.
  const w = period(5, [-20, 18]);
  expect(Math.abs(peak(w) - 3)).toBeLessThan(1e-12);
  expect(Math.abs(named("floor").take(w) - (5 - 400 / 72))).toBeLessThan(1e-12);
  expect(Math.abs(named("floor").when!(w, named("floor").take(w)) - (1 + 5 / 9))).toBeLessThan(1e-9);
});

it("a smooth turn on the border is no corner, whatever unit its times are in", () => {
  // From rest down by 9: the slope there is a ten-thousandth of that of the chord.
  for (const unit of [1, 1e-6, 1e6]) {
    expect(peak(period(5, [-9e-4, -8.9991], unit))).toBe(5);
    expect(Math.abs(peak(period(5, [-20, 18], unit)) - 3)).toBeLessThan(1e-12);
  }
});

it("a trace that stood at the border has a corner there that is this period's as well", () => {
  // Down by 1 to the turn: a thousandth of that over the period is where rest ends.
  expect(peak(period(0.5e-3, [-4, 3.5]))).toBe(5);
  expect(Math.abs(peak(period(2e-3, [-4, 3.5])) - 4.5)).toBeLessThan(1e-12);
});

it("a stretch that stands ends the way back", () => {
  const trace = make([0, 1, 1.25, 1.5, 2], [0, 5, 1, 1, 3]);
  const w = { trace, from: 1, to: 2, follows: true };
  expect([peak(w), named("floor").when!(w, 1)]).toEqual([3, 1.25]);
});
