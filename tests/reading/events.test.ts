// Events against what the circuit must do: a switch at a signal's edges, a diode when I t / C has come to its drop.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

// 1 mA into 10 nF: 3 V and a drop of 0.6 V are reached 36 us after the switch has opened, 10 us behind every 60 us.
const design = compile(`
signal gate = pulse 0 V to 5 V, wide 10 us, every 60 us
supply rail = 12 V
supply clamp = 3 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 10 nF, starts 0 V
switch reset ramp -> ground closed while gate above 2.5 V
diode guard ramp -> clamp drop 0.6 V
run for 300 us, from rest`);
const of = (part: string, options = {}) =>
  simulate(design, options)
    .events.filter((e) => e.part === part)
    .map(({ time, from, to }) => [Number((time * 1e6).toFixed(9)), `${from} to ${to}`]);

describe("run.events", () => {
  it("a switch closes and opens with its signal", () => {
    const expected = [0, 60, 120, 180, 240].flatMap((t) => [
      [t + 10, "closed to open"],
      [t + 60, "open to closed"],
    ]);
    expect(of("reset")).toEqual(expected);
    expect(of("reset", { repeats: false })).toEqual(of("reset"));
  });

  it("a diode conducts from its drop on until the switch takes the charge", () => {
    const expected = [0, 60, 120, 180, 240].flatMap((t) => [
      [t + 46, "off to on"],
      [t + 60, "on to off"],
    ]);
    expect(of("guard")).toEqual(expected);
  });

  it("are those of what is recorded, as plain data", () => {
    const all = simulate(design).events;
    const part = simulate(design, { record: { from: "100 us", to: "200 us" } }).events;
    expect(part).toEqual(all.filter(({ time }) => time > 100e-6 && time <= 200e-6));
    expect(structuredClone(all)).toEqual(all);
    expect(JSON.parse(JSON.stringify(all))).toEqual(all);
  });
});
