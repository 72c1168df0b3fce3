// Closed forms of resistors, capacitors and inductors through the whole tool: text, run, measure, at default settings.
// Figures and sources are those of shared/closed-forms.json.
import { describe, expect, it } from "vitest";
import { balance } from "../../src/index.js";
import { figures, last, measured, off, run, turn } from "./running.js";

describe("RC charge, 1 kΩ, 1 µF, 5 V (Millman & Taub, ch. 2)", () => {
  const text = `
    supply source = 5 V
    resistor feed source -> out 1 kohm
    capacitor hold out -> ground 1 uF
    check "time constant" value of out at 1 ms above 0 V
    check "10 to 90 %"    rise time of out is 2.197224577 ms +- 0.001 ms`;
  const { charge } = figures;
  const done = () => run(text, { until: "30 ms", start: "rest" });
  it("V (1 − 1/e) after a time constant: to 1e-9 where the run ends there, to 1e-6 where it goes on", () => {
    const short = run(text, { until: "1 ms", start: "rest" });
    expect(off(measured(short, "time constant").measured, charge.atTimeConstant)).toBeLessThan(1e-9);
    expect(off(measured(done(), "time constant").measured, charge.atTimeConstant)).toBeLessThan(1e-6);
  });
  it("10 to 90 % in ln 9 time constants, to 1e-6, as a check and as a trace", () => {
    expect(off(charge.riseOverTimeConstant, Math.log(9))).toBeLessThan(1e-9);
    const rise = measured(done(), "10 to 90 %");
    expect(rise.pass).toBe(true);
    expect(off(rise.measured, charge.riseOverTimeConstant * 1e-3)).toBeLessThan(1e-6);
    const out = done().trace("out");
    const times = [0.5, 4.5].map((v) => turn(0, 10e-3, (t) => out.at(t) >= v));
    expect(off(times[1] - times[0], Math.log(9) * 1e-3)).toBeLessThan(1e-6);
  });
  it("half of what the source delivers is lost in the resistor, whatever its size", () => {
    // C V² delivered, C V²/2 stored (Horowitz & Hill, ch. 1).
    const account = balance(done());
    expect(off(account.delivered, 25e-6)).toBeLessThan(1e-11);
    expect(off(account.stored, 12.5e-6)).toBeLessThan(1e-11);
    expect(off(account.dissipated, 12.5e-6)).toBeLessThan(1e-11);
  });
});

describe("series RLC, 1 mH, 1 µF, 1 V step (Sedra & Smith)", () => {
  it.each<{ ohms: string; at50us: number; at200us: number }>(figures.rlc.rows)(
    "$ohms ohm: the voltage at 50 µs and 200 µs, measured by checks",
    ({ ohms, at50us, at200us }) => {
      const done = run(
        `supply source = 1 V
         resistor loss source -> a ${ohms} ohm
         inductor coil a -> out 1 mH
         capacitor hold out -> ground 1 uF
         check "early" value of out at 50 us above 0 V
         check "late"  value of out at 200 us above 0 V`,
        { until: "200 us", start: "rest" },
      );
      expect(Math.abs(measured(done, "early").measured - at50us)).toBeLessThan(1e-6);
      expect(Math.abs(measured(done, "late").measured - at200us)).toBeLessThan(1e-9);
      const account = balance(done);
      expect(account.currentLaw).toBeLessThan(1e-12);
      expect(account.energy).toBeLessThan(1e-11);
    },
  );
});

describe("reset through an on-resistance: R C ln(V1/V2)", () => {
  const { reset } = figures;
  it("5 Ω, 10 nF, 5.26 V to 1 mV in 428.39 ns", () => {
    // Shown with two places.
    expect(
      Math.abs(reset.ohms * reset.farads * Math.log(reset.from / reset.to) - reset.seconds),
    ).toBeLessThan(0.005e-9);
    const done = run(
      `capacitor hold ramp -> ground 10 nF, starts 5.26 V
       switch reset ramp -> ground closed from 1 us to 2 us, on 5 ohm
       check "reset" reset time of ramp through 1 mV from 1 us to 2 us below 1 us`,
      { until: "2 us" },
    );
    // At 1 mV the swing is 5260 times as much, and the trace is held to 1e-6 of that: half a hundredth of the level, and
    // so of a time constant.
    expect(Math.abs(measured(done, "reset").measured - reset.seconds)).toBeLessThan(0.0055 * 50e-9);
  });
  it("and to 1e-6 of itself when the tolerance asked for is small", () => {
    const done = run(
      `capacitor hold ramp -> ground 10 nF, starts 5.26 V
       switch reset ramp -> ground closed from 1 us to 2 us, on 5 ohm
       check "reset" reset time of ramp through 1 mV from 1 us to 2 us below 1 us`,
      { until: "2 us", tolerance: 1e-10 },
    );
    expect(off(measured(done, "reset").measured, 50e-9 * Math.log(5260))).toBeLessThan(1e-5);
  });
});

describe("inductor sweep", () => {
  it("retrace of 1 mH and 10 nF: π √(LC) = 9.9345883 µs, half a turn of the pair alone", () => {
    const { retrace } = figures;
    expect(off(Math.PI * Math.sqrt(retrace.henries * retrace.farads), retrace.seconds)).toBeLessThan(1e-8);
    const done = run(
      `inductor coil ground -> top 1 mH, starts 0.1 A
       capacitor tune top -> ground 10 nF, starts 0 V
       check "retrace" crossing of top falling through 0 V after 0 s below 1 ms
       check "height"  peak of top below 1 kV`,
      { until: "12 us" },
    );
    expect(off(measured(done, "retrace").measured, retrace.seconds)).toBeLessThan(1e-7);
    // I √(L/C)
    expect(off(measured(done, "height").measured, 0.1 * Math.sqrt(1e5))).toBeLessThan(1e-8);
    // A lossless pair must keep its energy.
    expect(balance(done).energy).toBeLessThan(1e-13);
  });
  it("a current ramp in a coil: V t / L (1 mH, 12 V)", () => {
    const done = run("supply plus12 = 12 V\ninductor coil plus12 -> ground 1 mH, starts 0 A", {
      until: "50 us",
    });
    expect(off(last(done.trace("coil.current")), (12 * 50e-6) / 1e-3)).toBeLessThan(1e-12);
  });
});

describe("75 Ω link", () => {
  // Source 75 Ω behind 2 V; 1 V is nominal. Halves and thirds by Ohm's law.
  const text = `
    voltage camera open -> ground 2 V
    resistor source open -> link 75 ohm
    resistor near link -> ground 75 ohm
    resistor far  link -> ground 75 ohm
    check "two loads" value of link at 1 us is 0.6666666666666667 V +- 1e-9 V
    case "one load" far open
    check "one load" value of link at 1 us is 1 V +- 1e-9 V
    case "none" far open, near open
    check "none" value of link at 1 us is 2 V +- 1e-9 V`;
  it.each([
    ["two loads", "", 2 / 3],
    ["one load", "one load", 1],
    ["none", "none", 2],
  ])("%s", (check, inCase, volts) => {
    const result = measured(run(text, { until: "2 us" }), check, inCase);
    expect(result.pass).toBe(true);
    expect(off(result.measured, volts)).toBeLessThan(1e-14);
  });
  it("the same with the resistance in the source itself", () => {
    const done = run("voltage camera link -> ground 2 V, behind 75 Ω\nresistor near link -> ground 75 Ω", {
      until: "1 us",
    });
    expect(off(last(done.trace("link")), 1)).toBeLessThan(1e-14);
  });
});
