// Runs that are watched: limits on steps, bytes and time, an abort signal, progress. Whatever stops a run, what was
// computed is kept and flagged. Every period is computed, or there would be nothing to wait for.
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
    const run = simulate(design, { until: "1 s", repeats: false, limits: { bytes: 200_000 } });
    expect(run).toMatchObject({ status: "stopped", code: "recording" });
    expect(run.trace("ramp").time.length).toBeGreaterThan(1000);
    expect(run.reached).toBeGreaterThan(0.1);
  });
  it("by the limit on time", () => {
    // Without the limit the run would take hours, and the test its time-out.
    const run = simulate(design, {
      until: "1000 s",
      repeats: false,
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
      repeats: false,
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
    expect(seen[0]).toBeLessThan(seen[2]);
  });
  it("by a signal that was raised before", () => {
    const run = simulate(design, { until: "1 s", repeats: false, signal: AbortSignal.abort() });
    expect(run).toMatchObject({ status: "stopped", code: "cancelled" });
  });
});

describe("progress", () => {
  it("is told ten times a second at most", () => {
    const at: number[] = [];
    const began = performance.now();
    simulate(design, {
      until: "1000 s",
      repeats: false,
      limits: { seconds: 0.55, steps: 1e12 },
      record: { from: "999 s" },
      progress: () => at.push(performance.now()),
    });
    expect(at.length).toBeGreaterThan(0);
    // However late each of them comes through.
    expect(at.length).toBeLessThanOrEqual((at.at(-1)! - began) / 100 + 1);
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
    expect(t[0]).toBeGreaterThanOrEqual(2e-3);
    expect(t[t.length - 1]).toBeLessThanOrEqual(3e-3);
    const ramp = whole.trace("ramp");
    // Where both have a sample it has the same bits; the ends of the part lie between samples of the whole.
    const known = new Map([...ramp.time].map((time, i) => [time, ramp.value[i]]));
    const shared = [...t].filter((time) => known.has(time));
    expect(shared.length).toBeGreaterThan(30);
    const swing = 4;
    part.trace("ramp").value.forEach((v, i) => {
      const time = t[i];
      if (known.has(time)) expect(v).toBe(known.get(time));
      else expect(Math.abs(v - ramp.at(time))).toBeLessThan(1e-6 * swing);
    });
    expect([t[0], t[t.length - 1]]).toEqual([2e-3, 3e-3]);
    const streamed: [number, number][] = [];
    simulate(design, {
      until: "5 ms",
      stream: {
        traces: ["ramp"],
        size: 100,
        block: ({ time, values }) => {
          for (let i = 0; i < time.length; i++) streamed.push([time[i], values[0][i]]);
        },
      },
    });
    // A stream does not know the swing beforehand, so it may hand on more instants than a trace needs.
    const seen = new Map(streamed);
    let alike = 0;
    ramp.time.forEach((time, i) => {
      if (!seen.has(time)) return;
      alike++;
      expect(seen.get(time)).toBe(ramp.value[i]);
    });
    expect(alike).toBeGreaterThan(150);
    for (const [time, value] of streamed) expect(Math.abs(value - ramp.at(time))).toBeLessThan(1e-6 * swing);
    expect(streamed[streamed.length - 1]).toEqual([5e-3, ramp.value[ramp.value.length - 1]]);
  });
});

describe("what is sure to be beyond the room for samples", () => {
  // 13 bytes for a sample and 8 for its one state: 5e7 of them take 1.05e9, more than 1e9.
  it("is refused before the run, by its steps or by the corners of its signals", () => {
    expect(() => simulate(design, { until: "50 s", step: "1 us" })).toThrow(
      /5\.0e\+7 samples would be kept, which take 1\.1 GB/,
    );
    expect(() => simulate(design, { until: "800 s", repeats: false, limits: { steps: 1e12 } })).toThrow(
      /samples would be kept, which take .* GB/,
    );
  });
  it("not where little of it is recorded, or where a room is given to be filled", () => {
    const part = simulate(design, {
      until: "50 s",
      step: "1 us",
      record: { from: "49.999 s" },
      limits: { seconds: 0.01 },
    });
    expect(part.code).toBe("time");
    expect(simulate(design, { until: "50 s", step: "1 us", limits: { bytes: 1e5 } }).code).toBe("recording");
  });
});
