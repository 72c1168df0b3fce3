// A run that leaves time to others: the same bits as the synchronous one, and heard when it is to stop. Nothing is judged by
// the clock: what is counted is how often others had their turn.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it, vi } from "vitest";
import { atOnce } from "../../src/base/slices.js";
import { System } from "../../src/equations/system.js";
import { compile, type DesignError, type Run, simulate, simulateAsync } from "../../src/index.js";
import { marching } from "../../src/simulation/simulate.js";
import { root } from "../command/running.js";

const sweep = `
signal gate = pulse 0 V to 5 V, wide 4 us, every 64 us
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
diode guard ramp -> rail drop 0.6 V, on 10 ohm`;

const { combination } = System.prototype;

const bytes = (run: Run, name: string) => {
  const { time, value } = run.trace(name);
  return [time, value].map((a) => Buffer.from(a.buffer, a.byteOffset, a.byteLength).toString("base64"));
};

describe("simulateAsync", () => {
  it.each<[string, string, string, Parameters<typeof simulate>[1]]>([
    ["leaps", sweep, "ramp", { until: "40 ms", repeats: false }],
    ["what repeats", sweep, "ramp", { until: "40 ms" }],
    ["a settled start", sweep, "ramp", { until: "20 ms", start: "settled", repeats: false }],
    ["fixed steps", sweep, "ramp", { until: "5 ms", step: "100 ns" }],
    ["steps by their error", sweep, "ramp", { until: "10 ms", method: "tr-bdf2" }],
  ])("gives the same bits: %s", async (_, text, name, options) => {
    const design = compile(text);
    const whole = simulate(design, options);
    const parts = await simulateAsync(design, options);
    expect(bytes(parts, name)).toEqual(bytes(whole, name));
    expect([parts.status, parts.statistics, parts.events.length]).toEqual([
      whole.status,
      whole.statistics,
      whole.events.length,
    ]);
  });

  it("lets others have their turn, and ends when it is aborted; what was computed is kept", async () => {
    const design = compile(sweep);
    const stop = new AbortController();
    let turns = 0;
    const others = setInterval(() => {
      if (++turns === 3) stop.abort();
    }, 1);
    const run = await simulateAsync(design, {
      until: "1000 s",
      repeats: false,
      signal: stop.signal,
      limits: { steps: 1e9, bytes: 4e9, periods: 2e7 },
    });
    clearInterval(others);
    expect([run.status, run.code]).toEqual(["stopped", "cancelled"]);
    expect(turns).toBeGreaterThanOrEqual(3);
    expect(run.reached).toBeGreaterThan(0);
    expect(run.reached).toBeLessThan(1000);
    expect(run.trace("ramp").to).toBeLessThanOrEqual(run.reached);
  });

  it("is heard while the settled start is sought", async () => {
    const stop = new AbortController();
    setTimeout(() => stop.abort(), 0);
    const design = compile(
      sweep.replace(
        "every 64 us",
        "every 64 us\nsignal slow = pulse 0 V to 1 V, wide 1 s, every 6.4 s\nresistor r slow -> x 1 kohm\ncapacitor c x -> ground 1 uF",
      ),
    );
    const run = await simulateAsync(design, { until: "6.4 s", start: "settled", signal: stop.signal });
    expect([run.code, run.reached]).toEqual(["cancelled", 0]);
  });

  it("rests while it sets up: of a whole board with colour, eight times before anything is computed", () => {
    const text = readFileSync(join(root, "examples/board.ramp"), "utf8");
    const coloured = text.replace("625/50, crosshatch, circle", "625/50, colour bars, colour");
    expect(coloured).not.toBe(text);
    const stop = new AbortController();
    const work = marching(compile(coloured), { until: "1 ms", signal: stop.signal }, () => true);
    for (let rests = 0; rests < 8; rests++) expect(work.next().done).toBe(false);
    stop.abort();
    const run = atOnce(work);
    expect([run.code, run.reached]).toEqual(["cancelled", 0]);
  });

  it("hears an abort wherever it is in setting up a whole board: it rests four more times at most", () => {
    const design = compile(readFileSync(join(root, "examples/board.ramp"), "utf8"));
    const left: number[] = [];
    for (let rests = 1; rests <= 60; rests += 6) {
      const stop = new AbortController();
      const work = marching(design, { until: "1 ms", signal: stop.signal }, () => true);
      for (let k = 0; k < rests; k++) expect(work.next().done).toBe(false);
      stop.abort();
      let more = 0;
      let last = work.next();
      for (; !last.done; last = work.next()) more++;
      left.push(more);
      expect([last.value.code, last.value.reached, last.value.warnings]).toEqual(["cancelled", 0, []]);
    }
    // Once each after the circuit of the means, the first look at its start, its end, and the circuit itself.
    expect(Math.max(...left), left.join(" ")).toBeLessThanOrEqual(4);
  });

  it("rests between the combinations of modes that it sets up, of the start as of the run", () => {
    const system = vi.spyOn(System.prototype, "combination");
    const made = new Set<unknown>();
    system.mockImplementation(function (this: System, modes) {
      const found = combination.call(this, modes);
      made.add(found);
      return found;
    });
    const board = compile(readFileSync(join(root, "examples/board.ramp"), "utf8"));
    const between: number[] = [];
    const work = marching(board, { until: "2 ms" }, () => true);
    for (let last = 0; !work.next().done; last = made.size) between.push(made.size - last);
    system.mockRestore();
    expect(made.size).toBeGreaterThan(40);
    // An event of the run settles at once: controls that act one after another.
    expect(between.filter((n) => n > 5)).toEqual([]);
  });

  it("aborted before it begins computes nothing", async () => {
    const run = await simulateAsync(compile(sweep), { until: "1 ms", signal: AbortSignal.abort() });
    expect([run.code, run.reached]).toEqual(["cancelled", 0]);
  });

  it("is rejected where options make no sense", async () => {
    const found = await simulateAsync(compile(sweep), { until: "1 V" }).catch((e: unknown) => e);
    expect((found as DesignError).diagnostics[0].code).toBe("bad-option");
  });
});
