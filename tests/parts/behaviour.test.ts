// What each kind of part does, against its defining equation: straight-line diodes, switches with two thresholds and a
// limit, sources that need headroom, taps, initial values, faults, and sources that start, stop and are scaled.
// Expected values are Ohm's and Kirchhoff's laws worked out beside each; the laws of the parts are their definitions
// in the language reference.
import { describe, expect, it } from "vitest";
import { compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";

function run(text: string, options: SimulateOptions = {}): Run {
  const done = simulate(compile(text), { until: "1 ms", ...options });
  expect(done.reason).toBe("");
  return done;
}
const at = (done: Run, name: string, t = 0.5e-3): number => done.trace(name).at(t);
const near = (value: number, exact: number, share = 1e-12): void => {
  expect(Math.abs(value - exact)).toBeLessThanOrEqual(share * Math.max(Math.abs(exact), 1e-12));
};

describe("diode", () => {
  // A slow rise of 10 V/ms through 1 kΩ.
  const text = (words: string, [from, to]: [string, string] = ["0 V", "10 V"]) => `
    signal s = path ${from} at 0 s, ${to} at 1 ms
    resistor r s -> a 1 kohm
    diode d a -> ground ${words}`;
  it("carries nothing below its drop, then drop and on-resistance times current", () => {
    const done = run(text("drop 0.6 V, on 10 ohm"));
    near(at(done, "d.current", 0.05e-3), 0);
    // 5 V: (5 − 0.6)/(1010)
    near(at(done, "d.current"), 4.4 / 1010);
    near(at(done, "a"), 0.6 + (10 * 4.4) / 1010);
    near(at(done, "d.power"), (4.4 / 1010) * (0.6 + (10 * 4.4) / 1010));
  });
  it("begins to conduct at the instant its drop is reached", () => {
    const { time, value } = run(text("drop 0.6 V, on 10 ohm")).trace("d.current");
    const first = value.findIndex((i) => i > 0);
    expect(Math.abs(time[first - 1] - 60e-6)).toBeLessThan(1e-9);
  });
  it("has 0.6 V and no resistance unless told", () => near(at(run(text("")), "a"), 0.6));
  it("breaks down backwards where it is told to, else never", () => {
    const down: [string, string] = ["0 V", "-10 V"];
    const zener = run(text("drop 0.6 V, on 10 ohm, breakdown 3 V", down));
    near(at(zener, "d.current"), -2 / 1010);
    near(at(zener, "a"), -3 - (10 * 2) / 1010);
    expect(at(run(text("drop 0.6 V", down)), "d.current")).toBe(0);
  });
});

describe("switch", () => {
  // A triangle of 5 V: 10 V/ms up, 10 V/ms down.
  const text = (words: string) => `
    supply rail = 10 V
    signal s = path 0 V at 0 s, 5 V at 0.5 ms, 0 V at 1 ms
    resistor r rail -> a 1 kohm
    switch w a -> ground ${words}`;
  const changes = (done: Run) => {
    const { time } = done.trace("a");
    return [...time.filter((t, i) => time[i + 1] === t)].map((t) => Math.round(t * 1e9));
  };
  it("closes above and opens below with thresholds of their own", () => {
    expect(changes(run(text("closed while s above 3 V, open 2 V, on 5 ohm")))).toEqual([300_000, 800_000]);
    expect(changes(run(text("closed while s above 3 V")))).toEqual([300_000, 700_000]);
  });
  it("closes below: from the start, and again on the way down", () => {
    expect(changes(run(text("closed while s below 2 V, open 3 V")))).toEqual([300_000, 800_000]);
    near(at(run(text("closed while s below 2 V, open 3 V, on 5 ohm")), "a", 0.1e-3), (10 * 5) / 1005);
  });
  it.each([
    ["closed from 0.2 ms to 0.4 ms", [200_000, 400_000]],
    ["closed after 0.6 ms", [600_000]],
    ["closed before 0.7 ms", [700_000]],
  ])("%s", (words, expected) => expect(changes(run(text(words)))).toEqual(expected));
  it("has an on- and an off-resistance, 0 and none unless told", () => {
    const some = run(text("closed after 0.6 ms, on 5 ohm, off 1 Mohm"));
    near(at(some, "a", 0.3e-3), (10 * 1e6) / (1e6 + 1e3));
    near(at(some, "a", 0.8e-3), (10 * 5) / 1005);
    const ideal = run(text("closed after 0.6 ms"));
    near(at(ideal, "a", 0.3e-3), 10);
    near(at(ideal, "a", 0.8e-3), 0);
  });
  it("watches a place of the circuit as well as a signal", () => {
    // 1 mA into 100 nF from 0 V: 10 V/ms.
    const done = run(`
      supply rail = 10 V
      current feed ground -> slow 1 mA
      capacitor c slow -> ground 100 nF, starts 0 V
      resistor r rail -> a 1 kohm
      switch w a -> ground closed while slow above 3 V`);
    expect(changes(done)).toEqual([300_000]);
  });
  it("saturates at its limit: a reset then takes C ΔV / I and no longer R C", () => {
    // 100 nF from 4 V at 50 mA: down to 0.05 A · 5 Ω = 0.25 V in 100 nF · 3.75 V / 50 mA = 7.5 µs, in a straight line.
    const reset = (limit: string) =>
      run(
        `capacitor c x -> ground 100 nF, starts 4 V\nswitch w x -> ground closed after 10 us, on 5 ohm${limit}`,
        { until: "60 us" },
      );
    const done = reset(", limit 50 mA");
    near(at(done, "w.current", 12e-6), 0.05);
    near(at(done, "x", 13.75e-6), 4 - (0.05 * 3.75e-6) / 100e-9, 1e-9);
    near(at(done, "x", 17.5e-6), 0.25, 1e-6);
    // Then the resistance again: e in 0.5 µs.
    expect(Math.abs(at(done, "x", 18e-6) - 0.25 / Math.E)).toBeLessThan(4e-3);
    // Without the limit 4 V fall to 0.25 V in 0.5 µs · ln 16 = 1.386 µs.
    expect(Math.abs(at(reset(""), "x", 10e-6 + 0.5e-6 * Math.log(16)) - 0.25)).toBeLessThan(4e-3);
  });
  it("saturates backwards too", () => {
    const done = run(
      "capacitor c x -> ground 100 nF, starts -4 V\nswitch w x -> ground closed after 10 us, on 5 ohm, limit 50 mA",
      { until: "60 us" },
    );
    near(at(done, "w.current", 12e-6), -0.05);
    near(at(done, "x", 13.75e-6), -4 + (0.05 * 3.75e-6) / 100e-9, 1e-9);
    near(at(done, "x", 17.5e-6), -0.25, 1e-6);
    expect(Math.abs(at(done, "x", 18e-6) + 0.25 / Math.E)).toBeLessThan(4e-3);
  });
});

describe("current source", () => {
  // The other end rises from 0 V to 15 V in 1 ms, past the rail.
  const text = (words: string) => `
    supply rail = 12 V
    signal s = path 0 V at 0 s, 15 V at 1 ms
    current i rail -> a ${words}
    resistor r a -> s 100 ohm`;
  it("gives its current whatever the voltage, unless it needs headroom", () => {
    near(at(run(text("1 mA")), "i.current", 0.99e-3), 1e-3);
  });
  it("with headroom: full, then what keeps the headroom, then nothing", () => {
    const done = run(text("1 mA, headroom 0.9 V"));
    near(at(done, "i.current"), 1e-3);
    // At 11.1 V of a the source is pinned; s stands 100 Ω · i below: i = (11.1 − s)/100 from s = 11 V to 11.1 V.
    near(at(done, "a", 11.05e-3 / 15), 11.1, 1e-9);
    near(at(done, "i.current", 11.05e-3 / 15), 0.05 / 100, 1e-6);
    expect(at(done, "i.current", 0.8e-3)).toBe(0);
    near(at(done, "a", 0.8e-3), 12);
  });
  it("with an output resistance gives more the more voltage it has, and what is stated at the headroom", () => {
    // 1 mA + (v − 0.9 V)/R across the source.
    const done = run(text("1 mA, headroom 0.9 V, output 100 kohm"));
    const v = 12 - at(done, "a");
    near(at(done, "i.current"), 1e-3 + (v - 0.9) / 1e5);
    // Without headroom the stated current is that at no voltage.
    const plain = run(text("1 mA, output 100 kohm"));
    near(at(plain, "i.current"), 1e-3 + (12 - at(plain, "a")) / 1e5);
  });
  it("follows a waveform", () => {
    near(
      at(
        run(
          "current i ground -> a pulse 0 A to 1 mA, wide 0.2 ms, every 1 ms, first 0.4 ms\nresistor r a -> ground 1 kohm",
        ),
        "a",
      ),
      1,
    );
  });
});

describe("voltage source", () => {
  it("stands between any two places, its tail above its head", () => {
    const done = run("voltage v a -> b 5 V\nresistor r a -> ground 1 kohm\nresistor q b -> ground 4 kohm");
    near(at(done, "a"), 1);
    near(at(done, "b"), -4);
    // It delivers: its current runs against the arrow.
    near(at(done, "v.current"), -1e-3);
    near(at(done, "v.power"), -5e-3);
  });
  it("behind a resistance", () => {
    near(at(run("voltage v a -> ground 5 V, behind 1 kohm\nresistor r a -> ground 4 kohm"), "a"), 4);
  });
});

describe("potentiometer", () => {
  const tap = (words: string) =>
    at(
      run(
        `supply p = 10 V\npotentiometer t p -> ground 10 kohm, tap w${words}\nresistor far w -> ground 1 Gohm`,
      ),
      "w",
    );
  it("divides from the tail: half unless told", () => {
    near(tap(""), (10 * 5e3) / (5e3 + 5e3), 1e-5);
    // 25 % from the tail: 2.5 kΩ above, 7.5 kΩ below, less the load of 1 GΩ.
    const below = 1 / (1 / 7.5e3 + 1e-9);
    near(tap(", at 25 %"), (10 * below) / (2.5e3 + below));
  });
  it("may stand at either end", () => {
    near(tap(", at 0 %"), 10);
    near(tap(", at 100 %"), 0);
  });
});

describe("initial values", () => {
  it("hold at the first sample, and a capacitor fades from there", () => {
    const done = run("capacitor c x -> ground 1 uF, starts 3 V\nresistor r x -> ground 1 kohm");
    expect(done.trace("x").value[0]).toBe(3);
    near(at(done, "x", 1e-3), 3 / Math.E, 1e-6);
  });
  it("a coil begins with its current along its arrow", () => {
    const done = run("inductor l ground -> x 1 H, starts 2 mA\nresistor r x -> ground 1 kohm");
    near(done.trace("x").value[0], 2);
    near(at(done, "x", 1e-3), 2 / Math.E, 1e-6);
  });
  it("without them a run begins in the steady state, or from nothing", () => {
    const text = "supply p = 5 V\nresistor r p -> x 1 kohm\ncapacitor c x -> ground 1 uF";
    near(at(run(text), "x"), 5, 1e-9);
    expect(run(text, { start: "rest" }).trace("x").value[0]).toBe(0);
    expect(run(`${text}\nrun for 1 ms, from rest`).trace("x").value[0]).toBe(0);
  });
});

describe("faults and changes that a case makes", () => {
  const text = (change: string) => `
    supply p = 10 V
    signal s = pulse 0 V to 4 V, wide 0.1 ms, every 0.2 ms
    resistor a p -> x 1 kohm
    resistor b x -> ground 4 kohm
    resistor c s -> y 1 kohm
    resistor d y -> ground 1 kohm
    case "it" ${change}`;
  const inCase = (change: string, name: string, t?: number) => at(run(text(change), { case: "it" }), name, t);
  it("open and short", () => {
    near(inCase("b open", "x"), 10);
    near(inCase("b short", "x"), 0);
    near(inCase("a short", "x"), 10);
    near(inCase("a open", "x"), 0);
    // The current through a short part is what the rest of the circuit sends.
    near(inCase("b short", "b.current"), 10e-3);
    expect(inCase("b open", "b.current")).toBe(0);
  });
  it("a supply dead throughout, or from a time on", () => {
    near(inCase("p dead", "x"), 0);
    near(inCase("p dead at 0.6 ms", "x", 0.5e-3), 8);
    near(inCase("p dead at 0.6 ms", "x", 0.7e-3), 0);
  });
  it("a signal that starts, stops, is scaled", () => {
    // Up at 0, 0.2, 0.4 … ms for 0.1 ms; y is half of it.
    const up = 0.45e-3;
    near(inCase("s stops at 0.43 ms", "y", 0.42e-3), 2);
    expect(inCase("s stops at 0.43 ms", "y", up)).toBe(0);
    expect(inCase("s starts at 0.43 ms", "y", 0.42e-3)).toBe(0);
    near(inCase("s starts at 0.43 ms", "y", up), 2);
    near(inCase("s scaled 0.5", "y", up), 1);
    near(inCase("s scaled 0.5, s stops at 0.48 ms", "y", up), 1);
    expect(inCase("s dead", "y", up)).toBe(0);
  });
  it("another value, of a supply, a part, a named value", () => {
    near(inCase("p is 5 V", "x"), 4);
    near(inCase("b is 1 kohm", "x"), 5);
    near(inCase("p is 5 V, b is 1 kohm", "x"), 2.5);
  });
  it("leaves the design as drawn alone", () => near(at(run(text("b short")), "x"), 8));
});
