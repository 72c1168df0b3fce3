// Charge and flux that ideal parts share at an instant: it is counted, and no rating holds that its current or voltage would
// break. Closed forms: charge and flux stay, half of C V² or L I² of the misfit is lost (any textbook's two capacitors; W. G.
// Hurley & W. H. Wölfle, Transformers and Inductors for Power Electronics, ch. 1, from memory, for the coils).
import { describe, expect, it } from "vitest";
import { compile, simulate, stress, verify } from "../../src/index.js";
import { off } from "../facts/running.js";

const run = (text: string) => {
  const done = simulate(compile(text));
  expect(done.reason).toBe("");
  return done;
};
const of = (text: string) => {
  const found = stress(run(text));
  return (name: string) => found.parts.find((p) => p.part === name)!;
};

const two = (link: string, more = "") => `capacitor a x -> ground 1 uF, starts 5 V
capacitor b y -> ground 1 uF
${link}
run for 2 ms, from rest${more}`;

describe("a part through which charge was shared", () => {
  it("an ideal switch between two capacitors: half the voltage, its charge, a quarter of C V² lost in it", () => {
    const done = of(two("switch s x -> y closed after 1 ms"));
    const { shared, current, power } = done("s");
    expect(shared!.times).toBe(1);
    expect(off(shared!.charge, 2.5e-6)).toBeLessThan(1e-12);
    expect(off(shared!.energy, 0.25 * 1e-6 * 25)).toBeLessThan(1e-12);
    expect([current.peak.value, current.rms]).toEqual([Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]);
    expect(off(current.mean, 2.5e-6 / 2e-3)).toBeLessThan(1e-12);
    expect(off(power.mean, (0.25 * 25e-6) / 2e-3)).toBeLessThan(1e-12);
    // What the capacitors gain and lose, and what is lost, is nothing in all.
    const sum = ["a", "b", "s"].reduce((e, name) => e + done(name).shared!.energy, 0);
    expect(Math.abs(sum)).toBeLessThan(1e-18);
    expect(off(done("b").shared!.energy, 0.5e-6 * 2.5 ** 2)).toBeLessThan(1e-12);
    expect(done("a").current.reverse.value).toBe(Number.POSITIVE_INFINITY);
    expect(done("a").current.forward.value).toBe(0);
  });

  it("an ideal diode takes its drop of every coulomb besides", () => {
    const done = of(two("switch s x -> m closed after 1 ms\ndiode d m -> y drop 0.6 V"));
    const charge = (5 - 0.6) * 0.5e-6;
    expect(off(done("d").shared!.charge, charge)).toBeLessThan(1e-12);
    // Half of what is lost in each, as in two equal small resistances.
    const lost = 0.25 * 1e-6 * 4.4 ** 2;
    expect(off(done("d").shared!.energy, charge * 0.6 + lost / 2)).toBeLessThan(1e-12);
    expect(off(done("s").shared!.energy, lost / 2)).toBeLessThan(1e-12);
  });

  it("a capacitor hit by a voltage step: C V through it and the source, C V² from that, half of it stored", () => {
    const done = of(`signal in = pulse 0 V to 4 V, wide 5 ms, first 1 ms
capacitor c in -> ground 1 uF, rated 1 A
run for 2 ms, from rest`);
    expect(off(done("c").shared!.charge, 4e-6)).toBeLessThan(1e-12);
    expect(off(done("c").shared!.energy, 8e-6)).toBeLessThan(1e-12);
    expect(off(done("in").shared!.energy, -8e-6)).toBeLessThan(1e-12);
    expect(done("c").ratings[0].pass).toBe(false);
  });

  it("a current rating fails, a power rating counts the energy, a voltage rating is none of its business", () => {
    const rated = (words: string) =>
      of(two(`switch s x -> y closed after 1 ms, rated ${words}`))("s").ratings[0];
    expect(rated("1 kA").pass).toBe(false);
    expect(rated("1 kA peak")).toMatchObject({ pass: false, at: 1e-3 });
    // 6.25 uJ in 2 ms: 3.125 mW.
    expect(rated("3.2 mW").pass).toBe(true);
    expect(rated("3 mW").pass).toBe(false);
    expect(rated("5 V").pass).toBe(true);
    // A mean current is charge over time.
    expect(rated("1.3 mA mean").pass).toBe(true);
  });

  it("measures: peak current and rms without bound, charge, energy and mean power with what was shared", () => {
    const done = run(
      two(
        "switch s x -> y closed after 1 ms",
        `
check "peak" peak current of s below 1 kA
check "rms" rms of s.current below 1 kA
check "power" peak power of s below 1 MW
check "charge" charge of s is 2.5 uC +- 0.001 %
check "energy" energy of s is 6.25 uJ +- 0.001 %
check "mean" mean power of s is 3.125 mW +- 0.001 %
check "back" floor of s.current between -1 nA and 1 nA
check "before" peak current of s before 0.9 ms below 1 nA
check "after" peak current of s after 1.1 ms below 1 nA`,
      ),
    );
    const found = Object.fromEntries(verify(done).map((r) => [r.name, r.pass]));
    expect(found).toEqual({
      peak: false,
      rms: false,
      power: false,
      charge: true,
      energy: true,
      mean: true,
      back: true,
      before: true,
      after: true,
    });
  });

  it("of the line sweep each period has its own: half of C V² in the switch, fifteen thousand times a second", () => {
    const done = run(`signal gate = pulse 0 V to 5 V, wide 4 us, every 64 us, first 60 us
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V
run for 640 us, from rest
check "peak" peak current of reset each gate below 1 A
check "energy" energy of reset each gate above 1 nJ`);
    // The first: 1 mA, 15 nF, 60 us: 4 V. From then on the same after the 4 us that the switch is closed.
    const found = stress(done).parts.find((p) => p.part === "reset")!.shared!;
    expect(found.times).toBe(10);
    expect(off(found.charge, 60e-9)).toBeLessThan(1e-9);
    expect(off(found.energy, 10 * 0.5 * 15e-9 * 16)).toBeLessThan(1e-9);
    const [peak, energy] = verify(done);
    expect(peak.measured).toBe(Number.POSITIVE_INFINITY);
    expect(off(energy.measured, 0.5 * 15e-9 * 16)).toBeLessThan(1e-3);
  });
});

describe("a part across which flux was shared", () => {
  it("an ideal switch that opens between two coils: their flux stays, and half of L I² is lost in it", () => {
    // 12 V and 6 ohm: 2 A in the first coil, the other one is shorted away until the switch opens.
    const done = of(`voltage v top -> ground 12 V
resistor r top -> m 6 ohm
inductor one m -> n 3 mH, starts 2 A
switch s n -> ground closed before 1 ms, rated 1 kV
inductor two n -> ground 1 mH, starts 0 A
run for 1.5 ms, from rest`);
    // Flux 3 mH · 2 A over 4 mH: 1.5 A; the second coil jumps by 1.5 A, 1.5 mVs across it and the switch.
    expect(off(done("s").shared!.flux, 1.5e-3)).toBeLessThan(1e-9);
    expect(off(done("two").shared!.energy, 0.5e-3 * 1.5 ** 2)).toBeLessThan(1e-9);
    const lost = 0.5 * 3e-3 * 4 - 0.5 * 4e-3 * 1.5 ** 2;
    expect(off(done("s").shared!.energy, lost)).toBeLessThan(1e-9);
    expect(done("s").voltage.peak.value).toBe(Number.POSITIVE_INFINITY);
    expect(done("s").ratings[0].pass).toBe(false);
  });
});
