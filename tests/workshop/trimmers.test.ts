// The order of trimmers. Expected values: the divider's and the follower's arithmetic, U = E · (1 − at) unloaded, and I = C dV/dt of a
// ramp.
import { expect, test } from "vitest";
import { compile, trimmers } from "../../src/index.js";
import { file, rampwright, stopping } from "../command/running.js";

const chain = `title "Nest box, two trimmers"
supply plus12 = 12 V
potentiometer second first -> ground 100 kohm, tap low, at 50 %
potentiometer level  plus12 -> ground 100 ohm, tap first, at 50 %
run for 1 ms
check "low"   value of low   at 0.5 ms is 2 V +- 1 %
check "first" value of first at 0.5 ms is 4 V +- 1 %
`;

test("what moves the target of another is set before it, and each is told the way", () => {
  const found = trimmers(compile(chain));
  // `second` loads `level` by 50 ohm (both halves at most) beside 100 kohm: 1e-3 of it at most, which nobody feels at 1 %.
  expect(found.map(({ name, target }) => [name, target?.name])).toEqual([
    ["level.at", "first"],
    ["second.at", "low"],
  ]);
  const [level, second] = found;
  // Unloaded the tap stands at 12 V · (1 − at): 4 V where at is 2/3; the load moves that by less than a part in a thousand.
  expect(level.setting).toBeCloseTo(2 / 3, 3);
  expect(level).toMatchObject({ turn: "up", again: [] });
  expect(level.target).toMatchObject({ rises: false, aim: 4 });
  expect(level.left!.below + level.left!.above).toBeCloseTo(1, 12);
  // With 4 V there, 2 V of it is half: the tap stays, though 3 V are measured before.
  expect(second).toMatchObject({ turn: "stay" });
  expect(second.setting).toBeCloseTo(1 / 2, 3);
  expect(second.target!.measured).toBeCloseTo(3, 2);
});

test("a check that a trimmer moves beside its target is told, and one that it does not move is not", () => {
  // Two equal resistors halve what the tap shows; the supply stays.
  const [level] = trimmers(
    compile(`supply plus12 = 12 V
potentiometer level plus12 -> ground 100 ohm, tap out, at 50 %
resistor upper out -> half 1 Mohm
resistor lower half -> ground 1 Mohm
run for 1 ms
check "out"  value of out    at 0.5 ms is 4 V +- 1 %
check "half" value of half   at 0.5 ms between 1 V and 4 V
check "rail" value of plus12 at 0.5 ms is 12 V +- 1 %
`),
  );
  expect(level.target!.name).toBe("out");
  expect(level.besides.map(({ name }) => name)).toEqual(["half"]);
});

test("where a trimmer moves two targets, each is set for what is left to it when the other is held", () => {
  const text = (loaded: string) => `supply plus12 = 12 V
potentiometer lift   plus12 -> ground 10 kohm, tap bias, at 50 %
potentiometer height bias   -> ground 100 kohm, tap out, at 30 %
resistor load bias -> ground 47 kohm
resistor meter out -> ground ${loaded}
run for 1 ms
check "bias" mean of bias is 4 V +- 1 %
check "out"  mean of out is 2.5 V +- 1 %`;
  // Kirchhoff by hand, both taps counted from ground.
  const levels = (lift: number, height: number, meter: number) => {
    const low = 1 / (1 / (100e3 * height) + 1 / meter);
    const down = 1 / (1 / (10e3 * lift) + 1 / 47e3 + 1 / (100e3 * (1 - height) + low));
    const bias = (12 * down) / (10e3 * (1 - lift) + down);
    return { bias, out: (bias * low) / (100e3 * (1 - height) + low) };
  };
  for (const [words, meter] of [
    ["1 Mohm", 1e6],
    ["47 kohm", 47e3],
  ] as const) {
    const [lift, height] = trimmers(compile(text(words)));
    // `lift` moves "out" by more of its tolerance than `height` does, but `height` hardly moves "bias".
    expect([lift.name, lift.target?.name, height.name, height.target?.name]).toEqual([
      "lift.at",
      "bias",
      "height.at",
      "out",
    ]);
    expect(levels(1 - lift.setting!, 0.7, meter).bias).toBeCloseTo(4, 4);
    expect(levels(1 - lift.setting!, 1 - height.setting!, meter).out).toBeCloseTo(2.5, 4);
    expect(height.again).toEqual(["lift.at"]);
  }
});

test("a trimmer that nothing sees has no target, and a design may have none", () => {
  const [only] = trimmers(
    compile(`supply plus12 = 12 V
potentiometer idle plus12 -> ground 1 kohm, tap low, at 50 %
run for 1 ms
check "rail" value of plus12 at 0.5 ms is 12 V +- 1 %`),
  );
  expect(only).toMatchObject({ name: "idle.at", turned: true, again: [] });
  expect(only.target).toBeUndefined();
  expect(
    trimmers(compile("supply plus12 = 12 V\nresistor load plus12 -> ground 1 kohm\nrun for 1 ms")),
  ).toEqual([]);
});

test("a value to be found is a trimmer: C = I t / U", () => {
  const [timing] = trimmers(
    compile(`given timing = 10 nF
current feed ground -> ramp 1 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us
run for 100 us
check "four" value of ramp at 60 us is 4 V +- 1 %
find timing from 5 nF to 20 nF for "four"`),
  );
  // 1 mA for 50 µs into 4 V: 12.5 nF, half of the range from 5 to 20 nF below it.
  expect(timing.setting).toBeCloseTo(12.5e-9, 13);
  expect(timing).toMatchObject({ turn: "up", turned: false, unit: "F" });
  expect(timing.left!.below).toBeCloseTo(0.5, 3);
  expect(timing.target!.rises).toBe(false);
});

test("the command tells it step by step", () => {
  const done = rampwright(["align", file(chain)]);
  expect(done.status).toBe(0);
  expect(done.out).toContain("1. level.at, 50 % as drawn, from 0 % to 100 %");
  expect(done.out).toMatch(/Go up, to about 66\.\d+ %/);
  expect(JSON.parse(rampwright(["align", file(chain), "--json"]).out).trimmers).toHaveLength(2);
  expect(
    rampwright(["align", file("supply plus5 = 5 V\nresistor r plus5 -> ground 1 kohm\nrun for 1 ms\n")])
      .status,
  ).toBe(1);
});

test("what is set by eye is said to be, with the light it moves, and ends the command well", () => {
  const text = `title "Nest box, brightness"
supply plus5 = 5 V
potentiometer brightness ground -> plus5 10 kohm, tap lift, at 60 %
resistor add lift -> drive 10 kohm
potentiometer idle ground -> plus5 10 kohm, tap other, at 60 %
voltage sweep ground -> across 1 V
tube screen drive -> ground across across, down across, left 0 V, right 1 V, top 0 V, bottom 1 V, cutoff -250 mV, full 3 V
run for 1 ms
check "rail" value of plus5 at 0.5 ms above 4 V
`;
  const found = trimmers(compile(text));
  expect(found.map(({ name, light }) => [name, light])).toEqual([
    ["brightness.at", { tube: "screen", drive: "drive", cutoff: -0.25 }],
    // It hangs on the same rail, which is held: it moves nothing there.
    ["idle.at", undefined],
  ]);
  const done = rampwright(["align", file(text)]);
  expect(done.out).toMatch(/screen: turn brightness\.at until black is just dark, drive at -250 mV/);
  expect(done.status).toBe(0);
});

test("a run that stops early is told, and ends the command with its own status", () => {
  const text = `given timing = 10 nF\n${stopping.replace("10 nF", "timing")}find timing from 5 nF to 20 nF for "five volts"\n`;
  const reasons: string[] = [];
  trimmers(compile(text), { stopped: (reason) => reasons.push(reason) });
  expect(reasons.length).toBeGreaterThan(0);
  const done = rampwright(["align", file(text)]);
  expect(done.status).toBe(3);
  expect(done.err).toContain("a run stopped early");
});
