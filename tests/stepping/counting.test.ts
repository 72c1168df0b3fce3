// Events that repeat are counted as if they had been marched: parts that switch without any state to move, for long. A rectifier
// of resistors switches twice a period of its pulse, at the instants where its sides meet its drop (worked out here).
import { expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

const rectifier = `signal tone = pulse -5 V to 5 V, wide 8 us, every 20 us, edges 4 us, first 7 us
  diode d tone -> out drop 0.6 V
  resistor load out -> ground 1 kohm`;
// As often, with a state that moves.
const held = `${rectifier}
  resistor feed out -> slow 1 kohm
  capacitor hold slow -> ground 1 nF`;

it.each([
  ["without a state", rectifier],
  ["with a state that moves", held],
])("%s: two events a period, repeated or not", (_, text) => {
  const design = compile(text);
  const periods = 6000;
  const [once, all] = [true, false].map((repeats) =>
    simulate(design, { until: periods / 50e3, repeats, start: "rest" }),
  );
  for (const run of [once, all]) {
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    expect(run.statistics.events).toBe(2 * periods);
  }
  expect(once.statistics).toEqual(all.statistics);
  expect(once.recording.kept).toBeLessThan(0.2 * once.recording.count);
  // Edges take 5 us from end to end (10 % to 90 %: 4 us). What lies above the drop: 4.4 V for 3 us, and two sides of 4.4 V at 2 V/us.
  if (text === rectifier) {
    const due = (4.4 * 3 + 4.4 * (4.4 / 2)) / 20;
    expect(Math.abs(measure(once, "mean of out").value / due - 1)).toBeLessThan(1e-6);
  }
});
