import { expect, test } from "vitest";
import { compile, measure, simulate, verify } from "../../src/index.js";

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
