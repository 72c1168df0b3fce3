// Runs of very many turns of a sine, against closed forms: a low-pass (Horowitz & Hill, The Art of Electronics, 3rd ed., 1.7; the way
// in from rest is elementary), and a rectifier against a short run of its own.
import { describe, expect, it, vi } from "vitest";
import { type Fraction, ratio } from "../../src/base/fraction.js";
import { compile, type DesignError, measure, Run, simulate, verify } from "../../src/index.js";
import { manyBeats, mostRests, mostTurns, restsEvery } from "../../src/signals/sinebeat.js";
import { refuseBeyondLimits } from "../../src/simulation/foresight.js";
import { mostSteps } from "../../src/simulation/options.js";
import { off } from "../facts/running.js";

const [R, C, w] = [1e3, 100e-9, 2 * Math.PI * 1e3];
const low = `signal tone = sine -1 V to 1 V, at 1 kHz
resistor series tone -> out 1 kohm
capacitor shunt out -> ground 100 nF
check "top" peak of out below 2 V`;

/** v(t) from rest: the steady part, and what fades with RC. */
const form = (t: number) => {
  const [gain, lag] = [1 / Math.hypot(1, w * R * C), Math.atan(w * R * C)];
  return gain * (Math.sin(w * t - lag) + Math.sin(lag) * Math.exp(-t / (R * C)));
};
/** Its first crest. */
const crest = () => Math.max(...Array.from({ length: 100_000 }, (_, k) => form(k * 1e-8)));

describe.each([
  ["200 s", 200],
  ["10000 s", 10_000],
])("a low-pass driven by 1 kHz for %s", (until, seconds) => {
  const run = simulate(compile(low), { until });
  it("is not kept turn by turn", () => {
    expect(run.status).toBe("complete");
    expect(seconds * 1e3).toBeGreaterThan(manyBeats);
    expect(run.recording.repetitions.length).toBeGreaterThan(0);
  });
  it("reads as its closed form", () => {
    expect(off(verify(run)[0].measured, crest())).toBeLessThan(1e-6);
    const gain = 1 / Math.hypot(1, w * R * C);
    expect(off(measure(run, "rms of out").value, gain / Math.SQRT2)).toBeLessThan(1e-6);
    for (const t of [0.1e-3, 77.000_25, seconds - 0.000_31])
      expect(Math.abs(measure(run, `value of out at ${t * 1e6} us`).value - form(t))).toBeLessThan(2e-6);
    expect(measure(run, "pulses of out rising through 0.5 V").value).toBe(seconds * 1e3);
  });
});

it("a rectifier over 200 000 turns shows what it shows over 100", () => {
  const text = `signal mains = sine -17 V to 17 V, at 50 Hz
resistor source mains -> b 0.8 ohm
diode d b -> bulk drop 0.7 V
capacitor store bulk -> ground 1000 uF
resistor load bulk -> ground 47 ohm`;
  const [short, long] = ["2 s", "4000 s"].map((until) => simulate(compile(text), { until }));
  expect(long.recording.repetitions.length).toBeGreaterThan(0);
  for (const words of ["peak", "floor", "mean"])
    expect(
      off(
        measure(long, `${words} of bulk after 1 s`).value,
        measure(short, `${words} of bulk after 1 s`).value,
      ),
    ).toBeLessThan(1e-6);
});

it("a switch that closes far on, and a sine that stops, are met on their instants", () => {
  const run = simulate(
    compile(`${low}
switch halves out -> ground closed from 300.00025 s to 400 s, on 1 kohm
case "stops" tone stops at 500 s
check "quiet" peak of out after 501 s below 1 V`),
    { until: "1000 s" },
  );
  // Half the voltage behind half the resistance.
  const half = 0.5 / Math.hypot(1, (w * R * C) / 2);
  expect(off(measure(run, "peak of out from 350 s to 380 s").value, half)).toBeLessThan(1e-6);
  expect(off(measure(run, "value of out at 300.00025 s").value, form(300.00025))).toBeLessThan(1e-5);
  expect(run.events.some(({ time }) => Math.abs(time - 300.00025) < 1e-9)).toBe(true);
  const stopped = simulate(run.design, { case: "stops", until: "1000 s" });
  expect(Math.abs(verify(stopped)[0].measured)).toBeLessThan(1e-6);
});

it.each([
  [manyBeats - 1, 0],
  [manyBeats, 1],
  [manyBeats + 1, 1],
  [mostRests, 1],
  [mostRests + 1, 2],
  [2 * mostRests, 2],
])("a run of %i beats rests after every %i", (beats, every) => {
  expect(restsEvery(beats)).toBe(every);
});

const two = `signal a = sine -1 V to 1 V, at 1 kHz
signal b = sine -1 V to 1 V, at 1.0000001 kHz
resistor r a -> out 1 kohm
resistor s b -> out 1 kohm`;

describe("a run without hope", () => {
  it.each([
    [-1, "taken"],
    [0, "taken"],
    [1, "bad-option"],
  ])("is one of %i turns beyond the most that are looked into", (beyond, expected) => {
    const design = compile(low);
    const turns = mostSteps;
    const refused = (until: Fraction, text = design) => {
      try {
        refuseBeyondLimits(
          { design: text, until, untilAsked: true, steps: undefined, turns, periods: 1e7 },
          true,
        );
        return "taken";
      } catch (error) {
        return (error as DesignError).diagnostics[0].code;
      }
    };
    expect(refused(ratio(mostRests * mostTurns + beyond, 1000n))).toBe(expected);
    const apart = compile(
      `${two}\nresistor load out -> ground 1 kohm`.replace("1.0000001", "1.0000000000001"),
    );
    // The quicker sine has 1e-13 more of them.
    expect(refused(ratio(turns + beyond - Number(beyond === 0), 1000n), apart)).toBe(expected);
  });

  it.each([low, two])("is refused before it begins, whether or not its beats recur", (text) => {
    const codes = () => {
      try {
        simulate(compile(text), { until: "1e12 s" });
        return [];
      } catch (error) {
        return (error as DesignError).diagnostics.map(({ code, message }) => `${code}: ${message}`);
      }
    };
    expect(codes()).toEqual([expect.stringMatching(/^bad-option: until: '\w+' turns some 1\.0e\+15 times/)]);
  });
  it("goes as far as a budget", () => {
    const run = simulate(compile(low), { until: "1e12 s", limits: { steps: 1000 } });
    expect([run.status, run.code]).toEqual(["stopped", "steps"]);
    expect(run.reached).toBeGreaterThan(1e8);
  });
});

describe("a run that was stopped on the way", () => {
  const stopped = (more: string) =>
    simulate(compile(`${low}\n${more}`), { until: "10000 s", limits: { steps: 1e5 } });

  it("of what it has not reached nothing is drawn", () => {
    const run = stopped('check "each" peak of out each tone below 2 V');
    const drawn = (["draw", "stretch", "outermost", "patches", "trace"] as const).map((name) =>
      vi.spyOn(Run.prototype, name),
    );
    try {
      expect(verify(run).map(({ reason }) => reason)).toEqual([run.reason, run.reason]);
      expect(measure(run, "mean of out").reason).toBe(run.reason);
      expect(measure(run, "value of out at 9999 s").reason).toBe(run.reason);
      expect(drawn.flatMap(({ mock }) => mock.calls)).toEqual([]);
    } finally {
      for (const spy of drawn) spy.mockRestore();
    }
  });

  it("gives what lies before", () => {
    const run = stopped('check "early" peak of out before 1500 s below 2 V');
    expect(off(verify(run)[1].measured, crest())).toBeLessThan(1e-6);
  });
});
