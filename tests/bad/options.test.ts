// Options of calls that no type has looked at: each is refused as a diagnostic with its name, and nothing passes unread.
// Limits are tried just below, at and just above. No outside source: these are the promises of the library.
import { describe, expect, it } from "vitest";
import { ratio } from "../../src/base/fraction.js";
import {
  compile,
  corners,
  DesignError,
  faults,
  geometry,
  inspect,
  raster,
  sensitivities,
  simulate,
  size,
  stress,
  trials,
  vary,
  verifyAll,
} from "../../src/index.js";
import { refuseBeyondLimits } from "../../src/simulation/foresight.js";
import { mostSteps } from "../../src/simulation/options.js";
import { nestbox } from "./designs.js";

const design = compile(nestbox);
const short = { until: "200 us" } as const;
const run = simulate(design, short);

/** What a call says of its options. */
function told(call: () => unknown): string {
  try {
    call();
  } catch (error) {
    if (!(error instanceof DesignError)) return `escaped: ${error}`;
    const [d] = error.diagnostics;
    return `${d.code} ${d.message.split(":")[0]}`;
  }
  return "taken";
}
// As a caller without types writes it.
const loose = (options: object) => told(() => simulate(design, { ...short, ...options }));

describe("options of a run", () => {
  it.each<[string, object]>([
    ["case", { case: 5 }],
    ["case", { case: null }],
    ["algebra", { algebra: "spares" }],
    ["algebra", { algebra: "" }],
    ["method", { method: "leap" }],
    ["method", { method: "" }],
    ["start", { start: 0 }],
    ["tolerance", { tolerance: "1e-3" }],
    ["untill", { untill: "1 ms" }],
    ["limits.step", { limits: { step: 5 } }],
    ["limits.steps", { limits: { steps: "5" } }],
    ["limits.periods", { limits: { periods: 0 } }],
    ["limits", { limits: 5 }],
    ["record.form", { record: { form: "1 us" } }],
    ["signal", { signal: true }],
    ["progress", { progress: "yes" }],
    ["stream.traces", { stream: { block: () => undefined } }],
    ["stream.block", { stream: { traces: ["ramp"] } }],
    ["stream.sizes", { stream: { traces: ["ramp"], block: () => undefined, sizes: 4 } }],
  ])("%s", (name, options) => {
    expect(loose(options)).toBe(`bad-option ${name}`);
  });
  it("names the nearest option", () => {
    try {
      simulate(design, { ...short, tolerence: 1e-3 } as object);
      expect.unreachable();
    } catch (error) {
      expect((error as DesignError).diagnostics[0].hint).toBe("did you mean 'tolerance'?");
    }
  });
  it.each([
    [0, "bad-option stream.size"],
    [1, "taken"],
    [2, "taken"],
    [1.5, "bad-option stream.size"],
    [Number.NaN, "bad-option stream.size"],
    [2 ** 24 + 1, "bad-option stream.size"],
  ])("a stream of blocks of %d samples", (size, expected) => {
    expect(loose({ stream: { traces: ["ramp"], block: () => undefined, size } })).toBe(expected);
  });
  it("what is undefined counts as left out", () => {
    expect(loose({ case: undefined, algebra: undefined, limits: { steps: undefined } })).toBe("taken");
  });
});

describe("options of everything else", () => {
  it.each<[string, (options: object) => unknown]>([
    ["compile", (o) => compile(nestbox, o)],
    ["inspect", (o) => inspect(nestbox, o)],
    ["verifyAll", (o) => verifyAll(design, o)],
    ["vary", (o) => vary(design, { value: "timing", from: 1e-9, to: 2e-9, ...o })],
    ["size", (o) => size(design, { unknowns: [], goals: [] }, o)],
    ["trials", (o) => trials(design, o)],
    ["corners", (o) => corners(design, o)],
    ["faults", (o) => faults(design, o)],
    ["stress", (o) => stress(run, o)],
    ["sensitivities", (o) => sensitivities(design, design.checks[0].name, o)],
    ["raster", (o) => raster(run, o)],
    ["geometry", (o) => geometry(run, { line: {}, field: {}, ...o } as never)],
  ])("%s", (_, call) => {
    expect(told(() => call({ nonsense: 1 }))).toBe("bad-option nonsense");
  });
  it("a text that is none", () => {
    expect(told(() => inspect(5 as never))).toBe("bad-option text");
  });
});

describe("what is plainly too much is refused before the run", () => {
  // Four corners a period: both ends of both edges.
  const pulses = compile(
    "signal s = pulse 0 V to 5 V, wide 1 us, every 4 us, edges 100 ns\nresistor r s -> x 1 kohm",
  );
  const none = { steps: mostSteps, turns: mostSteps, periods: 1, untilAsked: true };
  it.each([
    [mostSteps / 4 - 1, "taken"],
    [mostSteps / 4, "taken"],
    [mostSteps / 4 + 1, "bad-option until"],
  ])("%i periods of four corners", (periods, expected) => {
    const until = ratio(periods).mul(ratio(4, 1_000_000));
    expect(told(() => refuseBeyondLimits({ ...none, design: pulses, until }, true))).toBe(expected);
  });
  it("where the text says how long, what is refused is the limit, since nobody has asked for another end", () => {
    const long = compile(
      'signal s = pulse 0 V to 5 V, wide 1 us, every 4 us\nresistor r s -> x 1 kohm\nrun for 1 s\ncheck "high" peak of s each s below 6 V',
    );
    const limits = { periods: 249_999 };
    expect(told(() => simulate(long, { limits }))).toBe("bad-option limits.periods");
    expect(told(() => simulate(long, { limits, until: "1 s" }))).toBe("bad-option until");
  });
  it("corners of a signal that stops in time do not count", () => {
    const stops = compile(
      "signal s = pulse 0 V to 5 V, wide 1 us, every 4 us, stops 1 ms\nresistor r s -> x 1 kohm",
    );
    expect(told(() => refuseBeyondLimits({ ...none, design: stops, until: ratio(1e9) }, true))).toBe("taken");
  });
  it("a limit that is given is a budget: the run stops there and keeps what it has", () => {
    const done = simulate(design, { until: "1000 s", repeats: false, limits: { steps: 50 } });
    expect([done.status, done.code]).toEqual(["stopped", "steps"]);
    expect(done.trace("ramp").to).toBe(done.reached);
  });
  it("a run of ages, with the limit that it is beyond", () => {
    expect(told(() => simulate(design, { until: "1e12 s" }))).toBe("bad-option until");
    try {
      simulate(design, { until: "1000 s", repeats: false });
      expect.unreachable();
    } catch (error) {
      const [d] = (error as DesignError).diagnostics;
      expect(d.message).toContain("'gate' turns some");
      expect(d.hint).toContain("limits.steps");
    }
  });
  it("a quiet run of ages is one leap", () => {
    const quiet = simulate(
      compile("signal s = sine 0 V to 1 V, at 1 kHz\nresistor r s -> x 1 kohm\ncapacitor c x -> ground 1 uF"),
      {
        until: "1e5 s",
      },
    );
    expect(quiet.status).toBe("complete");
  });
  it.each([
    [9, "bad-option until"],
    [10, "taken"],
    [11, "taken"],
  ])("ten periods that checks count by, where %i are allowed", (periods, expected) => {
    expect(told(() => simulate(design, { until: "640 us", limits: { periods } }))).toBe(expected);
  });
  it("periods that somebody asks for later", () => {
    const few = simulate(compile(nestbox.replaceAll(/ each gate/g, "")), {
      until: "640 us",
      limits: { periods: 9 },
    });
    expect(told(() => few.periods("gate"))).toBe("bad-option limits.periods");
  });
  it("a budget of time counts what is done before the first step", () => {
    const none = simulate(design, { until: "60 ms", start: "settled", limits: { seconds: 1e-9 } });
    expect(none.status).toBe("stopped");
  });
});
