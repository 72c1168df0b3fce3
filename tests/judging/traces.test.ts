// What is drawn for a check is no more than its measure looks at, and enough of it: an RC charged and discharged by a square
// wave, whose every level is a closed form, v = V (1 − e^(−t/RC)) from the last edge on (Millman & Taub, "Pulse, Digital, and
// Switching Waveforms", 1965, ch. 2).
import { describe, expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { CheckView } from "../../src/judging/checkview.js";
import { tracesOf } from "../../src/judging/traces.js";

const [tau, half, high] = [40e-6, 50e-6, 5];
/** After many periods the square wave from 0 V to 5 V takes the capacitor from its foot to its crest and back. */
const crest = high / (1 + Math.exp(-half / tau));
const foot = high - crest;
const rising = (t: number) => high + (foot - high) * Math.exp(-t / tau);
const falling = (t: number) => crest * Math.exp(-t / tau);

const circuit = `
signal in = pulse 0 V to 5 V, wide 50 us, every 100 us, first 0 s
resistor r in -> out 1 kohm
capacitor c out -> ground 40 nF
run for 10 ms, from settled
`;

/** What a check measures, how many samples are drawn for it, and how many the same stretch has drawn through. */
function seen(check: string, beside = ""): { measured: number; samples: number; whole: number } {
  const run = simulate(compile(`${circuit}check "it" ${check}\n${beside}`));
  const [found] = verify(run);
  // Of what repeats the first times are drawn alone.
  const trace = tracesOf(
    run,
    run.design.checks.map((check) => new CheckView(run, check)),
  )("out", 60e-6, 90e-6);
  const whole = run.stretch(["out"], trace.from, trace.to)[0].time.length;
  return { measured: found.measured, samples: trace.time.length, whole };
}

describe("what is drawn for a check", () => {
  it.each<[string, number]>([
    // From 10 µs after each edge upwards to 40 µs after it.
    ["sag of out each in from 10 us to 40 us between -5 V and 5 V", rising(10e-6) - rising(40e-6)],
    ["sag of out each in from 60 us to 90 us between -5 V and 5 V", falling(10e-6) - falling(40e-6)],
    [
      "tilt of out each in from 60 us to 90 us below 1",
      (falling(10e-6) - falling(40e-6)) / ((falling(10e-6) + falling(40e-6)) / 2),
    ],
    ["sag of out each in below 1 V", 0],
    ["value of out at 20 us each in below 5 V", rising(20e-6)],
    ["sag of out before 40 us after 10 us below 5 V", rising(10e-6) - rising(40e-6)],
  ])("are instants where it looks at no more: %s", (check, exact) => {
    const { measured, samples, whole } = seen(check);
    expect(Math.abs(measured - exact)).toBeLessThan(1e-6 * high);
    expect(samples).toBeGreaterThan(0);
    expect(samples).toBeLessThan(whole);
  });

  it.each<[string, number]>([
    ["peak of out each in from 10 us to 20 us below 5 V", rising(20e-6)],
    ["floor of out each in from 55 us to 65 us below 5 V", falling(15e-6)],
    ["swing of out each in from 40 us to 60 us below 5 V", crest - Math.min(rising(40e-6), falling(10e-6))],
    // ∫ over the window, by the closed form.
    [
      "mean of out each in from 10 us to 20 us below 5 V",
      high - (tau * (high - foot) * (Math.exp(-10e-6 / tau) - Math.exp(-20e-6 / tau))) / 10e-6,
    ],
  ])("are parts of the periods where it looks at these: %s", (check, exact) => {
    const { measured, samples, whole } = seen(check);
    expect(Math.abs(measured - exact)).toBeLessThan(1e-6 * high);
    expect(samples).toBeLessThan(whole);
  });

  it("is all of it where something looks throughout, and the same is measured", () => {
    const check = "sag of out each in from 10 us to 40 us between -5 V and 5 V";
    const alone = seen(check);
    const beside = seen(check, 'check "all" peak of out below 5 V');
    // Some ticks more at each end are no sample.
    expect(Math.abs(beside.samples - beside.whole)).toBeLessThanOrEqual(2);
    expect(Math.abs(alone.measured - beside.measured)).toBeLessThan(1e-6 * high);
  });

  it("reaches windows that the run does not: they have no value", () => {
    const { measured } = seen("value of out at 99 us each in after 9.95 ms below 5 V");
    expect(measured).toBeNaN();
  });
});
