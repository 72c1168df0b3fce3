// Gates, bistables, latches made of parts, and a switch that the difference of two places steers: truth tables, the halving of a
// rate, and instants of straight ramps.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, simulate } from "../../src/index.js";

const run = (text: string) => {
  const done = simulate(compile(text));
  expect(done.reason).toBe("");
  return done;
};
const jumps = (times: Float64Array) => [...times].filter((t, i) => times[i + 1] === t);
const near = (found: readonly number[], wanted: readonly number[]) => {
  expect(found.length).toBe(wanted.length);
  for (const [i, t] of wanted.entries()) expect(Math.abs(found[i] - t)).toBeLessThan(1e-16);
};

describe("gate", () => {
  // Over 40 us both inputs go through all four pairs: 00, 10, 11, 01.
  const inputs = `supply vcc = 5 V
signal a = pulse 0 V to 5 V, wide 20 us, every 40 us, first 10 us
signal b = pulse 0 V to 5 V, wide 20 us, every 40 us, first 20 us`;
  it.each([
    ["and", [0, 0, 1, 0]],
    ["or", [0, 1, 1, 1]],
    ["nand", [1, 1, 0, 1]],
    ["nor", [1, 0, 0, 0]],
    ["xor", [0, 1, 0, 1]],
  ] as const)("%s: its truth table", (rule, wanted) => {
    const text = (more: string) =>
      `${inputs}\ngate g a -> out ${rule} b, rail vcc, output 0 ohm${more}\nresistor load out -> ground 1 kohm\nrun for 40 us`;
    const out = run(text("")).trace("out");
    expect([5, 15, 25, 35].map((us) => out.at(us * 1e-6) / 5)).toEqual(wanted);
    const late = run(text(", delay 1 us")).trace("out");
    expect([5, 15, 25, 35].map((us) => late.at(us * 1e-6) / 5)).toEqual(wanted);
    // Each change a microsecond later, and none lost; that at the end comes too late.
    near(
      jumps(late.time),
      jumps(out.time).flatMap((t) => (t < 39e-6 ? [t + 1e-6] : [])),
    );
  });

  it("takes no notice of what is shorter than its delay", () => {
    const done = run(`signal a = pulse 0 V to 5 V, wide 0.5 us, first 10 us
supply b = 5 V
gate g a -> out and b, delay 1 us
resistor load out -> ground 1 kohm
run for 40 us`);
    expect(jumps(done.trace("out").time)).toEqual([]);
  });

  it.each([
    ["threshold 2 V", "missing-property"],
    ["and b, or b", "repeated-property"],
  ])("'%s' is refused: one rule it must have", (words, code) => {
    try {
      compile(`${inputs}\ngate g a -> out ${words}\nresistor r out -> ground 1 kohm`);
      expect.unreachable();
    } catch (error) {
      expect((error as DesignError).diagnostics[0].code).toBe(code);
    }
  });
});

describe("bistable", () => {
  const out = (text: string) => {
    const trace = run(`${text}\nresistor load out -> ground 10 kohm`).trace("out");
    return jumps(trace.time);
  };
  it("turns over at every rise: half the rate", () => {
    const found = out(`signal a = pulse 0 V to 5 V, wide 3 us, every 10 us, first 5 us
bistable half a -> out
run for 50 us`);
    near(found, [5e-6, 15e-6, 25e-6, 35e-6, 45e-6]);
  });

  it("is set by its input and reset by the other, which has the last word", () => {
    const found = out(`signal a = pulse 0 V to 5 V, wide 2 us, every 20 us, first 5 us
signal r = pulse 0 V to 5 V, wide 2 us, every 30 us, first 15 us
bistable latch a -> out reset r
run for 50 us`);
    // Set at 5; reset at 15; set at 25; at 45 both rise, and the reset wins.
    near(found, [5e-6, 15e-6, 25e-6, 45e-6]);
  });

  it("takes its data at a rise, that before the rise where both change at once", () => {
    const found = out(`signal a = pulse 0 V to 5 V, wide 2 us, every 10 us, first 5 us
signal d = pulse 0 V to 5 V, wide 13 us, first 12 us
bistable keep a -> out data d
run for 50 us`);
    near(found, [15e-6, 35e-6]);
  });

  it("fed its own inverse it halves as well", () => {
    const found = out(`signal a = pulse 0 V to 5 V, wide 2 us, every 10 us, first 5 us
bistable keep a -> out data back
inverter turn out -> back
resistor other back -> ground 10 kohm
run for 40 us`);
    near(found, [5e-6, 15e-6, 25e-6, 35e-6]);
  });

  it("with 'toggles' a reset does not stop it from turning over", () => {
    const found = out(`signal a = pulse 0 V to 5 V, wide 2 us, every 10 us, first 5 us
signal r = pulse 0 V to 5 V, wide 1 us, first 31 us
bistable half a -> out reset r, toggles
run for 50 us`);
    near(found, [5e-6, 15e-6, 25e-6, 31e-6, 35e-6, 45e-6]);
  });
});

describe("a latch without a delay", () => {
  // Each has two states at rest; what sets it and what resets it is told it from outside.
  it.each([
    [
      "inverters in a ring",
      `inverter one q -> nq rail v
inverter two nq -> q rail v
switch set q -> v closed from 20 us to 25 us
switch clear q -> ground closed from 50 us to 55 us`,
    ],
    [
      "switches that hold each other open",
      `resistor ra v -> q 1 kohm
resistor rb v -> nq 1 kohm
switch sa q -> ground closed while nq above 2.5 V, on 1 ohm
switch sb nq -> ground closed while q above 2.5 V, on 1 ohm
switch set nq -> ground closed from 20 us to 25 us, on 1 ohm
switch clear q -> ground closed from 50 us to 55 us, on 1 ohm`,
    ],
    [
      "gates that hold each other",
      `signal set = pulse 0 V to 5 V, wide 5 us, first 20 us
signal clear = pulse 0 V to 5 V, wide 5 us, first 50 us
gate one set -> nq nor q, rail v
gate two clear -> q nor nq, rail v
resistor la q -> ground 10 kohm
resistor lb nq -> ground 10 kohm`,
    ],
  ])("%s keeps what it was told, and a start that could be either way is said to be", (_, latch) => {
    const done = run(`supply v = 5 V\n${latch}\nrun for 100 us`);
    const high = (us: number) => done.trace("q").at(us * 1e-6) > 2.5;
    expect([22, 30, 49, 52, 60, 99].map(high)).toEqual([true, true, true, false, false, false]);
    expect(done.warnings.join()).toMatch(
      /more than one combination of modes fits: '\w+', '\w+' could be either way/,
    );
  });

  it("three inverters in a ring have no rest: that is still refused", () => {
    const done = simulate(
      compile(
        `inverter one a -> b\ninverter two b -> c\ninverter three c -> a\nresistor r a -> ground 1 kohm\nrun for 1 us`,
      ),
    );
    expect([done.status, done.code]).toEqual(["stopped", "chatter"]);
  });
});

describe("a switch steered by a difference", () => {
  it("closes and opens where one place is so far above the other", () => {
    // One ramp of 5 V/ms, the other of 2 V/ms: 1.5 V apart after 0.5 ms, and on the way back, 0.8 V apart.
    const done = run(`signal up = path 0 V at 0 s, 5 V at 1 ms, 0 V at 2 ms
signal ref = path 0 V at 0 s, 2 V at 1 ms, 0 V at 2 ms
supply p = 1 V
switch s p -> out closed while up above 1.5 V, open 0.9 V, minus ref
resistor load out -> ground 1 kohm
run for 2 ms`);
    near(jumps(done.trace("out").time), [0.5e-3, 1.7e-3]);
  });
});
