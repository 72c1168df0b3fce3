// Values for the start that contradict each other or the circuit: they are told with both values, charge and flux stay, and
// half of C V² or L I² of the misfit is lost (two capacitors C/2, two coils L/2 in the misfit; any textbook).
import { describe, expect, it } from "vitest";
import { balance, compile, simulate, stress } from "../../src/index.js";
import { off } from "../facts/running.js";

const run = (text: string, start: string) => {
  const done = simulate(compile(`${text}\nrun for 1 ms${start}`));
  expect(done.reason).toBe("");
  return done;
};

describe.each(["", ", from rest"])("values for the start%s", (start) => {
  it("of coils in series: 18 mA and 2 mA become 10 mA in equal ones", () => {
    const done = run(
      `supply p = 1 V
resistor r p -> a 100 ohm
inductor one a -> b 1 mH, starts 18 mA
inductor two b -> ground 1 mH, starts 2 mA`,
      start,
    );
    expect(off(done.trace("one.current").at(0), 10e-3)).toBeLessThan(1e-12);
    expect(done.warnings).toEqual([
      "inductor 'one' is given 18 mA at the start but begins with 10 mA: it cannot differ from 'two'",
      "inductor 'two' is given 2 mA at the start but begins with 10 mA: it cannot differ from 'one'",
    ]);
    expect(done.losses).toHaveLength(1);
    expect(off(done.losses[0].energy, 0.5 * 0.5e-3 * 16e-3 ** 2)).toBeLessThan(1e-9);
  });

  it.each([
    ["joined", "capacitor two a -> ground 3 uF, starts 2 V"],
    ["joined by a switch", "capacitor two b -> ground 3 uF, starts 2 V\nswitch s a -> b closed before 5 ms"],
  ])("of capacitors %s: 1 V on 1 uF and 2 V on 3 uF become 1.75 V", (_, other) => {
    const done = run(
      `capacitor one a -> ground 1 uF, starts 1 V\n${other}\nresistor r a -> ground 1 kohm`,
      start,
    );
    expect(off(done.trace("a").at(0), 1.75)).toBeLessThan(1e-12);
    expect(done.warnings).toEqual([
      "capacitor 'one' is given 1 V at the start but begins with 1.75 V: it cannot differ from 'two'",
      "capacitor 'two' is given 2 V at the start but begins with 1.75 V: it cannot differ from 'one'",
    ]);
    expect(off(done.losses[0].energy, 0.5 * 0.75e-6)).toBeLessThan(1e-9);
    expect(off(balance(done).lost, 0.5 * 0.75e-6)).toBeLessThan(1e-9);
  });

  it("of a capacitor across a supply: told, and C V² / 2 of the misfit lost", () => {
    const done = run("supply p = 5 V\ncapacitor c p -> ground 1 uF, starts 1 V", start);
    expect(done.warnings).toEqual([
      "capacitor 'c' is given 1 V at the start but begins with 5 V: what it is joined to holds that",
    ]);
    expect(off(done.losses[0].energy, 8e-6)).toBeLessThan(1e-9);
    expect(off(stress(done).parts.find((p) => p.part === "c")!.shared!.charge, 4e-6)).toBeLessThan(1e-9);
  });

  it("that agree say nothing", () => {
    const done = run(
      `capacitor one a -> ground 1 uF, starts 2 V
capacitor two a -> ground 3 uF, starts 2 V
resistor r a -> ground 1 kohm
supply p = 5 V
capacitor c p -> ground 1 uF, starts 5 V`,
      start,
    );
    expect(done.warnings).toEqual([]);
    expect(done.losses).toEqual([]);
  });
});

it("a coil that hangs free: its current is dropped, and that is told; it shares it with nothing", () => {
  const done = run(
    `supply p = 1 V
resistor r p -> a 100 ohm
inductor one a -> b 1 mH, starts 5 mA`,
    "",
  );
  expect(done.warnings).toEqual([
    "inductor 'one' is given 5 mA at the start but begins with 0 A: nothing carries its current",
  ]);
  expect(done.losses).toEqual([]);
});
