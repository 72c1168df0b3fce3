// An oscillator whose period is nothing beside the run: its end would never be reached. The time between two switchings is the closed
// form of a capacitor that charges between two levels (Horowitz & Hill, The Art of Electronics, 3rd ed., 2015, 7.1; from memory).
import { expect, it } from "vitest";
import { compile, type Run, simulate } from "../../src/index.js";

const [rail, middle, width] = [5, 2.5, 1e-3];
const tau = (1e3 + 100) * 1e-12;
/** Half a period: up from the lower level to the upper one, or as far down, which lie alike about the middle. */
const half = tau * Math.log((rail - (middle - width / 2)) / (rail - (middle + width / 2)));

const quick = compile(`inverter turn x -> y threshold ${middle} V, hysteresis ${width} V, output 100 ohm
resistor r y -> x 1 kohm
capacitor c x -> ground 1 pF, starts 2.5 V`);

/** Distances between switchings. */
function distances({ events }: Run): number[] {
  const times = events.map(({ time }) => time);
  return times.slice(1).map((t, i) => t - times[i]);
}

it("a run that it has the steps for is complete", () => {
  const run = simulate(quick, { until: 9000 * half, start: "rest" });
  expect(run.status).toBe("complete");
  const late = distances(run).slice(-100);
  expect(late.reduce((sum, t) => sum + t, 0) / late.length / half).toBeCloseTo(1, 4);
});

it("one that would take a hundred times its steps is stopped within ten thousand events, and says why", () => {
  const run = simulate(quick, { until: "1 s", start: "rest" });
  expect([run.status, run.code]).toEqual(["stopped", "chatter"]);
  expect(run.statistics.events).toBeLessThan(1e4);
  const [, each] = /^'turn' switches without end, \d+ times so far and by now every (\S+) s: /.exec(
    run.reason,
  )!;
  expect(Number(each) / half).toBeCloseTo(1, 1);
});

it("one that has the steps by its limit goes on to the limit", () => {
  // It would take fifty times as many: the limit is met on the way, as in any long run.
  const run = simulate(quick, { until: 1e6 * half, limits: { steps: 20_000 }, start: "rest" });
  expect([run.status, run.code]).toEqual(["stopped", "steps"]);
});
