// What repeats is computed once. The proof is the run itself: with `repeats: false` every period is marched, and whatever a
// run says must be the same to the last bit, samples, traces, checks, losses, counts and blocks of a stream. That these
// circuits do what they should is proved elsewhere, on runs of which nothing repeats yet; here a ramp is held to its closed
// form (Millman & Taub 1965) a long way out.
import { describe, expect, it } from "vitest";
import { compile, type SimulateOptions, simulate, verify, verifyAll } from "../../src/index.js";
import { tries } from "../counts.js";
import { difference, returning, said, shown, streamed } from "../verify/returning.js";

const sweep = `
  supply plus5 = 5 V
  signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us, edges 200 ns
  current feed ground -> ramp 1 mA
  capacitor hold ramp -> ground 15 nF
  switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
  diode guard ramp -> plus5 drop 0.6 V, on 10 ohm`;
// Two halvings of a line: it comes back after four.
const divided = `${sweep}
  resistor see gate -> turn 1 kohm
  capacitor near turn -> ground 1 pF
  bistable half turn -> odd
  bistable quarter odd -> fourth
  resistor pull fourth -> ramp 100 kohm`;

/** A run, and the one in which everything is computed. */
function both(text: string, options: SimulateOptions) {
  const design = compile(text);
  return [simulate(design, options), simulate(design, { ...options, repeats: false })] as const;
}

/** How many samples are kept of those that a run has. */
const kept = (run: ReturnType<typeof simulate>) => run.recording.kept / run.recording.count;

const circuits = tries(100, 20);

describe("a run that repeats", () => {
  it(`${circuits} random circuits: the same to the last bit, streamed too`, { timeout: 600_000 }, () => {
    const wrong: number[] = [];
    let repeating = 0;
    for (let seed = 1; seed <= circuits; seed++) {
      const text = returning(seed);
      const options = { until: "1.6 ms" };
      const [once, all] = both(text, options);
      if (kept(once) < 0.9) repeating++;
      const flow = (repeats: boolean) =>
        streamed(text, { ...options, repeats }, ["a", "share.current"], 100 + seed);
      try {
        expect(kept(all)).toBe(1);
        expect(difference(said(once, shown), said(all, shown))).toBeUndefined();
        expect(difference(flow(true), flow(false))).toBeUndefined();
      } catch {
        wrong.push(seed);
      }
    }
    expect(wrong).toEqual([]);
    // Some ring too long, or carry noise.
    expect(repeating).toBeGreaterThan(circuits / 3);
  });

  it("keeps a few periods of a run of many", () => {
    const [once, all] = both(sweep, { until: "64 ms" });
    expect(once.recording.count).toBe(all.recording.count);
    expect(once.recording.kept).toBeLessThan(100);
    expect(
      difference(
        said(once, ["ramp", "feed.current", "reset.power"]),
        said(all, ["ramp", "feed.current", "reset.power"]),
      ),
    ).toBeUndefined();
  });

  it("a million periods on the ramp follows its closed form, in the memory of a few", () => {
    const run = simulate(compile(sweep), { until: 64 });
    expect(run.recording.kept).toBeLessThan(100);
    expect(run.statistics.steps).toBeGreaterThanOrEqual(2e6);
    // 1 mA into 15 nF from the instant at which the gate falls through half: volts rise by I t / C, and at that instant
    // the switch holds what 1 mA makes of 5 ohm.
    const [ramp] = run.stretch(["ramp"], 63.99, 64);
    for (const period of [999_900, 999_950, 999_998]) {
      const opens = period * 64e-6 + 4.7e-6;
      for (const t of [10e-6, 40e-6, 55e-6]) {
        const exact = 1e-3 * 5 + (1e-3 * t) / 15e-9;
        expect(Math.abs(ramp.at(opens + t) / exact - 1)).toBeLessThan(1e-9);
      }
    }
  });

  it("one that comes back after four periods is found too", () => {
    const [once, all] = both(divided, { until: "32 ms" });
    const { ticks } = once.recording.repetitions[0];
    expect(ticks * once.assembly.clock.seconds).toBeCloseTo(4 * 64e-6, 12);
    expect(kept(once)).toBeLessThan(0.1);
    expect(
      difference(said(once, ["ramp", "odd", "fourth"]), said(all, ["ramp", "odd", "fourth"])),
    ).toBeUndefined();
  });

  it("nothing is taken to repeat across a change of a signal, nor where noise comes in", () => {
    const cut = sweep.replace("edges 200 ns", "edges 200 ns, stops 20.011 ms");
    const [once, all] = both(cut, { until: "40 ms" });
    expect(kept(once)).toBeLessThan(0.2);
    expect(difference(said(once, ["ramp"]), said(all, ["ramp"]))).toBeUndefined();
    // Unplugged it climbs to the guard: 5 V and 0.6 V and 1 mA times 10 ohm.
    expect(once.trace("ramp").at(0.04)).toBeCloseTo(5.61, 9);
    const noisy = `${sweep}\nsignal hiss = noise 5 mV, spacing 1 us, every 100 ms, seed 3\nresistor in hiss -> ramp 1 Mohm`;
    expect(kept(simulate(compile(noisy), { until: "20 ms" }))).toBe(1);
  });

  it("charge that is shared in every period is lost in every period", () => {
    const text = `
      supply plus5 = 5 V
      signal gate = pulse 0 V to 5 V, wide 10 us, every 50 us
      resistor fill plus5 -> a 100 ohm
      capacitor ca a -> ground 1 nF
      capacitor cb b -> ground 1 nF
      resistor drain b -> ground 100 ohm
      switch share a -> b closed while gate above 2.5 V, on 0 ohm`;
    const [once, all] = both(text, { until: "10 ms" });
    expect(once.recording.kept).toBeLessThan(100);
    expect(once.losses.length).toBe(200);
    expect(once.losses).toEqual(all.losses);
    // Half of what both would hold apart and together: C V²/4 with both of one size.
    for (const { energy } of once.losses) expect(energy).toBeCloseTo((1e-9 * 25) / 4, 15);
    expect(once.trace("share.current").impulses).toEqual(all.trace("share.current").impulses);
  });

  it("a part of it, recorded", () => {
    for (const record of [
      { from: "10.001 ms" },
      { to: "10.001 ms" },
      { from: "5 ms", to: "5.05 ms" },
      { from: "3.0 ms", to: "25.6 ms" },
    ]) {
      const [once, all] = both(sweep, { until: "32 ms", record });
      expect(
        difference(said(once, ["ramp", "reset.current"]), said(all, ["ramp", "reset.current"])),
      ).toBeUndefined();
    }
    const late = simulate(compile(sweep), {
      until: 1000,
      limits: { steps: 1e12 },
      record: { from: "999.999 s" },
    });
    expect(late.status).toBe("complete");
    expect(late.trace("ramp").from).toBeCloseTo(999.999, 9);
    expect(late.recording.kept).toBeLessThan(100);
  });

  it("ends at the limit on steps where it would end without, streamed or not", () => {
    for (const steps of [7, 100, 1001, 1024]) {
      const options = { until: "64 ms", limits: { steps } };
      const [once, all] = both(sweep, options);
      expect(once).toMatchObject({ status: "stopped", code: "steps" });
      expect(difference(said(once, ["ramp"]), said(all, ["ramp"]))).toBeUndefined();
      const flow = (repeats: boolean) => streamed(sweep, { ...options, repeats }, ["ramp"], 50);
      expect(difference(flow(true), flow(false))).toBeUndefined();
    }
  });

  it("a stream that is aborted ends after the same block", () => {
    const ends = [true, false].map((repeats) => {
      const abort = new AbortController();
      let seen = 0;
      const block = () => {
        if (++seen === 30) abort.abort();
      };
      const run = simulate(compile(sweep), {
        until: 1,
        repeats,
        signal: abort.signal,
        stream: { traces: ["ramp"], size: 100, block },
      });
      return [run.status, run.code, run.reached, run.statistics.steps, run.statistics.events, seen];
    });
    expect(ends[0]).toEqual(ends[1]);
    expect(ends[0].slice(0, 2)).toEqual(["stopped", "cancelled"]);
  });

  it("a check of each period counts them all, and says the same", () => {
    const checks = `${sweep}
      check "high" peak of ramp each gate below 4 V
      check "low" floor of ramp each gate from 5 us to 60 us below 20 mV
      check "late" value of ramp at 70 us each gate after 3.33 ms before 50 ms below 4 V
      check "back" reset time of ramp each gate after 1 ms below 1 us
      check "whole" peak of ramp below 4 V
      case "unplugged" gate stops at 30 ms
      check "still counts" peak of ramp each gate below 6 V`;
    const [once, all] = both(checks, { until: "64 ms" });
    const results = verifyAll(once.design, { simulate: { until: "64 ms" } });
    expect(results).toEqual(verifyAll(all.design, { simulate: { until: "64 ms", repeats: false } }));
    const periods = Object.fromEntries(results.map((r) => [r.name, r.periods]));
    expect(periods).toMatchObject({ high: 1000, low: 1000, late: 728, back: 984, "still counts": 468 });
  });

  it("every window that is left out measures what the one that stands for it does", () => {
    const checks = `${sweep}\ncheck "high" peak of ramp each gate below 4 V`;
    const run = simulate(compile(checks), { until: "6.4 ms", repeats: false });
    const [result] = verify(run);
    const ramp = run.trace("ramp");
    for (let k = 2; k < 99; k++) {
      const part = ramp.between(k * 64e-6, (k + 1) * 64e-6);
      expect(Math.abs(Math.max(...part.value) / result.measured - 1)).toBeLessThan(1e-9);
    }
  });
});

it("one bit of one sample is a difference, and so is one more", () => {
  const run = (amperes: string) =>
    said(simulate(compile(sweep.replace("1 mA", amperes)), { until: "1 ms" }), ["ramp"]);
  expect(difference(run("1 mA"), run("1 mA"))).toBeUndefined();
  const [a, b] = [new Float64Array([1, 2, 3]), new Float64Array([1, 2 + 2 ** -51, 3])];
  expect(difference({ x: [a] }, { x: [b] })).toBe("it.x.0");
  expect(difference([0], [-0])).toBe("it.0");
  expect(difference({ x: a }, { x: a.subarray(1) })).toBe("it.x");
  expect(difference({ x: 1 }, { x: 1, y: 2 })).toBe("it");
  expect(difference(run("1 mA"), run("1.0000000001 mA"))).toMatch(/it\.samples/);
});

describe("the option", () => {
  it("is a word of yes or no", () => {
    const wrong = () => simulate(compile(sweep), { repeats: "never" as unknown as boolean });
    expect(wrong).toThrow(/repeats/);
  });
});
