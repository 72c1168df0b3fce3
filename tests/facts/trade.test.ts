// Facts of the trade about line and field ramps, through verdicts: common practice, no source, save where one is
// named. They are check values for these tests only. Line and field of 525/60 (47 CFR 73.682): 4000/63 µs and 1/60 s,
// 262.5 lines a field.
import { describe, expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { figures, last, measured, off, run } from "./running.js";

const { trade } = figures;

/** A ramp with an ideal source: what the trade's figures are reckoned with. */
const ramp = (timing: string, gate: string, checks: string) => `
  supply plus12 = 12 V
  signal gate = ${gate}
  current feed plus12 -> ramp 1.96 mA, headroom 0.9 V
  capacitor hold ramp -> ground ${timing}
  switch reset ramp -> ground closed while gate above 2.5 V
  ${checks}`;

describe("1.96 mA into 22 nF", () => {
  const text = ramp(
    "22 nF",
    "line sync of 525/60, 0 V to 5 V",
    `check "reaches 5 V"      crossing of ramp rising through 5 V each gate from 4.7 us to 63 us is 56.1 us +- 0.05 us
     check "after 50.5 us"    value of ramp at 55.2 us each gate is 4.50 V +- 0.005 V
     check "5 V in 50.5 us"   value of ramp at 55.2 us each gate above 5 V
     check "in 50.5 us"       crossing of ramp rising through 5 V each gate from 4.7 us to 63 us below 50.5 us`,
  );
  const done = () => run(text, { until: "600 us" });
  it("reaches 5 V 56.1 µs after the reset, and has 4.50 V after 50.5 µs", () => {
    const reaches = measured(done(), "reaches 5 V");
    expect(reaches.pass).toBe(true);
    // Q = C V = I t (any book): exact.
    expect(off(reaches.measured, (22e-9 * 5) / 1.96e-3)).toBeLessThan(1e-12);
    expect(Math.abs(reaches.measured - trade.lineReaches5V)).toBeLessThan(0.05e-6);
    const after = measured(done(), "after 50.5 us");
    expect(after.pass).toBe(true);
    expect(off(after.measured, (1.96e-3 * trade.lineWindow) / 22e-9)).toBeLessThan(1e-12);
    expect(Math.abs(after.measured - trade.lineAtWindow)).toBeLessThan(0.005);
  });
  it("so a check that asks for 5 V within 50.5 µs fails, by a tenth", () => {
    const level = measured(done(), "5 V in 50.5 us");
    expect(level.pass).toBe(false);
    expect(Math.abs(level.margin + 0.1)).toBeLessThan(0.001);
    const time = measured(done(), "in 50.5 us");
    expect(time.pass).toBe(false);
    expect(time.margin).toBeLessThan(-0.1);
    expect(time.margin).toBeGreaterThan(-0.12);
  });
});

describe("1.96 mA into 6.8 µF", () => {
  // From rest, without a pulse: the time counts from the start of the climb.
  const text = `
    current feed ground -> ramp 1.96 mA
    capacitor hold ramp -> ground 6.8 uF
    check "reaches 5 V"   crossing of ramp rising through 5 V before 18 ms is 17.35 ms +- 0.005 ms
    check "in a field"    crossing of ramp rising through 5 V before 18 ms below 1 s / 60
    check "at a sixtieth" value of ramp at 1 s / 60 is 4.80 V +- 0.005 V`;
  it("reaches 5 V in 17.35 ms, later than 1/60 s, where it stands at 4.80 V", () => {
    const done = run(text, { until: "20 ms", start: "rest" });
    const reaches = measured(done, "reaches 5 V");
    expect(reaches.pass).toBe(true);
    expect(off(reaches.measured, (6.8e-6 * 5) / 1.96e-3)).toBeLessThan(1e-12);
    expect(Math.abs(reaches.measured - trade.fieldReaches5V)).toBeLessThan(5e-6);
    expect(measured(done, "in a field").pass).toBe(false);
    const sixtieth = measured(done, "at a sixtieth");
    expect(sixtieth.pass).toBe(true);
    expect(Math.abs(sixtieth.measured - trade.fieldAtSixtieth)).toBeLessThan(0.005);
  });
});

describe("22 nF × 262.5 = 5.775 µF", () => {
  it("makes line and field alike: one block, used twice, with every time 262.5 times as long", () => {
    const text = `
      given line = 4000 us / 63
      given fields = 262.5
      supply plus12 = 12 V
      signal ls = pulse 0 V to 5 V, wide 4.7 us, every line
      signal fs = pulse 0 V to 5 V, wide 4.7 us * fields, every line * fields
      block sweep joins rail, gate, ramp
        given timing = 22 nF
        current   feed  rail -> ramp 1.96 mA, headroom 0.9 V, output 100 kohm
        capacitor hold  ramp -> ground timing
        switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
      end
      use sweep as line  joins plus12, ls, short
      use sweep as field joins plus12, fs, long with timing 22 nF * fields`;
    expect(off(262.5 * 22e-9, trade.likeFarads)).toBeLessThan(1e-12);
    const design = compile(text);
    const hold = design.parts.find((p) => p.name === "field.hold")!;
    expect(hold.value!.value.toFraction()).toBe("231/40000000"); // 5.775 µF exactly
    const done = simulate(design, { until: "60 ms" });
    const [short, long] = [done.trace("short"), done.trace("long")];
    let worst = 0;
    for (let i = 1; i < 600; i++) {
      const t = (i * 200e-6) / 600;
      // Not within the discharge, whose steep part only has to be right to 1e-3.
      if (t % (4e-3 / 63) < 5e-6) continue;
      worst = Math.max(worst, Math.abs(long.at(t * 262.5) - short.at(t)));
    }
    expect(worst).toBeLessThan(1e-6 * 5);
  });
});

describe("pulses gone", () => {
  const text = (guard: string) => `
    supply plus12 = 12 V
    supply plus5 = 5 V
    signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
    current feed plus12 -> ramp 1 mA, headroom 0.9 V
    capacitor hold ramp -> ground 15 nF
    switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
    ${guard}
    case "camera unplugged" gate stops at 1 ms
    check "held" value of ramp at 5 ms below 5.7 V
    check "climbs" peak of ramp after 3 ms between 11.0999 V and 11.1001 V`;
  it("a diode of 0.6 V to a rail of 5 V holds the ramp at 5.6 V and on-resistance times current", () => {
    // The whole current flows through the diode: 5 V + 0.6 V + 1 mA · 10 Ω (Kirchhoff).
    const held = measured(
      run(text("diode guard ramp -> plus5 drop 0.6 V, on 10 ohm"), { until: "5 ms" }),
      "held",
      "camera unplugged",
    );
    expect(held.pass).toBe(true);
    expect(off(held.measured, 5 + trade.drop + 1e-3 * 10)).toBeLessThan(1e-12);
    const ideal = run(text("diode guard ramp -> plus5 drop 0.6 V"), { until: "5 ms" });
    expect(off(measured(ideal, "held", "camera unplugged").measured, 5.6)).toBeLessThan(1e-12);
  });
  it("without it the ramp climbs to 12 V less the source's headroom", () => {
    const done = run(text(""), { until: "5 ms" });
    expect(measured(done, "climbs", "camera unplugged").pass).toBe(true);
    expect(measured(done, "held", "camera unplugged").pass).toBe(false);
    const stuck = simulate(done.design, { case: "camera unplugged", until: "5 ms" });
    expect(off(last(stuck.trace("ramp")), 11.1)).toBeLessThan(1e-12);
  });
  it("with the pulses there the guard is not met: 1 mA · 59.3 µs / 15 nF = 3.953 V", () => {
    const done = run(text("diode guard ramp -> plus5 drop 0.6 V, on 10 ohm"), { until: "1 ms" });
    expect(Math.max(...done.trace("guard.current").value)).toBe(0);
    expect(off(Math.max(...done.trace("ramp").value), 0.005 + (1e-3 * 59.3e-6) / 15e-9)).toBeLessThan(1e-12);
  });
});

describe("a negative-going sync pulse", () => {
  // 0 V during sync, 5 V else: the levels of the wave swapped.
  const text = (condition: string) => `
    supply plus12 = 12 V
    signal sync = line sync of 625/50, 5 V to 0 V, edges 200 ns
    current feed plus12 -> ramp 1 mA, headroom 0.9 V
    capacitor hold ramp -> ground 15 nF
    switch reset ramp -> ground closed while sync ${condition}, on 5 ohm
    check "fills the tube"      peak of ramp after 64 us is 3.95 V +- 3 %
    check "starts from nothing" floor of ramp after 64 us below 20 mV`;
  it("must be inverted before a switch that closes on positive: else the ramp never fills the tube", () => {
    const wrong = verify(run(text("above 2.5 V"), { until: "640 us" }));
    expect(wrong.find((r) => r.name === "fills the tube")!.pass).toBe(false);
    // All it gets is the width of the pulse: 1 mA · 4.7 µs / 15 nF = 0.313 V.
    expect(off(wrong[0].measured, 0.005 + (1e-3 * 4.7e-6) / 15e-9)).toBeLessThan(1e-12);
  });
  it("`closed while ... below` mends it", () => {
    expect(verify(run(text("below 2.5 V"), { until: "640 us" })).map((r) => r.pass)).toEqual([true, true]);
  });
  it("and so does the pulse the right way up", () => {
    const up = text("above 2.5 V").replace("5 V to 0 V", "0 V to 5 V");
    expect(verify(run(up, { until: "640 us" })).map((r) => r.pass)).toEqual([true, true]);
  });
});
