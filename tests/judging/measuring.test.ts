// Measuring by phrase, against closed forms: a capacitor on a current rises by I t / C, and a switch empties it each period;
// a sine's mean square is half the square of its height.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, measure, simulate, verify } from "../../src/index.js";
import { off } from "../facts/running.js";
import { emptied } from "./emptied.js";

// 1 mA into 10 nF for 50 us: 5 V, from 0 V; the switch is ideal and closed for 10 us at the start of each period of 60 us.
const text = `${emptied}signal tone = sine -1 V to 1 V, at 1 kHz
resistor load tone -> ground 1 kohm
check "fills" peak of ramp each gate below 6 V
run for 6 ms
case "fast" feed is 2 mA`;
const design = compile(text);
const run = simulate(design);

describe("measure", () => {
  it.each<[string, number, string, string, number]>([
    ["peak of ramp before 60 us", 5, "V", "5 V", 60e-6],
    ["value of ramp at 35 us", 2.5, "V", "2.5 V", 35e-6],
    ["peak of tone from 0 s to 1 ms", 1, "V", "1 V", 0.25e-3],
    ["floor of tone from 0 s to 1 ms", -1, "V", "-1 V", 0.75e-3],
    ["rms of tone from 1 ms to 3 ms", Math.SQRT1_2, "V", "707.1 mV", 1e-3],
    ["peak current of load from 1 ms to 1.6 ms", 1e-3, "A", "1 mA", 1.25e-3],
    ["crossing of tone falling through 0 V after 0.1 ms", 0.4e-3, "s", "400 µs", 0.5e-3],
  ])("%s", (phrase, value, unit, words, instant) => {
    const found = measure(run, phrase);
    expect(off(found.value, value)).toBeLessThan(1e-6);
    expect([found.unit, found.text]).toEqual([unit, words]);
    expect(Math.abs(found.instant - instant)).toBeLessThan(1e-7);
    expect([found.periods, found.reason]).toEqual([undefined, undefined]);
  });

  it("of each period all of them, though the run repeats itself", () => {
    const found = measure(run, "peak of ramp each gate");
    expect(found.periods).toHaveLength(verify(run)[0].periods!);
    expect(found.periods!.length).toBe(100);
    for (const [i, { begin, value, instant }] of found.periods!.entries()) {
      // The gate rises at every 60 us, the first time at 0 s; through half of its swing at once.
      expect(Math.abs(begin - i * 60e-6)).toBeLessThan(1e-15);
      expect(off(value, 5)).toBeLessThan(1e-9);
      expect(off(instant - begin, 60e-6)).toBeLessThan(1e-6);
    }
    expect(found.value).toBe(Math.max(...found.periods!.map((p) => p.value)));
  });

  it("the same of every period, repeated or computed", () => {
    const computed = simulate(design, { repeats: false });
    for (const phrase of ["peak of ramp each gate", "mean of ramp each gate from 20 us to 40 us"])
      expect(measure(run, phrase).periods!.map((p) => p.value)).toEqual(
        measure(computed, phrase).periods!.map((p) => p.value),
      );
  });

  it("the case that was run, with values of the text in the phrase", () => {
    const fast = simulate(design, { case: "fast" });
    expect(off(measure(fast, "peak of ramp before 60 us").value, 10)).toBeLessThan(1e-9);
    const named = simulate(compile(`${text}\ngiven late = 35 us`));
    expect(off(measure(named, "value of ramp at late").value, 2.5)).toBeLessThan(1e-9);
  });

  it("what does not occur has no value, but a reason", () => {
    const found = measure(run, "crossing of ramp rising through 9 V");
    expect([found.value, found.reason]).toEqual([Number.NaN, "it does not occur in the span"]);
    expect(measure(run, "peak of ramp each gate after 5.99 ms")).toMatchObject({
      periods: [],
      reason: "no whole period of gate lies in the span",
    });
  });

  it.each<[string, string, number]>([
    ["peek of ramp", "unknown-measure", 1],
    ["peak of rampe", "unknown-place", 9],
    ["peak of ramp each gat", "unknown-place", 19],
    ["peak ramp", "unexpected-end", 10],
    ["peak of ramp below 4 V", "unexpected-word", 14],
    ["peak of ramp at 1 V", "wrong-dimension", 17],
    ["peak of ramp from 2 us to 1 us", "empty-span", 1],
    ["value of ramp", "missing-property", 10],
    ["value of ramp at at 1 us", "unexpected-word", 21],
    ["", "unexpected-end", 1],
    ["peak of ramp\n floor of ramp", "unexpected-word", 2],
    ['peak of "ramp', "unclosed-text", 9],
  ])("%s is refused with its place", (phrase, code, column) => {
    let found: DesignError | undefined;
    try {
      measure(run, phrase);
    } catch (error) {
      found = error as DesignError;
    }
    expect(found?.diagnostics[0]).toMatchObject({ code, span: { column } });
  });
});
