// The sweep that ships, line and field of one block: its ramp against closed forms, and its guard when the gate stays
// away.
import { describe, expect, it } from "vitest";
import { passing, reach, run } from "./looking.js";

const text = (gate: string, values = "") => `bring "shipped/sweep"
  supply plus12 = 12 V
  supply plus5 = 5 V
  supply minus5 = -5 V
  signal gate = ${gate}
  use sweep as s joins plus12, plus5, plus12, minus5, gate, ramp, out${values}
`;
const line = "line sync of 625/50, 0 V to 5 V";
const field = "field sync of 625/50, 0 V to 5 V";
// 1 mA is what flows at the headroom of 0.9 V; beyond it 2 Mohm add their part: C v' = I + (11.1 V − v)/2 Mohm, the charge
// of a capacitor through a resistance (Millman & Taub 1965; any book).
const climbs = (amperes: number, farads: number, from: number, t: number) => {
  const aims = amperes * 2e6 + 11.1;
  return aims + (from - aims) * Math.exp(-t / (2e6 * farads));
};

describe("the ramp", () => {
  it.each([
    ["line", line, "", 1e-3, 15e-9, 64e-6, 4.7e-6],
    ["field", field, " with charge 0.94 mA, timing 4.7 uF", 0.94e-3, 4.7e-6, 20e-3, 480e-6 / 3],
  ] as const)(
    "of a %s climbs as a current source with output resistance does",
    (_, gate, values, amperes, farads, period, wide) => {
      const done = run(text(gate, values), { until: `${period * 2.5} s` });
      const [ramp, pulses] = done.draw(["ramp", "gate"]);
      const opens = passing(pulses, 2.5, "falling")
        .filter((t) => t > period * 0.9 && t < period * 1.1)
        .at(-1)!;
      expect(opens - period).toBeGreaterThan(0.9 * wide);
      // RC charge (Millman & Taub 1965, ch. 2).
      const start = ramp.at(opens);
      for (const share of [0.2, 0.5, 0.9]) {
        const t = share * (2 * period - opens);
        expect(Math.abs(ramp.at(opens + t) - climbs(amperes, farads, start, t))).toBeLessThan(1e-6);
      }
    },
  );

  it("is empty within its reset: V e^(−t/R_on C), down to the current through the switch", () => {
    // 5 ohm · 15 nF = 75 ns, so 4.7 µs leave nothing but 1 mA · 5 ohm (the same with the 2 Mohm: 5.03 mV).
    const done = run(text(line), { until: "200 us" });
    const ramp = done.trace("ramp");
    const top = ramp.at(128e-6 - 1e-12);
    const rest = (1e-3 + 11.1 / 2e6) / (1 / 5 + 1 / 2e6);
    expect(Math.abs(ramp.at(132.6e-6) - rest)).toBeLessThan(1e-6);
    for (const t of [75e-9, 150e-9, 300e-9])
      expect(Math.abs(ramp.at(128e-6 + t) - rest - (top - rest) * Math.exp(-t / 75e-9))).toBeLessThan(
        2e-3 * top,
      );
  });

  it("the buffer follows it a time constant late", () => {
    // One pole of 4 MHz on a ramp (handbook): late by 1/(2π · 4 MHz) = 39.8 ns, at 66.7 mV/µs 2.65 mV.
    const done = run(text(line), { until: "128 us" });
    const [ramp, out] = done.draw(["ramp", "out"]);
    const lag = ramp.at(110e-6) - out.at(110e-6);
    const slope = (ramp.at(111e-6) - ramp.at(109e-6)) / 2e-6;
    expect(Math.abs(lag / slope - 1 / (2 * Math.PI * 4e6))).toBeLessThan(2e-9);
  });
});

describe("the gate stays away", () => {
  it.each([
    ["line", line, "", 1e-3, "3 ms"],
    ["field", field, " with charge 0.94 mA, timing 4.7 uF", 0.94e-3, "80 ms"],
  ] as const)(
    "the %s ramp stops at the guard rail, a diode drop and 10 ohm times the current",
    (_, gate, values, amperes, until) => {
      // Common practice, no source; the figure by Kirchhoff, with the current that 2 Mohm add.
      const stops = gate === line ? "1 ms" : "41 ms";
      const done = run(text(`${gate}, stops ${stops}`, values), { until });
      const held = (5.6 + 10 * (amperes + 11.1 / 2e6)) / (1 + 10 / 2e6);
      const ramp = done.trace("ramp");
      expect(Math.abs(ramp.at(ramp.to) - held)).toBeLessThan(1e-7);
      // It does not go beyond it by more than the local error allowed, 3e-5 of its swing.
      expect(reach(ramp).high).toBeLessThan(held * (1 + 3e-5));
      const guard = done.trace("s.guard.current");
      expect(Math.abs(guard.at(guard.to) - (held - 5.6) / 10)).toBeLessThan(1e-9);
      // While pulses came the guard was not met.
      expect(reach(guard.between(0, gate === line ? 1e-3 : 41e-3)).high).toBeLessThan(1e-12);
    },
  );
  it("and with the guard rail dead it stops at a diode drop", () => {
    const done = run(
      `${text(`${line}, stops 1 ms`)}case "5 V dead" plus5 dead at 0.5 ms\ncheck "x" peak of ramp below 1 V`,
      { case: "5 V dead", until: "3 ms" },
    );
    const ramp = done.trace("ramp");
    expect(Math.abs(ramp.at(3e-3) - (0.6 + 10 * (1e-3 + 11.1 / 2e6)) / (1 + 10 / 2e6))).toBeLessThan(1e-7);
  });
});
