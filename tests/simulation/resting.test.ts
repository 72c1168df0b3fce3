// Honest circuits whose currents come to rest by themselves, whose states balance at zero, or whose modes remember: chokes,
// bridges, traps, multipliers, one-shots. Values are drawn by a fixed congruence, so that every run tries the same hundred.
import { describe, expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

const drawn = (seed: number) => {
  let state = seed;
  return (from: number, to: number) => {
    // Congruence of POSIX.1's example rand().
    state = (state * 1103515245 + 12345) % 2147483648;
    return from * (to / from) ** (state / 2147483648);
  };
};

/** A choke-input supply with a freewheel diode from rest, by Euler's steps of its own equations: volts at the end. */
function choke(
  of: { V: number; Rs: number; on: number; L: number; C: number; R: number },
  until: number,
): number {
  const { V, Rs, on, L, C, R } = of;
  const [drop, h] = [0.7, 1e-7];
  let [i, out] = [0, 0];
  for (let k = 0; k * h < until; k++) {
    const mains = V * Math.sin(2 * Math.PI * 50 * (k + 0.5) * h);
    const [g1, g2] = [1 / (Rs + on), 1 / on];
    // Current that the diodes give falls with the voltage behind them: one, the other, or both.
    const single = mains - drop - i / g1;
    const free = -drop - i / g2;
    const both = (g1 * (mains - drop) - g2 * drop - i) / (g1 + g2);
    let at = Math.max(single, free);
    if (at < -drop && at < mains - drop) at = both;
    if (i <= 0 && out > Math.max(mains - drop, -drop)) i = 0;
    else i = Math.max(0, i + (h * (at - out)) / L);
    out += (h * (i - out / R)) / C;
  }
  return out;
}

describe("a coil whose current comes to rest by itself", () => {
  const draw = drawn(7);
  const sets = Array.from({ length: 24 }, () => ({
    V: Math.round(draw(5, 50)),
    Rs: draw(0.1, 10),
    on: draw(0.05, 1),
    L: draw(1e-3, 1),
    C: draw(1e-5, 2e-3),
    R: draw(10, 2000),
  }));
  const supply = ({
    V,
    Rs,
    on,
    L,
    C,
    R,
  }: (typeof sets)[0]) => `signal mains = sine -${V} V to ${V} V, at 50 Hz
    resistor rs mains -> a ${Rs} ohm
    diode d a -> b drop 0.7 V, on ${on} ohm
    diode free ground -> b drop 0.7 V, on ${on} ohm
    inductor choke b -> out ${L} H
    capacitor store out -> ground ${C} F
    resistor load out -> ground ${R} ohm`;
  it("is no current cut off, and its supply stands where Euler's steps lead", () => {
    for (const [k, set] of sets.entries()) {
      for (const start of ["rest", "steady", "settled"] as const) {
        const run = simulate(compile(supply(set)), { start, until: "40 ms" });
        expect([run.status, run.reason, run.warnings]).toEqual(["complete", "", []]);
        if (start !== "rest" || k >= 6) continue;
        // The steps are 1e-7 s: an error of some 1e-4.
        expect(Math.abs(run.trace("out").at(30e-3) / choke(set, 30e-3) - 1)).toBeLessThan(1e-3);
      }
    }
  });
  it("nor in a bridge, floating or grounded", () => {
    for (const { V, Rs, on, L, C, R } of sets) {
      const diodes = ["c -> p", "b -> p", "n -> c", "n -> b"].map(
        (way, k) => `diode d${k} ${way} drop 0.7 V, on ${on} ohm`,
      );
      const floating = `voltage mains a -> b sine -${V} V to ${V} V, at 50 Hz
        resistor rs a -> c ${Rs} ohm
        ${diodes.join("\n")}
        inductor choke p -> out ${L} H
        capacitor store out -> n ${C} F
        resistor load out -> n ${R} ohm`;
      for (const ground of ["n", "b"]) {
        const text = floating.replaceAll(new RegExp(`\\b${ground}\\b(?! ohm)`, "g"), "ground");
        const run = simulate(compile(text), { start: "rest", until: "40 ms" });
        expect([run.status, run.reason, run.warnings]).toEqual(["complete", "", []]);
      }
    }
  });
});

describe("a trap that rests in balance", () => {
  const draw = drawn(11);
  it("has a steady and a settled state: the supply's voltage behind the coil", () => {
    for (let k = 0; k < 100; k++) {
      const text = `supply plus12 = 12 V
        inductor coil plus12 -> a ${draw(1e-6, 1)} H
        capacitor trap plus12 -> a ${draw(1e-9, 1e-5)} F
        resistor r a -> ground ${draw(1, 100)} ohm
        resistor damping plus12 -> a ${draw(100, 1e5)} ohm
        signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
        resistor load gate -> ground 1 kohm`;
      for (const start of ["steady", "settled"] as const) {
        const run = simulate(compile(text), { start, until: "1 ms" });
        expect([run.status, run.reason]).toEqual(["complete", ""]);
        expect(Math.abs(run.trace("a").at(0) - 12)).toBeLessThan(1e-9);
        expect(Math.abs(run.trace("a").at(1e-3) - 12)).toBeLessThan(1e-9);
      }
    }
  });
  it("and what nothing stops is still told", () => {
    const run = simulate(compile("supply v = 12 V\ninductor coil v -> ground 1 mH"), { until: "1 ms" });
    expect([run.code, run.reason]).toEqual([
      "no-steady-state",
      "nothing stops 'coil': there is no steady state to start from; add what does, e.g. a resistor, or begin 'from rest'",
    ]);
  });
});

describe("a settled start with modes that remember", () => {
  it("begins with the one-shot's pulse that a pulse at 0 s sets off, whatever it lasts", () => {
    const draw = drawn(13);
    for (let k = 0; k < 40; k++) {
      const [T, lasts, tau] = [64, Math.round(draw(6, 60)), draw(5, 5000)];
      const run = simulate(
        compile(`signal in = pulse 0 V to 5 V, wide 4.7 us, every ${T} us
          oneshot c in -> q lasts ${lasts} us, output 0 ohm
          resistor r q -> out 1 kohm
          capacitor hold out -> ground ${tau} nF`),
        { start: "settled", until: "256 us" },
      );
      // Charged towards 5 V for `lasts`, discharged for the rest: v = 5 (1 − e^−a) e^−b / (1 − e^−(a + b)).
      const [a, b] = [lasts / tau, (T - lasts) / tau];
      const v = (5 * -Math.expm1(-a) * Math.exp(-b)) / -Math.expm1(-a - b);
      for (const t of [0, 64e-6, 128e-6]) expect(Math.abs(run.trace("out").at(t) - v)).toBeLessThan(1e-9);
    }
  });
  it("that count the periods: a one-shot that lasts longer than a few of them begins anew after as many", () => {
    const draw = drawn(29);
    for (let k = 0; k < 20; k++) {
      const [T, tau] = [64, draw(20, 500)];
      const lasts = Math.round(draw(66, 250));
      if (lasts % T === 0) continue;
      const every = T * Math.ceil(lasts / T);
      const run = simulate(
        compile(`signal in = pulse 0 V to 5 V, wide 4.7 us, every ${T} us
          oneshot c in -> q lasts ${lasts} us, output 0 ohm
          resistor r q -> out 1 kohm
          capacitor hold out -> ground ${tau} nF`),
        { start: "settled", until: "2 ms" },
      );
      expect([run.status, run.warnings]).toEqual(["complete", []]);
      const [a, b] = [lasts / tau, (every - lasts) / tau];
      const v = (5 * -Math.expm1(-a) * Math.exp(-b)) / -Math.expm1(-a - b);
      // It begins in whichever of the periods: once in as many of them the capacitor is at its lowest.
      const lowest = measure(run, "floor of out").value;
      expect(Math.abs(lowest - v)).toBeLessThan(1e-8);
      for (let n = 0; n < every / T; n++)
        expect(measure(run, `floor of out from ${n * T} us to ${n * T + every} us`).value).toBeCloseTo(v, 8);
    }
  });
  it("that count the periods: though the states come back after each, and only the modes do not", () => {
    // The pulse of 13 µs is over long before the second line ends, so both lines end alike; a coil and a capacitor ring meanwhile.
    const run = simulate(
      compile(`signal gate = pulse 0 V to 5 V, wide 12 us, every 64 us
        bistable half gate -> odd
        oneshot timer odd -> q lasts 13 us, output 0 ohm
        resistor r q -> out 317 ohm
        capacitor c out -> ground 1.08 nF
        inductor l out -> p 1.42 mH
        resistor rp p -> ground 2.76 kohm`),
      { start: "settled", until: "768 us" },
    );
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    // All that a resistance of 317 + 2760 ohm lets through: 5 V for 13 of 128 µs.
    const mean = measure(run, "mean of l.current from 0 us to 128 us").value;
    expect(Math.abs(mean / ((5 * 13) / 128 / (317 + 2760)) - 1)).toBeLessThan(1e-7);
  });
  it.each([1, 2, 3])("that count the periods: %d halvings of a line, smoothed", (halvings) => {
    const chain = Array.from(
      { length: halvings },
      (_, k) => `bistable half${k} ${k === 0 ? "gate" : `q${k - 1}`} -> q${k}, output 0 ohm`,
    );
    const run = simulate(
      compile(`signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
        ${chain.join("\n")}
        resistor r q${halvings - 1} -> out 1 kohm
        capacitor c out -> ground 100 nF`),
      { start: "settled", until: "2 ms" },
    );
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    // A square wave of 5 V, as long high as low: between 5/(1 + e^a) and 5/(1 + e^−a), a the half period over 100 µs.
    const a = (64 * 2 ** (halvings - 1)) / 100;
    const whole = `from 0 us to ${2 ** halvings * 64} us`;
    expect(Math.abs(measure(run, `floor of out ${whole}`).value - 5 / (1 + Math.exp(a)))).toBeLessThan(1e-8);
    expect(Math.abs(measure(run, `peak of out ${whole}`).value - 5 / (1 + Math.exp(-a)))).toBeLessThan(1e-8);
    expect(run.trace("out").at(0)).toBeCloseTo(run.trace("out").at(2 ** halvings * 64e-6), 6);
  });
  it("without capacitor or coil", () => {
    const run = simulate(
      compile(`signal in = pulse 0 V to 5 V, wide 4.7 us, every 64 us
        resistor upper in -> out 10 kohm
        resistor lower out -> ground 10 kohm`),
      { start: "settled", until: "1 ms" },
    );
    expect([run.status, run.trace("out").at(1e-6)]).toEqual(["complete", 2.5]);
  });
  it("without the period of a signal that drives nothing", () => {
    const run = simulate(
      compile(`signal idle = sine -1 V to 1 V, at 1000.0001 Hz
        resistor load idle -> ground 1 kohm
        signal gate = pulse 0 V to 1 V, wide 32 us, every 64 us
        resistor r gate -> out 1 kohm
        capacitor hold out -> ground 64 nF`),
      { start: "settled", until: "64 us" },
    );
    // From the foot: (1 − e^−½) e^−½ / (1 − e^−1).
    const foot = (-Math.expm1(-0.5) * Math.exp(-0.5)) / -Math.expm1(-1);
    expect(Math.abs(run.trace("out").at(0) - foot)).toBeLessThan(1e-12);
  });
  it("of an ideal doubler at an ideal source", () => {
    const draw = drawn(17);
    for (let k = 0; k < 12; k++) {
      const [V, C, R] = [Math.round(draw(5, 50)), draw(1e-5, 1e-3), draw(1e4, 1e6)];
      const run = simulate(
        compile(`signal mains = sine -${V} V to ${V} V, at 50 Hz
          capacitor pump mains -> x ${C} F
          diode clamp ground -> x drop 0 V
          diode pass x -> y drop 0 V
          capacitor store y -> ground ${C} F
          resistor load y -> ground ${R} ohm`),
        { start: "settled", until: "60 ms" },
      );
      expect([run.status, run.reason]).toEqual(["complete", ""]);
      const y = run.trace("y");
      for (const t of [0.1e-3, 5e-3, 13e-3])
        expect(Math.abs(y.at(t) - y.at(t + 40e-3))).toBeLessThan(1e-9 * V);
      // Twice the peak less what the load takes: y falls by e^−T/RC a period, and each pulse mends half of what lacks.
      const q = 20e-3 / (R * C);
      expect(Math.abs(y.at(5e-3) / (2 * V * (1 - q)) - 1)).toBeLessThan(3 * q * q + 0.02 * q);
    }
  });
});

describe("what is told", () => {
  it("a place that an opening switch leaves floating", () => {
    const run = simulate(
      compile(`supply v = 5 V
        switch s v -> a closed from 0 s to 1 ms
        resistor r a -> b 1 kohm`),
      { until: "2 ms" },
    );
    expect(run.warnings.join()).toMatch(/nothing holds 'a', 'b' against ground from 1 ms on/);
  });
  it.each(["leaps", "mixed", "tr-bdf2"] as const)("growth faster than a tick, by %s", (method) => {
    // 1 A/V against 1 mS and 1e-24 F: e times in 1e-24 s.
    const run = simulate(
      compile(`current g ground -> x 0 A, follows x, gain 1 A/V
        capacitor c x -> ground 1e-24 F, starts 1 mV
        resistor r x -> ground 1 kohm`),
      { start: "rest", until: "1 s", method },
    );
    expect([run.status, run.code]).toEqual(["stopped", "overflow"]);
    expect(run.reason).toMatch(/'c'/);
  });
  it("switching ever faster behind a coil, in bounded work", () => {
    const run = simulate(
      compile(`supply v = 12 V
        inductor l a -> b 1 mH
        capacitor c b -> ground 1 uF
        resistor r b -> ground 10 ohm
        switch s v -> a closed while b below 5 V, on 0.1 ohm
        diode d ground -> a drop 0.5 V`),
      { until: "10 ms", start: "rest" },
    );
    expect([run.status, run.code]).toEqual(["stopped", "chatter"]);
    expect(run.reason).toMatch(/'s'.* ever faster, \d+ times so far and by now every .* s/);
    expect(run.statistics.steps).toBeLessThan(50_000);
  });
  it("and not a fast oscillator", () => {
    // 100 kHz for 100 ms: 20 000 events.
    const run = simulate(
      compile(`supply v = 5 V
        resistor r v -> a 10 kohm
        capacitor c a -> ground 1 nF
        switch s a -> ground closed while a above 3 V, open 1 V, on 10 ohm`),
      { until: "100 ms", start: "rest" },
    );
    expect(run.status).toBe("complete");
    expect(run.statistics.events).toBeGreaterThan(10_000);
  });
});
