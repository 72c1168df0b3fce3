// Runs that are watched: limits on steps, bytes and time, an abort signal, progress. Whatever stops a run, what was
// computed is kept and flagged.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const design = compile(`
  signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
  current feed ground -> ramp 1 mA
  capacitor hold ramp -> ground 15 nF
  switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm`);

describe("a run that is stopped keeps what it has", () => {
  it("by the limit on steps", () => {
    const run = simulate(design, { until: "1 s", limits: { steps: 5000 } });
    expect(run).toMatchObject({ status: "stopped", code: "steps" });
    expect(run.statistics.steps).toBe(5000);
    expect(run.reached).toBeGreaterThan(1e-3);
    expect(run.trace("ramp").to).toBe(run.reached);
  });
  it("by the limit on bytes", () => {
    const run = simulate(design, { until: "1 s", limits: { bytes: 200_000 } });
    expect(run).toMatchObject({ status: "stopped", code: "recording" });
    expect(run.trace("ramp").time.length).toBeGreaterThan(1000);
  });
  it("by the limit on time", () => {
    // Without the limit the run would take hours, and the test its time-out.
    const run = simulate(design, {
      until: "1000 s",
      limits: { seconds: 0.2, steps: 1e12 },
      record: { from: "999 s" },
    });
    expect(run).toMatchObject({ status: "stopped", code: "time" });
    expect(run.reached).toBeGreaterThan(0);
  });
  it("by an abort signal, raised from the progress callback", () => {
    const abort = new AbortController();
    const seen: number[] = [];
    const run = simulate(design, {
      until: "1000 s",
      limits: { steps: 1e12 },
      record: { from: "999 s" },
      signal: abort.signal,
      progress({ time, until, steps }) {
        seen.push(time);
        expect(until).toBe(1000);
        expect(steps).toBeGreaterThan(0);
        if (seen.length === 3) abort.abort();
      },
    });
    expect(run).toMatchObject({ status: "stopped", code: "cancelled" });
    expect(seen.length).toBe(3);
    expect(seen[0]!).toBeLessThan(seen[2]!);
  });
  it("by a signal that was raised before", () => {
    const run = simulate(design, { until: "1 s", signal: AbortSignal.abort() });
    expect(run).toMatchObject({ status: "stopped", code: "cancelled" });
  });
});

describe("progress", () => {
  it("is told ten times a second at most", () => {
    const at: number[] = [];
    simulate(design, {
      until: "1000 s",
      limits: { seconds: 0.55, steps: 1e12 },
      record: { from: "999 s" },
      progress: () => at.push(performance.now()),
    });
    expect(at.length).toBeGreaterThan(0);
    for (let i = 1; i < at.length; i++) expect(at[i]! - at[i - 1]!).toBeGreaterThan(99);
  });
});

describe("the same bits whether watched or not", () => {
  it("recorded, recorded in part, and streamed", () => {
    const whole = simulate(design, { until: "5 ms" });
    const part = simulate(design, {
      until: "5 ms",
      record: { from: "2 ms", to: "3 ms" },
      progress: () => {},
    });
    const t = part.trace("ramp").time;
    expect(t[0]!).toBeGreaterThanOrEqual(2e-3);
    expect(t[t.length - 1]!).toBeLessThanOrEqual(3e-3);
    const ramp = whole.trace("ramp");
    const from = ramp.time.indexOf(t[0]!);
    expect(part.trace("ramp").value).toEqual(ramp.value.slice(from, from + t.length));
    const streamed: number[] = [];
    simulate(design, {
      until: "5 ms",
      stream: { traces: ["ramp"], size: 100, block: ({ values }) => streamed.push(...values[0]!) },
    });
    // The stream has both sides of every edge; the trace keeps one where nothing jumps.
    expect(streamed.length).toBeGreaterThanOrEqual(ramp.value.length);
    expect(streamed[streamed.length - 1]).toBe(ramp.value[ramp.value.length - 1]);
    expect(new Set(ramp.value)).toEqual(new Set(streamed));
  });
});
