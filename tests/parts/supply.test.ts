// Rails that do not sink without end, have a resistance, or deliver no more than their limit: Ohm's law for each mode.
import { describe, expect, it } from "vitest";
import { compile, faults, simulate, stress, verify } from "../../src/index.js";
import { off } from "../facts/running.js";

/** A guard diode at a rail that is loaded with 10 kohm: 1 mA is pushed into what takes 0.5 mA. */
const guarded = (more: string, load = "10 kohm") => `supply plus12 = 12 V
supply plus5 = 5 V${more}
resistor load plus5 -> ground ${load}
current feed plus12 -> ramp 1 mA, headroom 0.9 V
capacitor hold ramp -> ground 10 nF
diode guard ramp -> plus5 drop 0.6 V, on 10 ohm
run for 2 ms, from rest
check "guard holds" peak of ramp below 5.7 V`;

const run = (text: string, options = {}) => {
  const done = simulate(compile(text), options);
  expect(done.reason).toBe("");
  return done;
};

describe("a rail that cannot sink", () => {
  it("lets go of a guard diode: the check that an ideal rail passes fails, and the run says why", () => {
    const ideal = run(guarded(""));
    expect(verify(ideal)[0].pass).toBe(true);
    expect(ideal.warnings).toEqual([]);
    const real = run(guarded(", sinks 0 A"));
    expect(verify(real)[0].pass).toBe(false);
    // 1 mA through 10 kohm, less what goes on charging 10 nF: at rest after 20 time constants of 0.1 ms.
    expect(off(real.trace("plus5").at(2e-3), 10)).toBeLessThan(1e-6);
    expect(off(real.trace("ramp").at(2e-3), 10.61)).toBeLessThan(1e-6);
    expect(Math.abs(real.trace("plus5.current").at(2e-3))).toBeLessThan(1e-15);
    expect(real.warnings).toHaveLength(1);
    // 1 mA into 10 nF reaches 5.6 V at 56 us; 0.5 mA through 10 ohm are 5 mV, 50 ns and a bit later.
    expect(real.warnings[0]).toMatch(
      /^supply 'plus5' lets go .* more is pushed into it .* first at 56\.0\d+ µs$/,
    );
  });

  it("holds where its load takes what is pushed: 5 kohm at 5 V are 1 mA", () => {
    const held = run(guarded(", sinks 0 A", "4.9 kohm"));
    expect(verify(held)[0].pass).toBe(true);
    expect(held.warnings).toEqual([]);
  });

  it("takes what it can first: 0.2 mA of the 0.5 mA too many, and rises by its resistance", () => {
    const done = run(guarded(", sinks 0.2 mA, output 100 ohm"));
    expect(off(done.trace("plus5").at(2e-3), 0.8e-3 * 10e3)).toBeLessThan(1e-6);
    expect(off(done.trace("plus5.current").at(2e-3), 0.2e-3)).toBeLessThan(1e-9);
    const more = run(guarded(", sinks 1 mA, output 100 ohm"));
    // (5 V − v)/100 ohm + 1 mA = v/10 kohm.
    const v = (5 / 100 + 1e-3) / (1 / 100 + 1 / 10e3);
    expect(off(more.trace("plus5").at(2e-3), v)).toBeLessThan(1e-9);
  });

  it("below ground lets go of what is pulled out of it", () => {
    const done = run(`supply minus5 = -5 V, sinks 0 A
resistor load minus5 -> ground 10 kohm
current pull minus5 -> ground pulse 0 mA to 1 mA, wide 1 ms, first 10 us
run for 100 us`);
    expect(off(done.trace("minus5").at(5e-6), -5)).toBeLessThan(1e-12);
    // It delivers 0.5 mA into the load; 1 mA is pulled the other way through 10 kohm.
    expect(off(done.trace("minus5").at(50e-6), -10)).toBeLessThan(1e-12);
  });

  it("of two rails at one place the higher holds it", () => {
    const done = run(`supply bus = 5 V, sinks 0 A, output 1 ohm
voltage other top -> ground 6 V, behind 1 ohm
diode or top -> bus drop 0 V
resistor load bus -> ground 9 ohm
run for 1 ms`);
    expect(off(done.trace("bus").at(0.5e-3), 6 * 0.9)).toBeLessThan(1e-12);
    expect(Math.abs(done.trace("bus.current").at(0.5e-3))).toBeLessThan(1e-15);
  });
});

describe("a rail's resistance and its limit", () => {
  it("5 V behind 1 ohm into 9 ohm; at its limit of 0.4 A: 3.6 V", () => {
    const at = (more: string) =>
      run(`supply p = 5 V, output 1 ohm${more}\nresistor load p -> ground 9 ohm\nrun for 1 ms`)
        .trace("p")
        .at(0.5e-3);
    expect(off(at(""), 4.5)).toBeLessThan(1e-12);
    expect(off(at(", limit 0.6 A"), 4.5)).toBeLessThan(1e-12);
    expect(off(at(", limit 0.4 A"), 3.6)).toBeLessThan(1e-12);
  });

  it("a switch that such a rail commands follows what the rail does, not its value", () => {
    // 5 V behind 1 kohm, loaded with 1 kohm from 50 us on: 2.5 V, below the 3 V that close the switch.
    const done = run(`supply p = 5 V, output 1 kohm
switch load p -> a closed after 50 us
resistor r a -> ground 1 kohm
supply q = 1 V
switch s q -> out closed while p above 3 V
resistor t out -> ground 1 kohm
run for 100 us`);
    expect(done.trace("out").at(25e-6)).toBeCloseTo(1, 12);
    expect(done.trace("out").at(75e-6)).toBeCloseTo(0, 12);
  });
});

describe("rails in stress and in faults", () => {
  it("stress states each rail's current both ways", () => {
    const { rails } = stress(run(guarded("")));
    const [plus12, plus5] = rails;
    expect(off(plus12.delivers.value, 1e-3)).toBeLessThan(1e-9);
    expect(plus12.takes.value).toBe(0);
    // 0.5 mA into the load at first; 1 mA less that comes back once the guard conducts.
    expect(off(plus5.delivers.value, 0.5e-3)).toBeLessThan(1e-9);
    expect(off(plus5.takes.value, 0.5e-3)).toBeLessThan(1e-6);
    expect([plus5.letsGo, plus5.sinks]).toEqual([false, undefined]);
    const gone = stress(run(guarded(", sinks 0 A"))).rails[1];
    expect([gone.letsGo, gone.sinks]).toEqual([true, 0]);
    // Nothing comes back, but for what one tick (2 ms / 2^53) makes of a guard's current that grows by half a milliampere
    // in its 10 ohm × 10 nF: the rail lets go at the first tick behind.
    expect(gone.takes.value).toBeLessThanOrEqual(1.001 * (0.5e-3 / 100e-9) * (2e-3 / 2 ** 53));
  });

  it("of a rail below ground delivering is current into it", () => {
    const { rails } = stress(run("supply m = -5 V\nresistor r m -> ground 1 kohm\nrun for 1 ms"));
    expect(off(rails[0].delivers.value, 5e-3)).toBeLessThan(1e-12);
    expect(rails[0].takes.value).toBe(0);
  });

  it("faults tries each rail dead, open and low", () => {
    const text = `supply p = 10 V
resistor a p -> m 1 kohm
resistor b m -> ground 1 kohm
resistor pull m -> ground 1 Mohm
run for 1 ms
check "at 5 V" value of m at 0.5 ms between 4.9 V and 5.1 V
check "above 3.9 V" value of m at 0.5 ms above 3.9 V
check "at 0 V" value of m at 0.5 ms between -0.1 V and 0.1 V`;
    const { faults: rows } = faults(compile(text), { parts: ["p"] });
    expect(rows.map((f) => `${f.name} ${f.kind}: ${f.failing.join(", ")}`)).toEqual([
      " as drawn: at 0 V",
      // What fails without the fault is not blamed on it.
      "p dead: at 5 V, above 3.9 V",
      "p open: at 5 V, above 3.9 V",
      // By a fifth, so that there are 4 V.
      "p low: at 5 V",
    ]);
  });
});

describe("words of a supply", () => {
  it.each([
    ["sinks 5 V", "wrong-dimension"],
    ["sinks -1 A", "out-of-range"],
    ["limit 0 A", "out-of-range"],
    ["holds 1 A", "unknown-property"],
    ["sinks 0 A, sinks 1 A", "repeated-property"],
  ])("%s", (words, code) => {
    try {
      compile(`supply p = 5 V, ${words}\nresistor r p -> ground 1 kohm`);
      expect.unreachable();
    } catch (error) {
      expect((error as { diagnostics: { code: string }[] }).diagnostics[0].code).toBe(code);
    }
  });
});
