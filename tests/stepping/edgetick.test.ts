// A level that is met at the very instant of an edge elsewhere: both happen. A ramp through a divider meets the level of one switch
// just as a pulse commands another; at the same time other pulses are on their way, so that the ramp is watched beyond the edge.
// Instants by the straight line of the ramp.
import { expect, test } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";

/** Us, and V a us. */
const circuit = (at: number, slope: number, others: number) => `
signal tri = path 0 V at 0 s, ${(slope * 10).toFixed(6)} V at 10 us
signal other = pulse 0 V to 1 V, wide 0.1 us, every ${others} us
signal command = pulse 0 V to 1 V, wide 1 us, first ${at} us
supply plus5 = 5 V
resistor busy other -> ground 1 kohm
resistor upper tri -> half 1 kohm
resistor lower half -> ground 1 kohm
resistor load1 plus5 -> a 1 kohm
switch level a -> ground closed while half above ${((slope * at) / 2).toPrecision(12)} V
resistor load2 plus5 -> b 1 kohm
switch obeys b -> ground closed while command above 0.5 V
run for 9 us
check "b before" value of b at ${(at - 0.01).toFixed(3)} us above 4 V
check "b after" value of b at ${(at + 0.01).toFixed(3)} us below 1 V
check "a before" value of a at ${(at - 0.01).toFixed(3)} us above 4 V
check "a after" value of a at ${(at + 0.01).toFixed(3)} us below 1 V`;

test("a level met at the tick of an edge: the edge is obeyed, and the level too", () => {
  const wrong: string[] = [];
  for (let k = 0; k < 120; k++) {
    const at = 3 + ((k * 37) % 400) / 100;
    const slope = [1, 0.37, 2.5, 7.3][k % 4];
    const run = simulate(compile(circuit(at, slope, [0.7, 0.9, 0.3][k % 3])));
    for (const { name, pass } of verify(run)) if (!pass) wrong.push(`${at} us, ${slope} V/us: ${name}`);
  }
  expect(wrong).toEqual([]);
});
