import { expect, test } from "vitest";
import { compile, measure, simulate, verify } from "../../src/index.js";
import { Trace } from "../../src/waveforms/trace.js";
import { take } from "./taking.js";

// A gate resets the ramp every 64 µs; a second source helps it along in every other period for 5.3 µs after the reset. A source of
// 1 mA makes V = I t / C of a capacitor: 3.953 V in 59.3 µs with 15 nF, and 0.5 mA another 0.177 V in 5.3 µs. The reset leaves
// what its 5 ohm take off each current.
const ramp = (way: string, gate = "pulse 0 V to 5 V, wide 4.7 us, every 64 us") => `
supply plus12 = 12 V
signal gate = ${gate}
signal help = pulse 0 V to 5 V, wide 10 us, every 128 us
${
  way === "up"
    ? `current feed plus12 -> ramp 1 mA
current more plus12 -> ramp 0 A, follows help, gain 0.1 mA/V
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm`
    : `current feed ramp -> ground 1 mA
current more ramp -> ground 0 A, follows help, gain 0.1 mA/V
capacitor hold plus12 -> ramp 15 nF
switch reset plus12 -> ramp closed while gate above 2.5 V, on 5 ohm`
}
run for 640 us, from settled
`;
const own = (1e-3 * 59.3e-6) / 15e-9 + 5e-3;
const more = (0.5e-3 * 5.3e-6) / 15e-9 + 2.5e-3;

// V = I t / C.
test("a corner on the border belongs to the period in which the ramp rose", () => {
  const run = simulate(compile(ramp("up")));
  const { periods, instant } = measure(run, "peak of ramp each gate");
  const [one, two] = periods!.map((p) => p.value);
  expect(one).toBeCloseTo(own + more, 6);
  expect(two).toBeCloseTo(own, 6);
  expect(periods!.map((p) => p.value)).toEqual(periods!.map((_, i) => (i % 2 ? two : one)));
  // Each is reached at the end of its period.
  for (const { begin, instant } of periods!) expect(instant - begin).toBeCloseTo(64e-6, 12);
  expect(instant).toBeCloseTo(64e-6, 12);
  const swings = measure(run, "swing of ramp each gate").periods!.map((p) => p.value);
  expect(swings[1]).toBeCloseTo(own - 5e-3, 5);
});

test("a ramp that is short in every other period does not pass", () => {
  for (const repeats of [true, false]) {
    const text = `${ramp("up")}check "as tall" peak of ramp each gate is ${own + more} V +- 1 %
check "after one" peak of ramp each gate after 70 us is ${own + more} V +- 1 %`;
    const [all, after] = verify(simulate(compile(text), { repeats }));
    expect(all).toMatchObject({ pass: false, periods: 10 });
    expect(all.measured).toBeCloseTo(own, 6);
    expect(after.pass).toBe(false);
  }
  // The corner before the first period looked at is not this one's either.
  const first = measure(simulate(compile(ramp("up"))), "peak of ramp each gate after 60 us");
  expect(first.periods![0].value).toBeCloseTo(own, 6);
});

// From 10 to 90 % of a straight rise; the help's share of it, before the first tenth, is left out by measuring the other periods.
test("an edge of a ramp much lower than the one before is one", () => {
  const run = simulate(compile(ramp("up").replace("gain 0.1 mA/V", "gain 0.4 mA/V")));
  const rises = measure(run, "rise time of ramp each gate").periods!.map((p) => p.value);
  expect(rises[1]).toBeCloseTo(0.8 * 59.3e-6, 9);
  expect(rises[3]).toBeCloseTo(0.8 * 59.3e-6, 9);
});

test("a falling ramp's floor likewise", () => {
  const run = simulate(compile(ramp("down")));
  const values = measure(run, "floor of ramp each gate").periods!.map((p) => p.value);
  expect(values[0]).toBeCloseTo(12 - own - more, 6);
  expect(values[1]).toBeCloseTo(12 - own, 6);
});

// V = I t / C, down to I R.
test("what only comes down from a corner, jumps, or turns smoothly counts with its start", () => {
  const run = simulate(
    compile(`
signal gate = pulse 0 V to 5 V, wide 1 us, every 64 us
signal fill = path 0 V at 0 s, 5 V at 64 us, 5 V at 64 us, 0 V at 64 us
signal wave = sine -1 V to 1 V, at 15.625 kHz, phase 90 deg
current feed ground -> held 1 mA
switch let held -> ground closed after 64 us, on 10 ohm
capacitor hold held -> ground 1 uF
run for 640 us, from rest
`),
  );
  const held = measure(run, "peak of held each gate").periods!.map((p) => p.value);
  expect(held[0]).toBeCloseTo(0.064, 9);
  expect(held[1]).toBeCloseTo(0.064, 9);
  const fill = measure(run, "peak of fill each gate").periods!.map((p) => p.value);
  expect(fill.slice(0, 2)).toEqual([5, 0]);
  const wave = measure(run, "peak of wave each gate").periods!.map((p) => p.value);
  for (const value of wave) expect(value).toBeCloseTo(1, 6);
});

// Corners that are written down: the values of each period are read off them, a straight line being between two of them.
const drawn = (points: string, from = "V") =>
  simulate(
    compile(`signal border = pulse 0 V to 5 V, wide 2 us, every 64 us
signal x = path ${points.replaceAll(/ V /g, ` ${from} `)}
run for 640 us`),
  );
const peaks = (points: string, from?: string) =>
  measure(drawn(points, from), "peak of x each border").periods!.map((p) => p.value);

test("what goes on to fall across a border is no way back: its period begins with its peak", () => {
  const corners = Array.from({ length: 10 }, (_, k) =>
    [
      [0, 0],
      [32, -2],
      [48, -1.5],
    ].map(([us, v]) => `${(20 - 1.8 * k + v).toFixed(1)} V at ${64 * k + us} us`),
  );
  const found = peaks(`${corners.flat().join(", ")}, 2 V at 640 us`);
  for (const [k, peak] of found.entries()) expect(peak).toBeCloseTo(20 - 1.8 * k, 9);
});

test("a period in which nothing moves hands nothing over", () => {
  const found = peaks("0 V at 0 us, 0 V at 90 us, 5 V at 91 us, 5 V at 95 us, 0 V at 96 us");
  expect(found.slice(0, 3)).toEqual([0, 5, 0]);
});

test("a reset in the second half of its period belongs there: the period before ends on the way", () => {
  const found = peaks("0 V at 0 us, 5 V at 102 us, 0 V at 106 us, 0 V at 128 us, every 128 us");
  for (const [k, peak] of found.entries()) expect(peak).toBeCloseTo(k % 2 ? 5 : (5 * 64) / 102, 9);
});

test("a floor that creeps up begins no ramp: what rises about a border, for longer after it, belongs where it ends", () => {
  const found = peaks(
    "0 V at 0 us, 0 V at 10 us, 0.05 V at 50 us, 5.15 V at 84 us, 0 V at 85 us, 0 V at 128 us, every 128 us",
  );
  for (const [k, peak] of found.entries()) expect(peak).toBeCloseTo(k % 2 ? 5.15 : 0.05 + 0.15 * 14, 9);
});

// A ramp of 1/32 V each µs and one of 1/16 V each µs in turn, for 62 µs each; their resets begin 8 µs late and take 2 µs.
test.each(["V", "mV", "uV"])("a measure knows no scale: ramps in %s are handed over alike", (unit) => {
  const found = peaks(
    "3.375 V at 0 us, 3.875 V at 8 us, 0 V at 10 us, 1.9375 V at 72 us, 0 V at 74 us, 3.375 V at 128 us, every 128 us",
    unit,
  );
  const scale = { V: 1, mV: 1e-3, uV: 1e-6 }[unit]!;
  // What the first period begins with no other one has handed over, and the last ramp of the run is not over.
  for (const [k, peak] of found.slice(1, -1).entries())
    expect(peak / scale).toBeCloseTo(k % 2 ? 1.9375 : 3.875, 9);
});

test("a floor that a reset leaves by a jump is reached where the reset ends", () => {
  const run = drawn(
    "4.375 V at 0 us, 4.875 V at 8 us, 0 V at 10 us, 1 V at 10 us, 4.375 V at 64 us, every 64 us",
  );
  for (const { begin, value, instant } of measure(run, "floor of x each border").periods!) {
    expect(value).toBeCloseTo(0, 12);
    expect(instant - begin).toBeCloseTo(10e-6, 12);
  }
});

// 4 V + 1 V (1 - ((t - 70) / 10)²): its vertex lies between its samples, and behind the border at 64.
test("a top that turns between two samples is handed over as high as it is", () => {
  const trace = new Trace({
    name: "x",
    unit: "V",
    time: Float64Array.of(0, 10, 60, 80, 82, 128, 192),
    value: Float64Array.of(0, 0, 4, 4, 0, 2, 3),
    slope: Float64Array.of(0, 0.08, 0.2, -2, 2 / 46, 1 / 64, 1 / 64),
    slopeBefore: Float64Array.of(0, 0, 0.08, -0.2, -2, 2 / 46, 1 / 64),
  });
  const window = { from: 0, to: 64, next: { to: 128, whole: true } };
  expect(take("peak", trace, window)).toBeCloseTo(5, 12);
  expect(
    take("peak", trace, { from: 64, to: 128, follows: true, former: 0, next: { to: 192, whole: true } }),
  ).toBe(2);
});
