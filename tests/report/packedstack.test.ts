// What a page holds of a run says what was packed: instants, values and bends to the roundings that the format names.
import { expect, test } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { unpack } from "../../src/page/unpacked.js";
import { pack } from "../../src/report/packedstack.js";
import { keptStack, type Stack } from "../../src/report/stack.js";
import { Trace } from "../../src/waveforms/trace.js";

function stackWith(trace: Trace): Stack {
  const panels = [{ trace, limits: [], spare: false }];
  return { title: "t", from: 0, to: 1, panels, periods: [], marks: [], beams: [], deciders: [] };
}

async function through(trace: Trace): Promise<Trace> {
  return (await unpack(pack(stackWith(trace)))).panels[0].trace;
}

test("a charge comes back as the exponential that it is", async () => {
  const design = compile(`title "Nest box: a charge"
supply plus5 = 5 V
resistor feed plus5 -> ramp 1 kohm
capacitor hold ramp -> ground 10 nF, starts 0 V
run for 100 us, from rest
check "charged" value of ramp at 50 us is 4.966 V +- 1 %`);
  const run = simulate(design);
  const stack = keptStack(run, "As drawn", verify(run), (panel) => panel)!;
  const back = await unpack(pack(stack));
  const ramp = back.panels.find(({ trace }) => trace.name === "ramp")!.trace;
  // v = 5 V (1 − exp(−t/RC)): drawn to 3e-4 of the swing, kept to a bend of 1/4096 at most, which moves a curve by 4/27 of it.
  for (let k = 1; k < 100; k++) {
    const t = k * 1e-6;
    expect(Math.abs(ramp.at(t) - 5 * (1 - Math.exp(-t / 10e-6)))).toBeLessThan(5 * 4e-4);
  }
  expect(back.deciders).toEqual([{ panel: "ramp", from: 0, to: run.reached, at: 50e-6 }]);
});

test("jumps stay jumps, and roundings of time do not add up", async () => {
  const count = 200_000;
  const period = 64e-6 / 3;
  const time = Float64Array.from({ length: count }, (_, i) => Math.floor(i / 2) * period);
  const value = Float64Array.from({ length: count }, (_, i) => (i % 4 === 1 || i % 4 === 2 ? 5 : 0));
  const back = await through(new Trace({ name: "gate", unit: "V", time, value }));
  expect(back.value).toEqual(value);
  const even = [...time.keys()].filter((i) => i % 2 === 0);
  expect(even.every((i) => back.time[i + 1] === back.time[i])).toBe(true);
  // A float32 has 24 bits: half of the last of them, of one step, and as much again for the sum in a double.
  const off = Math.max(...even.slice(0, 50_000).map((i) => Math.abs(back.time[i] - time[i])));
  expect(off).toBeLessThan(period * 2 ** -23);
});

test("level, empty of numbers, and beyond all bounds", async () => {
  const time = Float64Array.from([0, 1, 2, 3]);
  const level = await through(new Trace({ name: "a", unit: "V", time, value: new Float64Array(4).fill(3) }));
  expect([...level.value]).toEqual([3, 3, 3, 3]);
  const none = await through(
    new Trace({ name: "a", unit: "V", time, value: new Float64Array(4).fill(Number.NaN) }),
  );
  expect([...none.value]).toEqual([0]);
  const wild = Float64Array.from([0, 1.7e308, Number.POSITIVE_INFINITY, -1.7e308]);
  const seen = await through(new Trace({ name: "a", unit: "V", time, value: wild }));
  expect([...seen.value].every(Number.isFinite)).toBe(true);
});
