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

  it("of a coil that a current source drives: the source's current, and it is not said that nothing carries it", () => {
    const done = run(
      `current src ground -> a 5 mA
inductor coil a -> b 1 mH, starts 2 mA
resistor r b -> ground 1 kohm`,
      start,
    );
    expect(off(done.trace("coil.current").at(0), 5e-3)).toBeLessThan(1e-12);
    expect(done.warnings).toEqual([
      "inductor 'coil' is given 2 mA at the start but begins with 5 mA: a source drives that through it",
    ]);
    // L I² / 2 of the misfit of 3 mA.
    expect(off(done.losses[0].energy, 0.5 * 1e-3 * 3e-3 ** 2)).toBeLessThan(1e-9);
  });

  // Behind 0.6 V and 1 ohm 5 V drive (5 V − 0.6 V) / 1001 ohm, with a time constant of 1 us.
  it.each(["", "inductor spare v -> far 1 mH, starts 1 mA\nresistor r2 far -> ground 1 kohm\n"])(
    "of a coil against its diode: begins with 0 A, and that is told",
    (more) => {
      const done = run(
        `supply v = 5 V
${more}diode d v -> a drop 0.6 V, on 1 ohm
inductor coil a -> b 1 mH, starts -5 mA
resistor r b -> ground 1 kohm`,
        start,
      );
      expect(done.warnings).toEqual([
        "inductor 'coil' is given -5 mA at the start but begins with 0 A: nothing carries its current",
      ]);
      const at = (t: number) => (4.4 / 1001) * -Math.expm1((-t * 1001) / 1e-3);
      for (const t of [0, 0.3e-6, 2e-6, 9e-4])
        expect(Math.abs(done.trace("coil.current").at(t) - at(t))).toBeLessThan(4.4e-9);
      if (more) expect(off(done.trace("spare.current").at(0), 1e-3)).toBeLessThan(1e-12);
    },
  );

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
