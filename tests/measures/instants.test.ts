// Instants that a check asks for, through whole texts: a level that is left by a jump, points of a path that stand at one
// time, and the lines of an interlaced picture.
import { describe, expect, it } from "vitest";
import { compile, crossings, inspect, simulate, verify } from "../../src/index.js";
import { make } from "../waveforms/making.js";
import { off } from "./taking.js";

const measured = (text: string) => verify(simulate(compile(text))).map((r) => r.measured);

describe("a crossing of a level at which the trace rests", () => {
  // 0 A until 1 ms, 2 mA by a jump, -1 mA by another at 2 ms, and up to 2 mA at 4 ms: through 0 A a third of the way.
  const stair = `signal s = path 0 V at 0 s, 0 V at 1 ms, 2 V at 1 ms, 2 V at 2 ms, -1 V at 2 ms, 2 V at 4 ms
resistor r s -> ground 1 kohm
run for 5 ms
`;
  it.each([
    ["rising through 0 A", 1e-3],
    ["falling through 0 A", 2e-3],
    ["rising through 0 A after 1.5 ms", 2e-3 + 2e-3 / 3 - 1.5e-3],
    ["through 0 A after 1 ms before 1.5 ms", 0],
  ])("%s", (words, seconds) => {
    const [at] = measured(`${stair}check "c" crossing of r.current ${words} below 5 ms`);
    expect(Math.abs(at - seconds)).toBeLessThan(1e-12);
  });
});

describe("a path", () => {
  const told = (points: string) =>
    inspect(`signal s = path ${points}\nresistor r s -> ground 1 kohm`).diagnostics.map((d) => d.code);
  it("with three points at one time is refused: the middle one would be lost", () => {
    expect(told("0 V at 1 ms, 1 V at 1 ms, 0 V at 1 ms")).toEqual(["path-crowded"]);
    expect(told("0 V at 0 s, 0 V at 1 ms, 1 V at 1 ms, 0 V at 1 ms, 0 V at 2 ms")).toEqual(["path-crowded"]);
    expect(told("0 V at 1 ms, 1 V at 1 ms, 0 V at 1.001 ms")).toEqual([]);
  });
});

// A line of 625/50 lasts 64 us, of 525/59.94 572/9 us; a frame has 625 or 525 of them, and every other field begins in the
// middle of one (ITU-R BT.1700, SMPTE 170M-2004).
it.each([
  ["625/50", 64e-6, 625],
  ["525/59.94", 572e-6 / 9, 525],
])("the lines of %s are whole lines, through both fields", (system, line, count) => {
  const run = simulate(
    compile(`signal camera = video of ${system}, black\nresistor r camera -> ground 75 ohm\nrun for 45 ms`),
  );
  const begins = run.periods("camera.lines");
  const frame = begins.filter((t) => t < (count - 0.25) * line);
  expect(frame).toHaveLength(count);
  for (const [i, t] of begins.entries()) expect(Math.abs(t - i * line)).toBeLessThan(1e-15);
});

it("a pulse shorter than a comparator's delay does not come out, a longer one does, late by it", () => {
  const text = (wide: string) => `signal a = pulse 0 V to 5 V, wide ${wide}, first 10 us
comparator c a -> out threshold 2.5 V, delay 1 us
resistor load out -> ground 1 kohm
run for 40 us
check "rises" crossing of out rising through 2.5 V below 40 us
check "how many" pulses of out rising through 2.5 V is 1`;
  expect(measured(text("0.9 us"))).toEqual([Number.NaN, 0]);
  const [at, count] = measured(text("1.1 us"));
  // The edge is half up 10 us after the start, and jumps.
  expect(Math.abs(at - 11e-6)).toBeLessThan(1e-11);
  expect(count).toBe(1);
});

// A capacitor that is charged to 5 V through a resistor, then discharged: v = 5 (1 − e^(−t/τ)), and 5 e^(−(t − T)/τ) from T on, where it
// had come to 5 (1 − e^(−T/τ)). Slow, so that slopes are far below one in SI units.
it("a crossing of what was sampled is as good as the closed form, up and down", () => {
  const tau = 1000;
  const run = `signal drive = pulse 0 V to 5 V, wide ${40 * tau} s, first 0 s, every ${80 * tau} s
resistor r drive -> c 100 Mohm
capacitor store c -> ground 10 uF, starts 0 V
run for ${79 * tau} s, from rest
check "up" crossing of c rising through 2 V above 0 s
check "down" crossing of c falling through 2 V above 0 s`;
  const [up, down] = measured(run);
  expect(off(up, tau * Math.log(5 / 3))).toBeLessThan(1e-11);
  expect(off(down - 40 * tau, tau * Math.log(5 / 2))).toBeLessThan(1e-11);
});

it("a level is a number", () => {
  const trace = make([0, 1], [0, 1]);
  expect(() => crossings(trace, 0, 1, "0.5" as unknown as number)).toThrow(/level/);
});
