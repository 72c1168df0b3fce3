// Hard runs and bad options, through the public entry: loops that close at run time, events at the very edges of a
// run, steps beyond all memory, and a million steps that must not drift.
import { describe, expect, it } from "vitest";
import { compile, DesignError, type SimulateOptions, simulate } from "../../src/index.js";
import { nestbox } from "./designs.js";

const run = (text: string, options: SimulateOptions) => simulate(compile(text), options);

describe("row 16: an ideal loop that a switch closes at run time", () => {
  it.each([
    ["at a time", "closed from 1 ms to 2 ms", 1e-3],
    ["by a signal", "closed while gate above 2.5 V", 3e-3],
  ])("%s: the run stops with the loop and the time, and keeps what it has", (_, closed, time) => {
    const done = run(
      `supply a = 5 V
       supply b = 6 V
       signal gate = path 0 V at 3 ms, 5 V at 3 ms
       resistor load a -> ground 1 kohm
       switch bridge a -> b ${closed}`,
      { until: "10 ms" },
    );
    expect(done.status).toBe("stopped");
    expect(done.code).toBe("source-loop");
    for (const name of ["'a'", "'b'", "'bridge'"]) expect(done.reason).toContain(name);
    expect(done.reached).toBe(time);
    expect(done.trace("a").at(time / 2)).toBe(5);
  });
  it("by the circuit itself: a diode without resistance into a rail, from a rail above it", () => {
    const done = run(
      `signal high = path 0 V at 0 s, 10 V at 10 ms
       supply rail = 5 V
       diode guard high -> rail drop 0.6 V`,
      { until: "10 ms" },
    );
    // 5.6 V is passed at 5.6 ms.
    expect(done.status).toBe("stopped");
    expect(done.code).toBe("source-loop");
    expect(Math.abs(done.reached - 5.6e-3)).toBeLessThan(1e-8);
  });
});

describe("row 17 and its kin", () => {
  it("a current source that a switch leaves without a way: the run stops and names it", () => {
    const done = run(
      `supply p = 5 V
       current feed p -> x 1 mA
       switch s x -> ground closed before 1 ms`,
      { until: "2 ms" },
    );
    expect(done.status).toBe("stopped");
    expect(done.code).toBe("no-path");
    expect(done.reason).toContain("'feed'");
    expect(done.reached).toBe(1e-3);
  });
});

describe("row 23: an event exactly at 0, at the end, or on a step", () => {
  // The ramp climbs 1 V/ms and is emptied at each closing; a loss is recorded for each.
  const text = (closed: string) => `
    signal gate = pulse 0 V to 5 V, wide 10 us, every 1 ms, first ${closed}
    current feed ground -> ramp 1 mA
    capacitor hold ramp -> ground 1 uF
    switch reset ramp -> ground closed while gate above 2.5 V`;
  const losses = (first: string, options: SimulateOptions) =>
    run(text(first), { start: "rest", ...options }).losses.map((l) => l.time);
  it("at 0 it is part of the start: closed from the first instant on, neither lost nor doubled", () => {
    expect(losses("0 s", { until: "3.5 ms" })).toEqual([1e-3, 2e-3, 3e-3]);
    const ramp = run(text("0 s"), { until: "0.5 ms", start: "rest" }).trace("ramp");
    expect(ramp.at(10e-6)).toBe(0);
    expect(Math.abs(ramp.at(0.5e-3) - 0.49)).toBeLessThan(1e-12);
  });
  it("at the end it happens once, and the last sample is the end", () => {
    expect(losses("0 s", { until: "3 ms" })).toEqual([1e-3, 2e-3, 3e-3]);
    const { time, value } = run(text("0 s"), { until: "3 ms", start: "rest" }).trace("ramp");
    expect(time[time.length - 1]).toBe(3e-3);
    expect([value[value.length - 2] > 0.98, value[value.length - 1]]).toEqual([true, 0]);
  });
  it.each(["250 us", "100 us", "1 us", "1 ms"])("on a step of %s", (step) => {
    expect(losses("0 s", { until: "3.5 ms", step })).toEqual([1e-3, 2e-3, 3e-3]);
  });
  it("a level that the circuit reaches on a step, at the end, and at the start", () => {
    const self = `
      current feed ground -> ramp 1 mA
      capacitor hold ramp -> ground 1 uF, starts 0 V
      switch reset ramp -> ground closed while ramp above 1 V`;
    const times = (options: SimulateOptions, edit = self) =>
      run(edit, options).losses.map((l) => Math.round(l.time * 1e9));
    expect(times({ until: "2.5 ms", step: "0.25 ms" })).toEqual([1_000_000, 2_000_000]);
    // At exactly 1 V the switch is not yet above it: the end of the run may or may not see the instant, never twice.
    expect(times({ until: "1 ms", step: "0.25 ms" }).length).toBeLessThanOrEqual(1);
    expect(times({ until: "1.5 ms" }, self.replace("starts 0 V", "starts 1 V")).length).toBe(2);
  });
});

describe("row 28: steps and ends that make no sense are refused before memory is taken", () => {
  const design = compile(nestbox);
  const refused = (options: SimulateOptions) => {
    const before = process.memoryUsage();
    try {
      simulate(design, options);
    } catch (error) {
      expect(error).toBeInstanceOf(DesignError);
      const after = process.memoryUsage();
      expect(after.arrayBuffers - before.arrayBuffers).toBeLessThan(1e6);
      const [d] = (error as DesignError).diagnostics;
      expect(d.severity).toBe("error");
      expect(d.span).toEqual({ line: 1, column: 1, length: 0 });
      return `${d.code} ${d.message.split(":")[0]}`;
    }
    return "taken";
  };
  it("1e12 steps", () => {
    expect(refused({ until: "1 s", step: "1 ps" })).toBe("bad-option step");
    expect(refused({ until: 1e6, step: 1e-6 })).toBe("bad-option step");
  });
  it.each([
    0,
    -1,
    Number.NaN,
    Number.POSITIVE_INFINITY,
    Number.NEGATIVE_INFINITY,
    "0 s",
    "-1 ms",
    "5 V",
    "5",
    "soon",
    "",
    "1e400 s",
  ])("until and step of %j", (given) => {
    expect(refused({ until: given })).toBe("bad-option until");
    expect(refused({ until: "1 ms", step: given })).toBe("bad-option step");
  });
  it("ends that no clock can count", () => {
    for (const until of ["1e30 s", 1e300, 1e-300, Number.MIN_VALUE])
      expect(refused({ until })).toBe("bad-option until");
  });
  it("words, limits and tolerances that are none", () => {
    const loose = (options: object) => refused({ until: "1 ms", ...options } as SimulateOptions);
    expect(loose({ start: "warm" })).toBe("bad-option start");
    expect(loose({ method: "guess" })).toBe("bad-option method");
    expect(loose({ repeats: "no" })).toBe("bad-option repeats");
    expect(loose({ tolerance: 0 })).toBe("bad-option tolerance");
    expect(loose({ tolerance: Number.NaN })).toBe("bad-option tolerance");
    expect(loose({ limits: { steps: 0 } })).toBe("bad-option limits.steps");
    expect(loose({ case: "camera plugged" })).toBe("bad-option case");
    expect(loose({ until: null })).toBe("bad-option until");
  });
  it("a run that meets its limit of steps or bytes keeps what it has", () => {
    const few = simulate(design, { until: "5 ms", limits: { steps: 100 } });
    expect([few.status, few.code, few.statistics.steps]).toEqual(["stopped", "steps", 100]);
    expect(few.trace("ramp").to).toBe(few.reached);
    const small = simulate(design, { until: "1 s", repeats: false, limits: { bytes: 100_000 } });
    expect([small.status, small.code]).toEqual(["stopped", "recording"]);
    expect(small.trace("ramp").time.length).toBeGreaterThan(500);
  });
});

describe("row 29: a million steps of a microsecond", () => {
  it("stand at n · h exactly, and the last sample is the end", () => {
    const { time } = run("supply p = 5 V\nresistor r p -> out 1 kohm\ncapacitor c out -> ground 1 mF", {
      until: "1 s",
      step: "1 us",
      start: "rest",
      method: "trapezoid",
    }).trace("out");
    expect(time.length).toBe(1_000_001);
    let wrong = 0;
    for (let n = 0; n < time.length; n++) if (time[n] !== n / 1e6) wrong++;
    expect(wrong).toBe(0);
    expect(time[1_000_000]).toBe(1);
  });
});

it("counts looks that lead nowhere as steps: a ring that stays next to a diode's level ends at the limit, and soon", () => {
  // Own rule: a leap that takes a thousand looks counts as 256, so a limit of 3000 is reached after a dozen of them.
  const text = `
    inductor coil n -> ground 1 mH
    capacitor store n -> ground 1 nF, starts 1 V
    supply top = 1.0000001 V
    diode clamp n -> top drop 0 V, on 10 ohm`;
  const run = simulate(compile(text), { until: "1 s", limits: { steps: 3000 } });
  expect([run.status, run.code]).toEqual(["stopped", "steps"]);
  expect(run.statistics.steps).toBeLessThan(100);
});
