// A bipolar transistor in straight lines, and the two-transistor current source that ships: Ohm's and Kirchhoff's laws with a
// junction of `drop` and `on`, a gain, and what saturation leaves (I ≈ V_BE/R, −2 mV/K, about a volt of headroom: common
// practice, no source).
import { describe, expect, it } from "vitest";
import { balance, compile, faults, type Run, simulate, verify } from "../../src/index.js";

function run(text: string, until = "1 ms"): Run {
  const done = simulate(compile(text), { until });
  expect(done.reason).toBe("");
  expect(balance(done).energy).toBeLessThan(1e-9);
  return done;
}
const first = (done: Run, name: string) => done.trace(name).value[0];

describe("a transistor", () => {
  it("as a follower stands a junction below its base, and draws a share of its current there", () => {
    const done = run(`supply plus12 = 12 V
      supply level = 5 V
      transistor q plus12 -> out base level, gain 100, drop 0.65 V, on 10 ohm
      resistor load out -> ground 1 kohm
      capacitor c out -> ground 1 nF`);
    const emitter = (5 - 0.65) / 1010;
    expect(first(done, "out")).toBeCloseTo(emitter * 1e3, 9);
    expect(first(done, "q.current")).toBeCloseTo((emitter * 100) / 101, 12);
    expect(-first(done, "level.current")).toBeCloseTo(emitter / 101, 12);
    // What it turns to heat is what flows at both of its ends.
    const volts = emitter * 1e3;
    const heat = ((emitter * 100) / 101) * (12 - volts) + (emitter / 101) * (5 - volts);
    expect(first(done, "q.power")).toBeCloseTo(heat, 12);
  });

  const stage = (base: string, more = "") => `supply plus12 = 12 V
    supply level = ${base}
    resistor feed level -> b 10 kohm
    resistor load plus12 -> out 1 kohm
    transistor q out -> ground base b, gain 100, on 10 ohm${more}
    capacitor c out -> ground 1 nF`;

  it.each([
    ["0.5 V", 12],
    // Ten kilohms and the junction's 10 Ω times 101 in front of it.
    ["1.65 V", 12 - (100 * 1) / 11.01],
    ["5 V", 0.1],
  ])(
    "with its emitter on ground and %s behind 10 kohm it leaves %f V: off, active, saturated",
    (base, volts) => {
      expect(first(run(stage(base)), "out")).toBeCloseTo(volts, 9);
    },
  );

  it("with nothing to take at its collector leaves its base the junction", () => {
    const done = run(`supply level = 5 V
      resistor feed level -> b 10 kohm
      resistor load ground -> out 1 kohm
      transistor q out -> ground base b, gain 100, on 10 ohm
      capacitor c out -> ground 1 nF`);
    expect(first(done, "q.current")).toBeCloseTo(0, 15);
    expect(first(done, "feed.current")).toBeCloseTo((5 - 0.65) / (10e3 + 1010), 12);
  });

  it("a pnp is the same upside down", () => {
    const done = run(`supply minus12 = -12 V
      supply level = -1.65 V
      resistor feed b -> level 10 kohm
      resistor load out -> minus12 1 kohm
      transistor q ground -> out base b, pnp, gain 100, on 10 ohm
      capacitor c out -> ground 1 nF`);
    expect(first(done, "out")).toBeCloseTo(-12 + 100 / 11.01, 9);
  });
});

describe("the words npn and pnp", () => {
  it("npn says what it is anyway, and not beside pnp", () => {
    const text = (words: string) => `supply plus12 = 12 V
      supply level = 5 V
      transistor q plus12 -> out base level${words}
      resistor load out -> ground 1 kohm`;
    const [bare, said] = ["", ", npn"].map((words) => run(text(words)).trace("out").value[0]);
    expect(said).toBe(bare);
    for (const both of [", npn, pnp", ", pnp, npn"])
      expect(() => compile(text(both))).toThrow(/a transistor is not both/);
  });
});

describe("the current source of two", () => {
  const text = (values = "", more = "") => `bring "shipped/source"
    supply plus12 = 12 V
    use current_source as feed joins plus12, ramp${values}
    capacitor hold ramp -> ground 15 nF
    signal gate = pulse 0 V to 5 V, wide 5 us, every 64 us, stops 500 us
    switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
    run for 3 ms${more}`;

  /** What it gives, by its two nodes: emitter e and control c, Cramer's rule. */
  function gives(rail: number, drop: number, passing = drop, R = 650, Rp = 47e3, on = 10, g = 200): number {
    const [G, j, b] = [1 / R, 1 / on, 1 / (on * (g + 1))];
    // (rail − e) G + (rail − e − drop) b = (e − c − passing) j
    // c / Rp = (rail − e − drop) g b + (e − c − passing) b
    const [a11, a12, r1] = [G + b + j, -j, rail * (G + b) - drop * b + passing * j];
    const [a21, a22, r2] = [g * b - b, 1 / Rp + b, (rail - drop) * g * b - passing * b];
    const det = a11 * a22 - a12 * a21;
    const e = (r1 * a22 - a12 * r2) / det;
    const c = (a11 * r2 - a21 * r1) / det;
    return (e - c - passing) * j * (g / (g + 1));
  }
  const given = (done: Run) => done.trace("hold.current").at(30e-6);

  it("gives a junction's drop over its resistor, to what the two laws at its nodes say", () => {
    const now = given(run(text(), "3 ms"));
    expect(Math.abs(now / gives(12, 0.65) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(now / (0.65 / 650) - 1)).toBeLessThan(0.01);
  });

  it("loses 0.3 % a kelvin with its drop, and hardly feels its rail or the other drop", () => {
    const at = (values: string) => given(run(text(` with ${values}`), "3 ms"));
    const [cold, hot] = [at("drop 0.65 V, passing 0.65 V"), at("drop 0.55 V, passing 0.55 V")];
    // 50 K.
    expect((hot / cold - 1) / 50).toBeCloseTo(-0.002 / 0.65, 4);
    expect(Math.abs(at("drop 0.65 V, passing 0.55 V") / cold - 1)).toBeLessThan(1e-4);
    const low = given(run(text().replace("= 12 V", "= 10 V"), "3 ms"));
    expect(Math.abs(low / gives(10, 0.65) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(low / cold - 1)).toBeLessThan(2e-3);
  });

  it("holds its current to within a volt of its rail, and then stands where its base leaves it", () => {
    const done = run(text(), "3 ms");
    const ramp = done.trace("ramp");
    const current = done.trace("hold.current");
    for (let us = 455; us < 620; us += 3.7) {
      if (ramp.at(us * 1e-6) > 12 - 0.65 - 0.2) break;
      expect(Math.abs(current.at(us * 1e-6) / gives(12, 0.65) - 1)).toBeLessThan(1e-9);
    }
    // No collector current: the base's alone through 650 Ω, junction and 47 kΩ, and 0.1 V of saturation.
    const base = (12 - 0.65) / (650 + 10 * 201 + 47e3);
    expect(ramp.at(3e-3)).toBeCloseTo(12 - base * 650 - 0.1, 6);
  });

  it("fails as it would: without its watch the resistor at the base decides, without its resistor nothing flows", () => {
    const check = '\n check "fills" peak of ramp each gate is 3.95 V +- 3 %';
    const rows = faults(compile(text("", check))).faults;
    const fails = (name: string, kind: string) =>
      rows.find((row) => row.name === name && row.kind === kind)!.checks[0].measured;
    expect(fails("feed.watch", "open")).toBeGreaterThan(11);
    expect(fails("feed.sensor", "open")).toBeLessThan(0.1);
    expect(fails("feed.pass", "open")).toBeLessThan(0.1);
    expect(fails("feed.sensor", "short")).toBeGreaterThan(11);
    // Of a rail down to four fifths it takes no notice.
    expect(fails("plus12", "low")).toBeCloseTo(verify(run(text("", check), "3 ms"))[0].measured, 1);
  });
});
