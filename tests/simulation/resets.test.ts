// States that nothing but a reset stops, in runs that begin before the first one. Expected values are closed forms: a capacitor on
// a current rises by I t / C and is left at I R by a reset through R; a bootstrapped one rises by E t / (R C); a coil on a
// voltage by V t / L. Sync pulses: Rec. ITU-R BT.1700, 525/59.94: H = 63.5556 µs, field sync three lines in, six broad pulses, the
// last of them 4.7 µs short of 3 H.
import { describe, expect, it } from "vitest";
import { compile, type SimulateOptions, simulate, verify } from "../../src/index.js";

const starts = ["steady", "settled"] as const;

function run(text: string, options: SimulateOptions) {
  const done = simulate(compile(text), options);
  expect([done.status, done.reason]).toEqual(["complete", ""]);
  return done;
}

const held = (name: string, kind: string, at: string) =>
  `nothing stops ${kind} '${name}' until it is first reset: it starts at ${at}, where that leaves it`;

describe("a ramp from an ideal current source", () => {
  const text = (system: string, way: string) => `supply rail = ${way === "up" ? 12 : -12} V
    signal gate = field sync of ${system}, 0 V to 5 V
    current   feed  ${way === "up" ? "rail -> ramp" : "ramp -> rail"} 30 uA
    capacitor hold  ramp -> ground 150 nF
    switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
    check "far" ${way === "up" ? "peak" : "floor"} of ramp each gate is ${way === "up" ? "" : "-"}1 V +- 1 %`;
  // A field less its sync: 262.5 or 312.5 lines, less 3 or 2.5 lines less one serration of 4.7 µs.
  const open = (system: string) =>
    system === "625/50" ? 20e-3 - (2.5 * 64e-6 - 4.7e-6) : (262.5 - 3) * (1.001 / 15750) + 4.7e-6;
  for (const system of ["525/59.94", "625/50"])
    for (const way of ["up", "down"])
      it.each(starts)(
        `${system}, ${way}, from %s: 200 V/s from 150 µV on while the switch is open`,
        (start) => {
          const done = run(text(system, way), { until: "60 ms", start });
          const [far] = verify(done);
          const sign = way === "up" ? 1 : -1;
          expect(Math.abs(far.measured - sign * (150e-6 + 200 * open(system)))).toBeLessThan(5e-6);
          const told = system === "525/59.94" && start === "steady";
          expect(done.warnings).toEqual(
            told ? [held("hold", "capacitor", `${way === "up" ? "" : "-"}150 µV`)] : [],
          );
          // Before the first pulse it rises from what the reset leaves: no period that began in the run, and none that is judged.
          if (told) expect(Math.abs(done.trace("ramp").at(100e-6) - sign * 20.15e-3)).toBeLessThan(1e-8);
        },
      );
});

describe("other circuits that only a reset stops", () => {
  const gate = "signal gate = pulse 0 V to 5 V, wide 4 us, every 64 us, first 20 us";
  const reset = (place: string, name: string) =>
    `switch ${name} ${place} -> ground closed while gate above 2.5 V, on 5 ohm`;
  it("a bootstrap of gain one: E t / (R C), 0.1 V a µs from 5 mV on", () => {
    const done = run(
      `${gate}
      voltage   buffer top -> ground 10 V, follows ramp, gain 1
      resistor  feed top -> ramp 10 kohm
      capacitor hold ramp -> ground 10 nF
      ${reset("ramp", "q")}`,
      { until: "200 us" },
    );
    expect(done.warnings).toEqual([held("hold", "capacitor", "5 mV")]);
    expect(Math.abs(done.trace("ramp").at(15e-6) - 1.505)).toBeLessThan(1e-7);
  });
  it("two ramps, one of them through a transistor that saturates at 0.1 V", () => {
    const done = run(
      `${gate}
      supply plus12 = 12 V
      current   one plus12 -> a 1 mA
      capacitor ca a -> ground 15 nF
      ${reset("a", "q")}
      current   two plus12 -> b 2 mA
      capacitor cb b -> ground 20 nF
      resistor  drive gate -> base 1 kohm
      transistor t b -> ground base base`,
      { until: "200 us" },
    );
    expect(done.warnings).toEqual([held("ca", "capacitor", "5 mV"), held("cb", "capacitor", "100 mV")]);
    expect(Math.abs(done.trace("a").at(15e-6) - 1.005)).toBeLessThan(1e-7);
    expect(Math.abs(done.trace("b").at(15e-6) - 1.6)).toBeLessThan(1e-7);
  });
  it("a coil on a supply whose switch stands closed: V t / L until it opens", () => {
    const done = run(
      `signal drive = pulse 5 V to 0 V, wide 12 us, every 64 us, first 40 us
      supply plus12 = 12 V
      inductor yoke plus12 -> c 1 mH
      switch   line c -> ground closed while drive above 2.5 V
      capacitor flyback c -> ground 10 nF
      diode damper ground -> c drop 0 V`,
      { until: "64 us" },
    );
    expect(done.warnings).toEqual([held("yoke", "inductor", "0 A")]);
    expect(Math.abs(done.trace("yoke.current").at(30e-6) - 0.36)).toBeLessThan(1e-8);
  });
  it("behind a comparator or an inverter, beside a switch whose closing would have no solution", () => {
    const text = (reset: string) => `supply p = 5 V
      supply never = 0 V
      signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us, first 59 us
      current feed p -> ramp 1 mA
      capacitor hold ramp -> ground 15 nF
      switch short p -> ground closed while never above 2.5 V
      ${reset}`;
    for (const reset of [
      "switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm",
      "inverter i gate -> q\nswitch reset ramp -> ground closed while q below 2.5 V, on 5 ohm",
      "comparator k gate -> q threshold 2.5 V\nswitch reset ramp -> ground closed while q above 2.5 V, on 5 ohm",
    ]) {
      const done = run(text(reset), { until: "100 us" });
      expect(done.warnings).toEqual([held("hold", "capacitor", "5 mV")]);
      const ramp = done.trace("ramp");
      expect(ramp.value[0]).toBeCloseTo(5e-3, 12);
      // 1 mA into 15 nF from the end of the pulse at 63.7 µs on.
      expect(ramp.at(100e-6)).toBeCloseTo(5e-3 + (1e-3 * 36.3e-6) / 15e-9, 9);
    }
  });

  it("what no part resets is still told to have no steady state", () => {
    const done = simulate(
      compile("current i ground -> a 1 mA\ncapacitor c a -> ground 1 nF\ndiode d ground -> a drop 0.6 V"),
      { until: "1 ms" },
    );
    expect([done.code, done.reason]).toEqual([
      "no-steady-state",
      "nothing stops 'c': there is no steady state to start from; add what does, e.g. a resistor, or begin 'from rest'",
    ]);
  });
});
