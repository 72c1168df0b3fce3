// Coupled coils against closed forms: v₁ = L₁ i₁' + M i₂', v₂ = M i₁' + L₂ i₂', M = k √(L₁ L₂) (mutual inductance and its
// circuits: any circuits text, e.g. Nilsson & Riedel, Electric Circuits, ch. 6 and app. on magnetically coupled coils; from
// memory), each worked out beside the check. The flyback's energy is common practice, no source.
import { describe, expect, it } from "vitest";
import { balance, compile, faults, inspect, type Run, simulate, stress } from "../../src/index.js";
import { Influence } from "../../src/judging/influence.js";

function run(text: string): Run {
  const done = simulate(compile(text));
  expect(done.reason).toBe("");
  return done;
}

describe("two equal resonant circuits", () => {
  it.each([0.05, 0.3, 0.9])("coupled by %f ring at f/√(1 + k) and f/√(1 − k)", (k) => {
    // Started with 1 V on one: half a volt in the even mode and half in the odd one.
    const [L, C] = [1e-3, 10e-9];
    const done = run(`capacitor c1 a -> ground 10 nF, starts 1 V
      capacitor c2 b -> ground 10 nF
      inductor l1 a -> ground 1 mH
      inductor l2 b -> ground 1 mH
      coupling core l1 -> l2 ${k}
      run for 200 us, from rest`);
    const [even, odd] = [1 + k, 1 - k].map((share) => 1 / Math.sqrt(L * C * share)) as [number, number];
    for (let us = 0; us < 200; us += 7.3) {
      const t = us * 1e-6;
      const [e, o] = [Math.cos(even * t) / 2, Math.cos(odd * t) / 2];
      expect(Math.abs(done.trace("a").at(t) - (e + o))).toBeLessThan(2e-6);
      expect(Math.abs(done.trace("b").at(t) - (e - o))).toBeLessThan(2e-6);
    }
    expect(balance(done).energy).toBeLessThan(1e-12);
  });
});

describe("a transformer", () => {
  const stage = (k: string, more = "") => `signal s = pulse 0 V to 10 V, wide 1 ms, first 10 us
    resistor source s -> p 10 ohm
    inductor primary p -> ground 1 mH
    inductor secondary q -> ground 4 mH
    coupling core primary -> secondary ${k}
    resistor load q -> ground 400 ohm
    run for 400 us${more}`;

  it.each([0.5, 0.95, 0.999])("of coupling %f: leakage and magnetising current are two exponentials", (k) => {
    // L i' = (V − R₁ i₁, −R₂ i₂): eigenvalues of −L⁻¹R by the quadratic formula, i by its two conditions at the step.
    const [L1, L2, R1, R2, V] = [1e-3, 4e-3, 10, 400, 10];
    const M = k * Math.sqrt(L1 * L2);
    const det = L1 * L2 - M * M;
    const sum = (R1 * L2 + R2 * L1) / det;
    const product = (R1 * R2) / det;
    const root = Math.sqrt(sum * sum - 4 * product);
    const fast = -(sum + root) / 2;
    const slow = product / fast;
    // i₂ begins at 0 with the slope −M V/det and ends at 0.
    const b = (-M * V) / det / (slow - fast);
    const done = run(stage(`${100 * k} %`)).trace("q");
    for (let us = 10.01; us < 400; us += us < 12 ? 0.1 : 17) {
      const t = (us - 10) * 1e-6;
      const i2 = b * (Math.exp(slow * t) - Math.exp(fast * t));
      expect(Math.abs(done.at(us * 1e-6) - -R2 * i2)).toBeLessThan(20e-6);
    }
  });

  it("without leakage is its turns ratio, and its load stands across the primary divided by the square of that", () => {
    // 400 Ω behind 1:2 is 100 Ω; 10 Ω beside 100 Ω drain 1 mH.
    const done = run(stage("100 %"));
    const R = 1000 / 110;
    for (let us = 10.001; us < 400; us += us < 10.1 ? 0.01 : 17) {
      const v = ((10 * 100) / 110) * Math.exp((-(us - 10) * 1e-6 * R) / 1e-3);
      expect(Math.abs(done.trace("p").at(us * 1e-6) - v)).toBeLessThan(1e-5);
      expect(Math.abs(done.trace("q").at(us * 1e-6) - 2 * v)).toBeLessThan(2e-5);
    }
  });

  it("with a winding short leaves the leakage, (1 − k²) L₁; with it open, L₁ alone", () => {
    const text = (how: string) => `supply plus1 = 1 V
      switch on plus1 -> p closed after 10 us
      inductor primary p -> ground 1 mH
      inductor secondary q -> ground 4 mH
      coupling core primary -> secondary 90 %
      resistor load q -> ground 1 kohm
      resistor damp p -> ground 1 Mohm
      run for 30 us
      case "it" secondary ${how}`;
    const current = (how: string) => {
      const done = simulate(compile(text(how)), { case: "it" });
      expect(done.reason).toBe("");
      return done.trace("primary.current").at(30e-6);
    };
    expect(Math.abs(current("short") / (20e-6 / (1e-3 * (1 - 0.81))) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(current("open") / (20e-6 / 1e-3) - 1)).toBeLessThan(1e-9);
    const uncoupled = simulate(compile(text("open").replace("secondary open", "core open")), { case: "it" });
    expect(Math.abs(uncoupled.trace("primary.current").at(30e-6) / (20e-6 / 1e-3) - 1)).toBeLessThan(1e-9);
    expect(Math.max(...uncoupled.trace("q").value.map(Math.abs))).toBe(0);
  });
});

describe("a flyback", () => {
  const text = (k: string) => `supply plus12 = 12 V
    signal gate = pulse 0 V to 5 V, wide 20 us, first 15 us
    inductor primary plus12 -> sw 100 uH
    inductor secondary ground -> top 400 uH
    coupling core primary -> secondary ${k}
    switch chop sw -> ground closed while gate above 2.5 V
    diode catch top -> out drop 0 V
    capacitor store out -> ground 1 uF
    run for 100 us`;

  it("without leakage hands the whole of ½ L i² to the capacitor", () => {
    const done = run(text("100 %"));
    const i = (12 * 20e-6) / 100e-6;
    expect(Math.abs(done.trace("primary.current").at(34.9999e-6) / i - 1)).toBeLessThan(1e-4);
    // The secondary takes over at half of the current: twice the turns.
    const peak = Math.max(...done.trace("secondary.current").value.map(Math.abs));
    // 100 % counts as 99.9999 %, so a millionth of the voltage and of the current is missing.
    expect(Math.abs(peak / (i / 2) - 1)).toBeLessThan(2e-6);
    const v = Math.sqrt((100e-6 * i * i) / 1e-6);
    expect(Math.abs(done.trace("out").at(99e-6) / v - 1)).toBeLessThan(2e-6);
    expect(done.losses).toEqual([]);
    // What stands across the switch is the rail and the secondary's voltage over two.
    expect(Math.abs(Math.max(...done.trace("sw").value) - (12 + v / 2))).toBeLessThan(1e-3);
    expect(stress(done).parts.every((p) => Number.isFinite(p.voltage.peak.value))).toBe(true);
  });

  it("with leakage and nothing to catch its current stops, and says of which coil", () => {
    const done = simulate(compile(text("98 %")));
    expect(done.reason).toBe(
      "the current of 'primary' is cut off, and what of its flux leaks past the coils coupled to it has nowhere to go; give it a way on, e.g. a capacitor or a diode across it",
    );
    // The switch opens after 20 us of 12 V across 100 uH; up to there the run is kept.
    expect(Math.abs(done.reached / 35e-6 - 1)).toBeLessThan(1e-9);
  });

  it("with leakage and a capacitor across the switch that rings: no energy is lost", () => {
    const done = run(`${text("98 %")}\ncapacitor retrace sw -> ground 1 nF`);
    expect(balance(done).energy).toBeLessThan(1e-9);
  });

  it("regulates in continuous current as D/(1 − D) of the turns ratio says", () => {
    // 12 V · 2 · 0.4/0.6 = 16 V (common practice, no source; ideal parts), started there.
    const done = run(
      text("100 %")
        .replace("wide 20 us, first 15 us", "wide 10 us, every 25 us, first 5 us")
        .replace("1 uF", "100 uF, starts 16 V\n resistor load out -> ground 50 ohm")
        .replace("100 us", "40 ms"),
    );
    const late = done.trace("out").between(39e-3, 40e-3).value;
    expect(Math.abs(late.reduce((a, b) => a + b, 0) / late.length / 16 - 1)).toBeLessThan(5e-3);
  });
});

describe("three windings", () => {
  it("on one core share its flux: two loads in parallel seen from the first", () => {
    const done = run(`signal s = pulse 0 V to 10 V, wide 1 ms, first 10 us
      resistor source s -> p 10 ohm
      inductor one p -> ground 1 mH
      inductor two q -> ground 4 mH
      inductor three ground -> r 1 mH
      coupling k12 one -> two 100 %
      coupling k13 one -> three 100 %
      coupling k23 two -> three 100 %
      resistor load2 q -> ground 400 ohm
      resistor load3 r -> ground 100 ohm
      run for 11 us`);
    // 100 Ω and 100 Ω: 50 Ω behind 10 Ω; the third winding is turned round.
    expect(Math.abs(done.trace("p").at(10.001e-6) - (10 * 50) / 60)).toBeLessThan(1e-3);
    expect(Math.abs(done.trace("r").at(10.001e-6) + (10 * 50) / 60)).toBeLessThan(1e-3);
  });
});

describe("what is written", () => {
  const coils = `inductor one a -> ground 1 mH
    resistor r a -> ground 1 kohm
    inductor two b -> ground 1 mH
    resistor s b -> ground 1 kohm
    inductor three c -> ground 1 mH
    resistor t c -> ground 1 kohm\n`;
  it.each([
    ["coupling k one -> four 90 %", "unknown-part"],
    ["coupling k one -> r 90 %", "unknown-part"],
    ["coupling k one -> one 90 %", "couples-itself"],
    ["coupling k one -> two 101 %", "out-of-range"],
    ["coupling k one -> two", "missing-value"],
    ["coupling k one -> two 90 %, rated 1 A", "property-form"],
    ["coupling k one -> two 90 %\ncoupling m two -> one 90 %", "coupled-twice"],
    ["coupling k one -> two 99 %\ncoupling m two -> three 99 %", "impossible-coupling"],
    ['coupling k one -> two 90 %\ncase "x" k short', "change-form"],
    ['coupling k one -> two 90 %\ncheck "x" peak current of k below 1 A', "which-aspect"],
  ])("'%s' is refused: %s", (text, code) => {
    expect(inspect(coils + text).diagnostics.map((d) => d.code)).toContain(code);
  });

  it("works inside blocks, and from outside into them", () => {
    const text = `signal drive = sine 0 V to 1 V, at 10 kHz
      block choke joins in, out
        inductor primary in -> ground 1 mH
        inductor secondary out -> ground 1 mH
        coupling core primary -> secondary 50 %
        resistor load out -> ground 1 kohm
      end
      use choke as left joins drive, x
      use choke as right joins drive, y
      coupling across left.primary -> right.primary 10 %
      run for 100 us`;
    const design = compile(text);
    expect(design.parts.filter((p) => p.couples).map((p) => p.couples)).toEqual([
      ["left.primary", "left.secondary"],
      ["right.primary", "right.secondary"],
      ["left.primary", "right.primary"],
    ]);
  });

  it("what moves one coil moves the other, even between places that are held", () => {
    const design = compile(`supply plus = 5 V
      signal drive = sine 0 V to 5 V, at 10 kHz
      inductor primary plus -> drive 1 mH
      inductor secondary q -> ground 1 mH
      coupling core primary -> secondary 50 %
      resistor load q -> ground 1 kohm
      run for 100 us
      check "x" peak of q below 100 V`);
    const moving = [...new Influence(design).of(design.checks[0])!].map((i) => design.parts[i].name);
    expect(moving.sort()).toEqual(["core", "drive", "load", "plus", "primary", "secondary"]);
    const { faults: rows } = faults(design);
    expect(rows.map(({ kind, name }) => `${name} ${kind}`)).toContain("core open");
    expect(rows.map(({ kind, name }) => `${name} ${kind}`)).not.toContain("core short");
  });
});
