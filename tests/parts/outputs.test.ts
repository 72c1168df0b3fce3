// What an output delivers is the part's own current, comes out of the rail in use, and counts: Ohm's law, Kirchhoff's laws,
// and the power of a class-B output stage (Sedra & Smith, Microelectronic Circuits, ch. 11: P_S = 2 V_CC V/(π R) for both rails).
import { describe, expect, it } from "vitest";
import { balance, compile, faults, simulate, stress, verify } from "../../src/index.js";
import { off } from "../facts/running.js";

const run = (text: string, options = {}) => {
  const done = simulate(compile(text), options);
  expect(done.reason).toBe("");
  return done;
};

const rails = "supply vp = 12 V\nsupply vm = -12 V\n";
/** Times 5 into 1 kohm beside its own 5 kohm: 12 mA at 10 V. */
const stage = (more = "", load = "rated 1 W") => `${rails}signal in = sine -2 V to 2 V, at 1 kHz
amplifier a in -> out minus back, high vp, low vm, bandwidth 100 MHz, gain 1e9, output 0 ohm${more}
resistor upper out -> back 4 kohm
resistor lower back -> ground 1 kohm
resistor load out -> ground 1 kohm, ${load}
run for 10 ms`;
const heavy = 1 / (1 / 1e3 + 1 / 5e3);

// Sines are held to 1e-4, as far as a run by default promises; what is at rest to rounding and the amplifier's insulation.
describe("the output current of an amplifier", () => {
  const done = run(stage());
  const at = (name: string, t: number) => done.trace(name).at(t);
  const [crest, trough] = [5.25e-3, 5.75e-3];

  it("is its own, along its arrow", () => {
    expect(off(at("a.current", crest), 10 / heavy)).toBeLessThan(1e-4);
    expect(off(at("a.current", trough), -10 / heavy)).toBeLessThan(1e-4);
  });

  it("comes out of the upper rail and goes into the lower one, and of the other rail nothing", () => {
    expect(off(at("vp.current", crest), -10 / heavy)).toBeLessThan(1e-4);
    expect(Math.abs(at("vm.current", crest))).toBeLessThan(1e-10);
    expect(off(at("vm.current", trough), 10 / heavy)).toBeLessThan(1e-4);
    expect(Math.abs(at("vp.current", trough))).toBeLessThan(1e-10);
  });

  it("heats the amplifier with what stands between output and rail", () => {
    expect(off(at("a.power", crest), (2 * 10) / heavy)).toBeLessThan(1e-4);
    const supplied = (2 * 12 * 10) / (Math.PI * heavy);
    const { parts } = stress(done);
    const mean = (name: string) => parts.find((p) => p.part === name)!.power.mean;
    expect(off(-mean("vp") - mean("vm"), supplied)).toBeLessThan(1e-4);
    expect(off(mean("a"), supplied - 100 / (2 * heavy))).toBeLessThan(1e-4);
  });

  it("counts in the account of energy, which the supplies alone deliver to", () => {
    const account = balance(run(stage(), { step: "2 us" }));
    expect(account.currentLaw).toBeLessThan(1e-9);
    expect(account.energy).toBeLessThan(1e-4);
    const supplied = ((2 * 12 * 10) / (Math.PI * heavy)) * 10e-3;
    // The signal delivers nothing: the input draws no current.
    expect(off(account.delivered, supplied)).toBeLessThan(1e-4);
  });

  it("counts in ratings of the part and of its rails, in faults, and in 'peak current of'", () => {
    const rated = (most: string) => {
      const text = stage(`, rated ${most} peak`)
        .replace("supply vp = 12 V", `supply vp = 12 V, rated ${most} peak`)
        .concat(`\ncheck "peak" peak current of a below ${most}`);
      const design = compile(text);
      const found = simulate(design);
      return {
        stress: stress(found)
          .parts.filter((p) => p.part !== "load")
          .flatMap((p) => p.ratings)
          .map((r) => r.pass),
        check: verify(found)[0].pass,
        design,
      };
    };
    const { design, ...fails } = rated("11.9 mA");
    expect(fails).toEqual({ stress: [false, false], check: false });
    const { design: _, ...passes } = rated("12.1 mA");
    expect(passes).toEqual({ stress: [true, true], check: true });
    const shorted = faults(design, { parts: ["lower"] }).faults.find((f) => f.kind === "open")!;
    // Its lower resistor gone it follows: 2 V into 1 kohm, and the 12 mA are 2.
    expect(shorted.exceeded).toEqual([]);
    const hard = faults(compile(stage(", limit 50 mA, rated 20 mA peak")), { parts: ["load"] });
    const short = hard.faults.find((f) => f.kind === "short")!;
    expect(short.exceeded.map((e) => [e.part, e.rating.value])).toEqual([["a", 0.05]]);
  });
});

// Kirchhoff's current law at the output of a follower: its output stage delivers what flows into the load and into its own input.
describe("the current of an output to which an input is tied", () => {
  it.each([1, -1])("of a follower with input bias: load and bias, %f mA", (way) => {
    const done = run(`supply vp = 12 V
supply vm = -12 V
supply in = 1 V
amplifier a in -> out minus out, high vp, low vm, bandwidth 3 MHz, gain 1e9, output 0 ohm, bias ${way} mA, rated 1.9 mA peak
resistor load out -> ground 1 kohm
run for 1 ms`);
    expect(off(done.trace("load.current").at(0.5e-3), 1e-3)).toBeLessThan(1e-8);
    expect(Math.abs(done.trace("a.current").at(0.5e-3) - (1e-3 + way * 1e-3))).toBeLessThan(1e-10);
    const own = stress(done).parts.find((p) => p.part === "a")!;
    expect(own.ratings[0].pass).toBe(way < 0);
    // 1 mA: the output takes 2 mA from the upper rail, and the bias goes to the lower. −1 mA: the bias of both inputs comes from it.
    expect(Math.abs(done.trace("vp.current").at(0.5e-3) + 2e-3)).toBeLessThan(1e-10);
    expect(balance(done).currentLaw).toBeLessThan(1e-9);
  });

  it("of a transistor as a diode: what flows into its collector, gain/(gain + 1) of the current", () => {
    const done = run(`supply vp = 12 V
transistor t d -> ground base d, gain 20, drop 0.6 V, on 10 ohm
resistor feed vp -> d 1 kohm
run for 1 ms`);
    const whole = (12 - 0.6) / 1010;
    expect(off(done.trace("feed.current").at(0.5e-3), whole)).toBeLessThan(1e-9);
    expect(off(done.trace("t.current").at(0.5e-3), (whole * 20) / 21)).toBeLessThan(1e-9);
  });
});

describe("the limit of an output current", () => {
  it("of an amplifier: I R at its output, and that counts as clipping", () => {
    const done = run(stage(", limit 5 mA"));
    expect(off(done.trace("out").at(5.25e-3), 5e-3 * heavy)).toBeLessThan(1e-9);
    expect(off(done.trace("out").at(5.75e-3), -5e-3 * heavy)).toBeLessThan(1e-9);
    expect(off(done.trace("a.power").at(5.25e-3), 5e-3 * (12 - 5e-3 * heavy))).toBeLessThan(1e-7);
    expect(done.trace("a.clipping").at(5.25e-3)).toBe(1);
    expect(done.trace("a.clipping").at(5e-3)).toBe(0);
  });

  it("of an amplifier into a capacitor: its slope is I/C, though it could slew faster", () => {
    const done = run(
      `${rails}signal in = pulse 0 V to 5 V, wide 1 ms, first 10 us
amplifier a in -> out minus out, high vp, low vm, bandwidth 10 MHz, slew 100 V/us, output 1 ohm, limit 20 mA
capacitor c out -> ground 10 nF
run for 20 us`,
    );
    // 20 mA / 10 nF = 2 V/us.
    const trace = done.trace("out");
    expect(off((trace.at(12e-6) - trace.at(11e-6)) / 1e-6, 2e6)).toBeLessThan(1e-9);
    expect(Math.max(...done.trace("a.current").value)).toBeLessThanOrEqual(0.02 * (1 + 1e-9));
  });

  it("the shipped follower into 1 nF climbs at its limit over that: 50 V/us, half of its slew rate", () => {
    const done = run(`bring "shipped/gain"
${rails}signal in = pulse 0 V to 5 V, wide 1 ms, first 1 us
use follower as f joins in, vp, vm, out with output 1 ohm
capacitor load out -> ground 1 nF
run for 2 us`);
    const slope = (done.trace("out").at(1.06e-6) - done.trace("out").at(1.04e-6)) / 20e-9;
    expect(off(slope, 50e6)).toBeLessThan(1e-6);
    expect(off(done.trace("out").at(2e-6), 5)).toBeLessThan(1e-4);
  });

  it.each([
    ["comparator c in -> out threshold 2.5 V, rail vcc", "vcc.current"],
    ["inverter c not_in -> out rail vcc", "vcc.current"],
    ["oneshot c in -> out lasts 40 us, rail vcc", "vcc.current"],
  ])("of '%s': the rail's current is the output's", (part, rail) => {
    const text = (more: string) => `supply vcc = 5 V
signal in = pulse 0 V to 5 V, wide 40 us, every 100 us, first 20 us
signal not_in = pulse 5 V to 0 V, wide 40 us, every 100 us, first 20 us
${part}, output 100 ohm${more}
resistor load out -> ground 900 ohm
resistor pull vcc -> out 100 kohm
run for 100 us`;
    const free = run(text(""));
    // High: 100 ohm and 100 kohm from 5 V into 900 ohm. Low: 100 kohm into 90 ohm.
    const up = 1 / (1 / 100 + 1 / 100e3);
    expect(off(free.trace("out").at(50e-6), (5 * 900) / (900 + up))).toBeLessThan(1e-9);
    expect(off(free.trace(rail).at(50e-6), -5 / (900 + up))).toBeLessThan(1e-9);
    expect(off(free.trace("c.current").at(50e-6), (5 - (5 * 900) / (900 + up)) / 100)).toBeLessThan(1e-9);
    expect(off(free.trace("c.current").at(90e-6), -(5 / 100_090) * 0.9)).toBeLessThan(1e-9);
    // Limited to 2 mA: with the 100 kohm at the supply 2 mA and (5 V − v)/100 kohm into 900 ohm.
    const held = run(text(", limit 2 mA"));
    const v = (2e-3 + 5 / 100e3) / (1 / 900 + 1 / 100e3);
    expect(off(held.trace("out").at(50e-6), v)).toBeLessThan(1e-9);
    expect(off(held.trace("c.current").at(50e-6), 2e-3)).toBeLessThan(1e-9);
    expect(off(held.trace("c.power").at(50e-6), 2e-3 * (5 - v))).toBeLessThan(1e-9);
  });

  it("does not set a one-shot's time anew, even where it is reached while the pulse lasts", () => {
    const done = run(
      `supply vcc = 5 V
signal in = pulse 0 V to 5 V, wide 10 us, every 200 us, first 20 us
oneshot c in -> out lasts 80 us, rail vcc, output 100 ohm, limit 2 mA, retriggerable
capacitor hold out -> ground 10 nF
switch drain out -> ground closed from 60 us to 70 us, on 100 ohm
run for 200 us`,
    );
    // 10 nF at 2 mA: to 4.8 V in 24 us; then free; at its limit again from 60 us on; over at 100 us.
    const out = done.trace("out");
    expect(off(out.at(30e-6), 2)).toBeLessThan(1e-9);
    const low = 0.2 + 4.8 * Math.exp(-10);
    expect(off(out.at(70e-6), low)).toBeLessThan(1e-6);
    // From there to 4.8 V at 2 mA again, then by itself towards 5 V with 1 us: to 1e-6 of what it has been.
    const free = 70e-6 + (4.8 - low) * (10e-9 / 2e-3);
    const rest = 0.2 * Math.exp(-(99.9e-6 - free) / 1e-6);
    expect(Math.abs(out.at(99.9e-6) - (5 - rest))).toBeLessThan(1e-6 * 5);
    expect(Math.abs(done.trace("c.current").at(99.9e-6) - rest / 100)).toBeLessThan(1e-6 * 2e-3);
    expect(off(done.trace("c.current").at(100.1e-6), -2e-3)).toBeLessThan(1e-9);
  });
});

describe("rails of an amplifier", () => {
  it("carry its output current through what stands in their way", () => {
    // 100 ohm before the upper rail, 10 mA: 1 V.
    const done = run(`supply raw = 12 V
supply vm = -12 V
resistor filter raw -> vp 100 ohm
signal in = pulse 0 V to 5 V, wide 1 ms, first 10 us
amplifier a in -> out minus out, high vp, low vm, bandwidth 10 MHz, gain 1e9, output 0 ohm
resistor load out -> ground 500 ohm
run for 100 us`);
    expect(off(done.trace("vp").at(90e-6), 11)).toBeLessThan(1e-9);
    expect(off(done.trace("a.power").at(90e-6), 6 * 10e-3)).toBeLessThan(1e-7);
  });

  it.each(["vp", "vm"])("that nothing feeds bring nothing: '%s' open", (rail) => {
    const design = compile(`${stage()}\ncase "open" ${rail} open`);
    const done = simulate(design, { case: "open" });
    expect(done.reason).toBe("");
    const sign = rail === "vp" ? 1 : -1;
    // Nothing is delivered from the rail that is not there.
    expect(Math.max(...done.trace("a.current").value.map((i) => sign * i))).toBeLessThan(1e-9);
  });
});
